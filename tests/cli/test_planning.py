"""The next swatches on the command line."""

import json
import os
import platform
import subprocess
import sys
from pathlib import Path

import pytest

from recommender import Studio
from recommender.trade.words import day
from tests.cli.conftest import Run

JERSEY = ("--like", "T-shirt jersey", "--stitch", "four-thread overlock", "--thread", "27 tex")


def test_a_plan_reads_as_a_page(run: Run, studio: Path) -> None:
    told = run("next", *JERSEY, "-n", "2", "--studio", studio).out
    for words in (
        "1. Sew T-shirt jersey",
        "2. Sew",
        "swatch 1",
        "swatch 2",
        "proposed",
        "bands narrower by",
        "local rules come first",
        "CAUTION",
    ):
        assert words in told
    assert "not known" in told, "without ratings no chance is told"


def test_a_plan_starts_from_the_proposal(run: Run, studio: Path) -> None:
    proposed = run("propose", *JERSEY, "--json", "--studio", studio).json["settings"]
    planned = run("next", *JERSEY, "--json", "--studio", studio).json
    assert len(planned) == 3
    assert all(swatch["proposal"] == proposed for swatch in planned)
    assert all(0 < swatch["gain"] < 1 and swatch["sentence"] for swatch in planned)


def test_what_is_set_aside_waits_on_the_list_and_counts_as_sewn(run: Run, studio: Path) -> None:
    both = run("next", *JERSEY, "-n", "2", "--json", "--studio", studio).json
    aside = run("next", *JERSEY, "-n", "1", "--set-aside", "--json", "--studio", studio).json
    assert aside[0] | {"pending": None} == both[0]
    waiting = run("pending", "--json", "--studio", studio).json
    assert [one["id"] for one in waiting] == [aside[0]["pending"]]
    assert waiting[0]["settings"] == both[0]["settings"]
    assert waiting[0]["reason"].startswith("It narrows the bands by")
    assert both[0]["sentence"].endswith(waiting[0]["reason"])
    assert run("next", *JERSEY, "-n", "1", "--json", "--studio", studio).json == both[1:]


def test_a_planned_swatch_is_recorded_from_the_list(run: Run, studio: Path) -> None:
    told = run("next", *JERSEY, "-n", "2", "--set-aside", "--studio", studio).out
    first, second = run("pending", "--json", "--studio", studio).json
    assert f"overedge record --pending {first['id']}" in told
    sewn = run("record", "--pending", first["id"], "--setting", "length=2.5", "--fail", "--json", "--studio", studio).json["trial"]
    assert sewn["settings"] == first["settings"] | {"length": 2.5}
    assert (sewn["fabric"], sewn["stitch"], sewn["needle_thread"]["tex"]) == (first["fabric"], first["stitch"], 27)
    assert [one["id"] for one in run("pending", "--json", "--studio", studio).json] == [second["id"]]
    again = run("record", "--pending", first["id"], "--pass", "--studio", studio)
    assert (again.status, "one that waits" in again.err) == (2, True)


def test_a_planned_swatch_can_be_taken_off_the_list(run: Run, studio: Path) -> None:
    assert "No swatch waits" in run("pending", "--studio", studio).out
    run("next", *JERSEY, "-n", "2", "--set-aside", "--studio", studio)
    first, second = run("pending", "--json", "--studio", studio).json
    left = run("pending", "--drop", first["id"], "--why", "no cloth left", "--studio", studio).out
    assert first["id"] not in left
    with Studio.open(studio) as opened:
        (waiting,) = opened.pending()
    assert waiting.entry == f"T-shirt jersey, four-thread overlock on bench, planned {day(waiting.when)}"
    assert f"{second['id']}  {waiting.entry}\n" in left
    assert "differential" in left
    twice = run("pending", "--drop", first["id"], "--studio", studio)
    assert (twice.status, "dropped before (no cloth left)" in twice.err) == (2, True)


def test_a_free_hour_chooses_among_the_cloths_at_hand(run: Run, studio: Path) -> None:
    planned = run("next", "--stash", "chiffon", "--stash", "T-shirt jersey", "-n", "4", "--json", "--studio", studio).json
    assert {swatch["fabric"]["name"] for swatch in planned} == {"chiffon", "T-shirt jersey"}


def test_a_free_hour_takes_every_logged_cloth_where_none_is_named(run: Run, studio: Path) -> None:
    for cloth in ("chiffon", "denim"):
        assert run("record", "--like", cloth, "--stitch", "three-thread overlock narrow", "--fail", "--studio", studio).status == 0
    planned = run("next", "-n", "3", "--json", "--studio", studio).json
    assert {swatch["stitch"] for swatch in planned} == {"three-thread overlock narrow"}
    assert {swatch["fabric"]["name"] for swatch in planned} <= {"chiffon", "denim"}


def test_more_weight_on_learning_narrows_more(run: Run, studio: Path) -> None:
    def left(weight: str) -> float:
        share = 1.0
        for swatch in run("next", *JERSEY, "--learning", weight, "--json", "--studio", studio).json:
            share *= 1 - swatch["gain"]
        return share

    assert left("inf") < left("0")


@pytest.mark.skipif(platform.machine() not in {"x86_64", "AMD64"}, reason="names the kernels of one family of processors")
def test_a_plan_is_the_same_whatever_the_processor(studio: Path) -> None:
    """As far as the arithmetic of one can be had on another: OpenBLAS takes its own kernels, or is told which."""
    command = [sys.executable, "-m", "recommender", "next", *JERSEY, "-n", "2", "--json", "--studio", str(studio)]
    own = {name: value for name, value in os.environ.items() if name != "OPENBLAS_CORETYPE"}
    first, *others = [
        json.loads(subprocess.run(command, check=True, capture_output=True, env=own | told).stdout)
        for told in ({}, {"OPENBLAS_CORETYPE": "Prescott"}, {"OPENBLAS_CORETYPE": "Haswell"})
    ]
    for plan in others:
        assert [one["settings"] for one in plan] == [one["settings"] for one in first]
        assert [one["gain"] for one in plan] == pytest.approx([one["gain"] for one in first], abs=1e-9)


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ([], "log a swatch first"),
        (["--fabric", "rib"], "expected --stitch with a cloth"),
        (["--stash", "chifon"], "did you mean 'chiffon'"),
        ([*JERSEY, "--stash", "chiffon"], "only for a free hour"),
        ([*JERSEY, "-n", "0"], "1 to 50"),
        ([*JERSEY, "--learning", "-1"], "learning: got -1"),
        ([*JERSEY, "--learning", "nan"], "learning: got nan"),
    ],
)
def test_a_plan_that_makes_no_sense_is_refused_in_a_sentence(run: Run, studio: Path, arguments: list[str], told: str) -> None:
    answer = run("next", *arguments, "--studio", studio)
    assert answer.status == 2
    assert told in answer.err
    assert len(answer.err.strip().splitlines()) == 1


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["pending", "--drop", "nobody"], "planned swatch: got 'nobody'"),
        (["pending", "--why", "no cloth"], "expected --drop with it"),
        (["record", "--pending", "nobody", "--pass"], "planned swatch: got 'nobody'"),
        (["record", "--pending", "nobody", "--like", "chiffon", "--pass"], "expected --pending alone"),
        (["record", "--like", "chiffon", "--pass"], "expected --stitch with a cloth, or --pending"),
    ],
)
def test_a_list_that_is_asked_what_makes_no_sense_says_so(run: Run, studio: Path, arguments: list[str], told: str) -> None:
    answer = run(*arguments, "--studio", studio)
    assert answer.status == 2
    assert told in answer.err
    assert len(answer.err.strip().splitlines()) == 1
