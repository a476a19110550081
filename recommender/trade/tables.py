"""Where the files that travel with the package are found."""

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

_PACKAGE = Path(__file__).parents[1]


def share(folder: str) -> Path:
    """The folder `data`, `models` or `dashboard`: beside the package in a checkout, inside it when installed from a wheel."""
    packed = _PACKAGE / "_share" / folder
    return packed if packed.is_dir() else _PACKAGE.parent / folder


@cache
def table(name: str) -> dict[str, Any]:
    """The table `data/<name>.toml`; callers must not change what they get."""
    return tomllib.loads((share("data") / f"{name}.toml").read_text(encoding="utf-8"))
