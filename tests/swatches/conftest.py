"""An ordinary row, its trial, and an open log."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from recommender.swatches.rows import trial_of
from recommender.swatches.store import Store
from recommender.swatches.trial import Trial
from recommender.trade.machine import Machine

ROW: dict[str, Any] = {
    "fabric": "rib jersey",
    "construction": "knit",
    "fibre": "cotton",
    "gsm": 220.0,
    "stretch": 60.0,
    "stitch": "rolled hem",
    "machine": "bench",
    "tension_right_needle": 4.0,
    "tension_upper_looper": 4.0,
    "tension_lower_looper": 7.0,
    "differential": 1.2,
    "length": 1.5,
    "width": 4.5,
    "passed": False,
    "edge_lie": 1.0,
    "when": "2025-03-14T10:30:00+00:00",
}


@pytest.fixture
def row() -> dict[str, Any]:
    """A row that can be logged; a fresh copy."""
    return dict(ROW)


@pytest.fixture
def trial(row: dict[str, Any]) -> Trial:
    """The trial of that row."""
    return trial_of(row)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """An open log in a file, with one machine."""
    with Store.open(tmp_path / "studio.sqlite") as opened:
        opened.add_machine(Machine.generic("bench"))
        yield opened
