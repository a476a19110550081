"""For the examples in docstrings, which run as tests; it stays out of the wheel."""

from pathlib import Path
from typing import Any

import pytest


@pytest.fixture(autouse=True)
def _folder_for_examples(doctest_namespace: dict[str, Any], tmp_path: Path) -> None:
    """An empty folder under the name `tmp`."""
    doctest_namespace["tmp"] = tmp_path
