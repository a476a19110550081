"""What matters, on the command line: shares, what nothing can be said of, and what the log cannot tell apart."""

from dataclasses import replace
from pathlib import Path

import pytest

from recommender import Fabric, Studio
from tests.cli.conftest import Run

JERSEY = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)
SEAM = {"stitch": "four-thread overlock", "machine": "bench"}
LOOPERS = ("tension: upper looper", "tension: lower looper")


def sew(studio: Path, together: bool) -> None:
    """Eight cloths with both loopers moved: together, or by turns."""
    with Studio.open(studio) as opened:
        for number, by in enumerate((1, -1, 1, -1, 1, -1, 1, -1)):
            cloth = replace(JERSEY, name=f"cloth {number}", gsm=150 + 20 * number)
            start = opened.propose(fabric=cloth, **SEAM).baseline
            moved = LOOPERS if together else LOOPERS[number // 2 % 2 :][:1]
            settings = start.having({control: start.controls()[control] + by for control in moved})
            opened.record(fabric=cloth, **SEAM, settings=settings, passed=False, readings={"looper_balance": 1 + by / 2, "edge_wrap": by})


def test_controls_that_were_moved_together_are_named_with_the_swatch_that_tells_them_apart(run: Run, studio: Path) -> None:
    sew(studio, together=True)
    (pair,) = run("matters", "--json", "--studio", studio).json["confused"]
    assert (pair["one"], pair["other"]) == LOOPERS
    assert pair["fabric"]["name"] == "cloth 7"
    assert pair["moves"]
    shown = run("matters", "--studio", studio).out
    assert pair["sentence"] in shown


def test_controls_that_were_moved_by_turns_are_not(run: Run, studio: Path) -> None:
    sew(studio, together=False)
    assert run("matters", "--json", "--studio", studio).json["confused"] == []
    assert "moved together" not in run("matters", "--studio", studio).out


def test_a_control_that_was_never_moved_is_said_to_be_so(run: Run, studio: Path) -> None:
    sew(studio, together=True)
    shown = run("matters", "--studio", studio).out
    assert "Never moved, so nothing can be said of it: needle tension, differential feed, stitch length" in shown
    assert "The same on all swatches, so nothing can be said of it: woven, knit or nonwoven" in shown
    assert "differential feed " not in shown.replace("differential feed,", "")


@pytest.mark.parametrize("swatches", [0, 1])
def test_a_log_that_tells_nothing_yet_is_answered_in_sentences_and_no_empty_table(run: Run, studio: Path, swatches: int) -> None:
    with Studio.open(studio) as opened:
        for _ in range(swatches):
            opened.record(fabric=JERSEY, **SEAM, settings=opened.propose(fabric=JERSEY, **SEAM).settings, passed=True)
    answer = run("matters", "--studio", studio)
    assert answer.status == 0
    assert "othing can be said" in answer.out
    assert "share" not in answer.out.casefold()


def test_each_cause_of_a_difference_is_told_with_its_band_and_its_swatches(run: Run, studio: Path) -> None:
    sew(studio, together=True)
    asked = ["propose", "--fabric", "cloth 7", "--stitch", SEAM["stitch"], "--studio", studio]
    told = run(*asked, "--json").json
    moved = [c for c, value in told["settings"]["tension"].items() if value != told["baseline"]["tension"][c]]
    assert moved
    terms = told["why"][f"tension: {moved[0]}"]
    counted = next(term for term in terms if term["trials"] is not None)
    assert counted["low"] < counted["amount"] < counted["high"]
    assert f"{counted['amount']:+.2f} {counted['name']} ({counted['low']:+.2f} to {counted['high']:+.2f}, from " in run(*asked).out


def test_one_step_of_each_dial_of_a_machine_is_told_where_it_is_asked_for(run: Run, studio: Path) -> None:
    sew(studio, together=False)
    assert run("matters", "--json", "--studio", studio).json["pulls"] == {}
    pulls = run("matters", "--machine", "bench", "--json", "--studio", studio).json["pulls"]
    assert pulls["edge_lie"][0]["control"] == "differential"
    assert pulls["edge_lie"][0]["step"] == 0.1
    shown = run("matters", "--machine", "bench", "--studio", studio).out
    assert "How the edge lies, one step up on bench: below 0 towards 'gathered, puckered'" in shown
    assert "expected one of: bench" in run("matters", "--machine", "nobody", "--studio", studio).err
