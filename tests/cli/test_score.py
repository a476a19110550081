"""`score`, and what `propose` and `record` make of it."""

from datetime import UTC, datetime, timedelta

import pytest

from recommender import Fabric, Machine, Studio
from recommender.advice.scoring.verdict import ENOUGH_TRIALS

SEAM = ("--like", "T-shirt jersey", "--stitch", "four-thread overlock")
JERSEY = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)


@pytest.fixture
def misled(tmp_path):
    """A log in which what reads well fails and what reads badly passes, turn by turn."""
    path = tmp_path / "misled.sqlite"
    with Studio.open(path) as studio:
        studio.add_machine(Machine.generic("bench"))
        start = studio.propose(fabric=JERSEY, stitch="four-thread overlock", machine="bench").baseline
        for n in range(ENOUGH_TRIALS + 4):
            cloth = Fabric(name=f"cloth {n}", construction="knit", fibre="cotton", gsm=150 + 10 * (n % 7), stretch=40)
            studio.record(
                fabric=cloth,
                stitch="four-thread overlock",
                machine="bench",
                settings=start,
                passed=n % 3 == 0,
                readings={} if n % 3 == 0 else {"edge_lie": 0.0, "needle_line": 0.0, "looper_balance": 0.0},
                when=datetime(2025, 1, 1, tzinfo=UTC) + timedelta(hours=n),
            )
    return path


def test_an_empty_log_says_that_nothing_can_be_said(run, studio):
    assert "no swatch is logged" in run("score", "--studio", studio).out
    assert run("score", "--studio", studio, "--json").json["total"]["trials"] == 0


def test_the_score_of_a_log_is_told_in_total_and_by_stitch_machine_and_class(run, misled):
    told = run("score", "--studio", misled)
    assert told.status == 0, told.err
    for words in ("whole log", "four-thread overlock", "bench", "medium knit", "Brier skill", "as proposed", "differential"):
        assert words in told.out
    found = run("score", "--studio", misled, "--json").json
    assert found["total"]["trials"] == found["by_machine"]["bench"]["trials"] == ENOUGH_TRIALS + 4
    assert found["leads"] == {"four-thread overlock": found["by_stitch"]["four-thread overlock"]["verdict"]["lead"]}


def test_where_the_model_does_not_beat_it_the_baseline_leads(run, misled):
    score = run("score", "--studio", misled, "--json").json
    assert score["leads"]["four-thread overlock"] == "baseline"
    proposal = run("propose", *SEAM, "--studio", misled, "--json").json
    assert proposal["lead"] == "baseline"
    assert "The baseline leads" in run("propose", *SEAM, "--studio", misled).out
    logged = run("record", *SEAM, "--pass", "--studio", misled, "--json").json["trial"]
    assert logged["settings"] == proposal["baseline"]


def test_before_there_are_enough_swatches_the_model_leads_and_says_so(run, studio):
    proposal = run("propose", *SEAM, "--studio", studio)
    assert "No verdict on the four-thread overlock yet" in proposal.out
    assert run("propose", *SEAM, "--studio", studio, "--json").json["lead"] == "model"
