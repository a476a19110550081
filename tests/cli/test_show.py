"""What is printed."""

import json
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from recommender.cli.show import aligned, plain, print_table
from recommender.trade.machine import Machine


def test_everything_that_a_studio_hands_out_becomes_json() -> None:
    value = {
        "when": datetime(2024, 5, 1, tzinfo=UTC),
        "where": Path("a/b"),
        "x": np.array([1.0, np.nan]),
        "n": np.int64(3),
        "machine": Machine.generic("b"),
    }
    told = json.loads(json.dumps(plain(value), allow_nan=False))
    assert told["x"] == [1.0, None]
    assert told["n"] == 3
    assert told["machine"]["tension"]["upper looper"] == {"low": 0.0, "high": 9.0, "step": 0.5, "home": 4.0}
    assert told["when"] == "2024-05-01T00:00:00+00:00"


def test_numbers_stand_under_one_another() -> None:
    lines = aligned(["control", "value"], [["length", "2.5"], ["differential", "1"]]).splitlines()
    assert [len(line) for line in lines] == [len(lines[0])] * 3


def test_a_person_gets_a_table_and_brackets_stay_as_typed(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    print_table(["cloth", "g/m2"], [["[red] net", "60"]])
    told = capsys.readouterr().out
    assert "[red] net" in told
    assert "─" in told
