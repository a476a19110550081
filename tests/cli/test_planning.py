"""The next swatches on the command line."""

import json
from pathlib import Path

import pytest

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


def test_what_is_pending_is_told_by_the_file_that_was_printed(run: Run, studio: Path, tmp_path: Path) -> None:
    both = run("next", *JERSEY, "-n", "2", "--json", "--studio", studio)
    waiting = tmp_path / "waiting.json"
    waiting.write_text(json.dumps(both.json[:1]))
    second = run("next", *JERSEY, "-n", "1", "--pending", waiting, "--json", "--studio", studio).json
    assert second == both.json[1:]


def test_a_proposal_may_be_pending_too(run: Run, studio: Path, tmp_path: Path) -> None:
    waiting = tmp_path / "proposal.json"
    waiting.write_text(run("propose", *JERSEY, "--json", "--studio", studio).out)
    first = run("next", *JERSEY, "-n", "1", "--json", "--studio", studio).json[0]
    after = run("next", *JERSEY, "-n", "1", "--pending", waiting, "--json", "--studio", studio).json[0]
    assert after["gain"] < first["gain"]


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

    assert left("inf") < left("0") - 0.01


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ([], "log a swatch first"),
        (["--fabric", "rib"], "expected --stitch with a fabric"),
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


@pytest.mark.parametrize("text", ["not json", "[1]", "{}", '[{"fabric": {"name": "x"}}]', '{"fabric": 3}'])
def test_a_file_that_is_no_plan_is_refused_in_a_sentence(run: Run, studio: Path, tmp_path: Path, text: str) -> None:
    strange = tmp_path / "strange.json"
    strange.write_text(text)
    answer = run("next", *JERSEY, "--pending", strange, "--studio", studio)
    assert answer.status == 2
    assert "strange.json" in answer.err
    assert len(answer.err.strip().splitlines()) == 1
