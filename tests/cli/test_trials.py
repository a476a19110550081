"""The log's swatches on the command line: listed, corrected, withdrawn, written out."""

import csv
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from recommender import Fabric, Machine, Settings, Studio
from recommender.swatches.cells import value_of
from recommender.swatches.columns import COLUMNS
from recommender.swatches.rows import trial_of
from recommender.swatches.store import Store
from recommender.swatches.trial import Trial
from tests.cli.conftest import Run

NAME = "<img src=x onerror=alert(1)> **rib** [x](y) $a$"
FOUR = Settings(tension={"left needle": 4, "right needle": 4, "upper looper": 4, "lower looper": 4}, differential=1.2, length=2.5, width=6)


@pytest.fixture
def logged(studio: Path) -> tuple[str, str]:
    """The ids of two swatches in the studio: one that failed, then one that passed."""
    rib = Fabric(name=NAME, construction="knit", fibre="cotton", gsm=220)
    voile = Fabric(name="voile", construction="woven", fibre="polyester", gsm=60)
    with Studio.open(studio) as opened:
        seam = {"stitch": "four-thread overlock", "machine": "bench", "settings": FOUR}
        first = opened.record(fabric=rib, **seam, passed=False, readings={"edge_lie": 1})
        second = opened.record(fabric=voile, **seam, passed=True)
    return first.id, second.id


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A studio that nothing is to change, and the id of its only swatch."""
    path = tmp_path_factory.mktemp("kept") / "studio.sqlite"
    rib = Fabric(name=NAME, construction="knit", fibre="cotton", gsm=220)
    with Studio.open(path) as opened:
        opened.add_machine(Machine.generic("bench"))
        trial = opened.record(fabric=rib, stitch="four-thread overlock", machine="bench", settings=FOUR, passed=False)
    return path, trial.id


def test_trials_are_listed_with_their_ids(run: Run, studio: Path, logged: tuple[str, str]) -> None:
    told = run("trials", "--studio", studio)
    assert told.out.splitlines()[0].split()[:3] == ["id", "sewn", "cloth"]
    assert told.status == 0
    first, second = told.out.splitlines()[1:]
    assert first.startswith(logged[0])
    assert NAME in first
    assert first.endswith("failed, edge_lie +1")
    assert second.startswith(logged[1])


@pytest.mark.parametrize(
    ("options", "places"),
    [
        (("--failed",), [0]),
        (("--passed",), [1]),
        (("--fabric", "Voile"), [1]),
        (("--machine", "other"), []),
        (("-n", "1"), [1]),
        (("-n", "0"), [0, 1]),
        (("--withdrawn",), []),
    ],
)
def test_the_list_is_narrowed(run: Run, studio: Path, logged: tuple[str, str], options: tuple[str, ...], places: list[int]) -> None:
    found = run("trials", *options, "--json", "--studio", studio).json
    assert [trial["id"] for trial in found] == [logged[place] for place in places]


def test_a_shortened_list_says_so_and_an_empty_one_too(run: Run, studio: Path, logged: tuple[str, str]) -> None:
    assert "The last 1 of 2" in run("trials", "-n", "1", "--studio", studio).out
    assert run("trials", "--machine", "other", "--studio", studio).out == "No such swatch is in the log.\n"
    assert run("trials", "--withdrawn", "--studio", studio).out == "No swatch was withdrawn.\n"


def test_a_correction_tells_what_changed_and_stays_in_the_history(run: Run, studio: Path, logged: tuple[str, str]) -> None:
    first = logged[0]
    why = ("--why", "read from the wrong side", "--by", "Ada")
    told = run("correct", first, "--set", "edge_lie=-1", "--set", "gsm=6.5 oz", "--set", "passed=pass", *why, "--studio", studio)
    assert told.status == 0, told.err
    assert "how the edge lies: 1, now -1" in told.out
    assert "weight: 220 g/m2, now 220.4 g/m2" in told.out
    history = run("history", first, "--studio", studio).out
    assert "corrected by Ada: read from the wrong side\n" in history
    assert "  pass or fail: no, now yes" in history
    steps = run("history", first, "--json", "--studio", studio).json
    assert [step["kind"] for step in steps] == ["recorded", "corrected"]
    assert {change["column"]: change["before"] for change in steps[1]["changes"]} == {"gsm": 220, "edge_lie": 1, "passed": False}
    [trial] = run("trials", "--fabric", NAME, "--json", "--studio", studio).json
    assert trial["readings"] == {"edge_lie": -1}


def test_a_correction_is_told_in_the_words_of_its_stitch(run: Run, studio: Path) -> None:
    two = replace(FOUR, tension={"left needle": 4, "lower looper": 4})
    cloth = Fabric(name="voile", construction="woven", fibre="polyester", gsm=60)
    with Studio.open(studio) as opened:
        trial = opened.record(fabric=cloth, stitch="two-thread overlock", machine="bench", settings=two, passed=False)
    sentence = "where the threads meet: nothing, now -1"
    assert f"  {sentence}\n" in run("correct", trial.id, "--set", "looper_balance=-1", "--studio", studio).out
    assert f"  {sentence}\n" in run("history", trial.id, "--studio", studio).out
    assert run("history", trial.id, "--json", "--studio", studio).json[1]["changes"][0]["sentence"] == sentence


def test_a_value_is_taken_out_with_nothing_after_the_sign(run: Run, studio: Path, logged: tuple[str, str]) -> None:
    told = run("correct", logged[0], "--set", "edge_lie=", "--json", "--studio", studio).json
    assert told["trial"]["readings"] == {}
    assert told["changes"] == [{"column": "edge_lie", "before": 1, "after": None}]


def test_a_whole_cloth_is_corrected_at_once_and_no_other(run: Run, studio: Path, logged: tuple[str, str]) -> None:
    with Studio.open(studio) as opened:
        trial = opened.trials()[0]
        again = opened.record(fabric=replace(trial.fabric, grain="bias"), stitch=trial.stitch, machine="bench", settings=FOUR, passed=True)
    change = ("--set", "fabric=rib", "--set", "edge_lie=-1")
    told = run("correct", logged[0], *change, "--whole-cloth", "--studio", studio)
    assert f"Corrected {logged[0]}, and with it 1 other swatch of the cloth." in told.out
    with Studio.open(studio) as opened:
        assert [(one.fabric.name, one.readings.get("edge_lie")) for one in opened.trials()] == [("rib", -1), ("voile", None), ("rib", None)]
        assert opened.trials()[-1].fabric.grain == "bias"
    found = run("correct", logged[0], "--set", "gsm=230", "--whole-cloth", "--json", "--studio", studio).json
    change_of_weight = {"column": "gsm", "before": 220, "after": 230}
    assert (found["changes"], found["along"]) == ([change_of_weight], [{"id": again.id, "changes": [change_of_weight]}])
    for swatch in logged:  # of a cloth of two swatches, and of one
        told = run("correct", swatch, "--set", "edge_lie=1", "--whole-cloth", "--studio", studio)
        assert (told.status, "nothing that describes the cloth" in told.err) == (2, True)


def test_what_a_whole_cloth_came_to_is_told_where_its_own_swatch_is_so_already(run: Run, studio: Path, logged: tuple[str, str]) -> None:
    with Studio.open(studio) as opened:
        trial = opened.trials()[1]
        opened.record(fabric=replace(trial.fabric, name="Voile"), stitch=trial.stitch, machine="bench", settings=FOUR, passed=True)
        planned = opened.set_aside(fabric=replace(trial.fabric, name="VOILE"), stitch=trial.stitch, machine="bench", settings=FOUR)
        opened.set_aside(fabric=opened.trials()[0].fabric, stitch=trial.stitch, machine="bench", settings=FOUR)
    change = ("correct", logged[1], "--set", "fabric=voile", "--whole-cloth", "--studio", studio)
    told = run(*change).out.splitlines()
    assert told == [
        f"{logged[1]} is so already; corrected 1 other swatch and 1 planned swatch of the cloth.",
        "  name of the cloth: Voile, now voile",
    ]
    assert [one["name"] for one in run("pending", "--json", "--studio", studio).json] == [
        "voile, four-thread overlock on bench",
        f"{NAME}, four-thread overlock on bench",
    ]
    assert run(*change).out == f"{logged[1]} is so already; nothing was logged.\n"
    found = run("correct", logged[1], "--set", "gsm=90", "--whole-cloth", "--json", "--studio", studio).json
    assert found["planned"] == [planned.id]


def test_a_whole_cloth_is_the_one_that_stands_when_it_is_written(
    run: Run, studio: Path, logged: tuple[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    seam = {"stitch": "four-thread overlock", "machine": "bench", "settings": FOUR, "passed": True}
    with Studio.open(studio) as opened:
        voile = opened.trials()[1].fabric
        leaving = opened.record(fabric=voile, **seam)

    def overtaken(store: Store, *given: object, correct: Any = Store.correct, **more: object) -> Trial:
        monkeypatch.undo()
        with Studio.open(studio) as other:
            other.correct(leaving.id, fabric=replace(voile, name="rib", gsm=300))
            other.record(fabric=voile, **seam)
        return correct(store, *given, **more)

    monkeypatch.setattr(Store, "correct", overtaken)
    assert run("correct", logged[1], "--set", "gsm=210", "--whole-cloth", "--studio", studio).status == 0
    with Studio.open(studio) as opened:
        found = [(one.fabric.name, one.fabric.gsm) for one in opened.trials()]
    assert found == [(NAME, 220), ("voile", 210), ("rib", 300), ("voile", 210)]


def test_a_correction_to_what_is_there_already_logs_nothing(run: Run, studio: Path, logged: tuple[str, str]) -> None:
    told = run("correct", logged[0], "--set", "edge_lie=1", "--studio", studio)
    assert told.status == 0
    assert "nothing was logged" in told.out
    assert len(run("history", logged[0], "--json", "--studio", studio).json) == 1


def test_a_withdrawn_trial_no_longer_counts_and_can_be_brought_back(run: Run, studio: Path, logged: tuple[str, str]) -> None:
    told = run("withdraw", logged[0], "--why", "sewn with a bent needle", "--by", "Ada", "--studio", studio)
    assert told.out == f"Withdrew {logged[0]}; 1 swatch counts.\n"
    assert [trial["id"] for trial in run("trials", "--withdrawn", "--json", "--studio", studio).json] == [logged[0]]
    again = run("withdraw", logged[0], "--why", "twice", "--studio", studio)
    assert again.status == 2
    assert "withdrawn before (sewn with a bent needle)" in again.err
    assert run("correct", logged[0], "--why", "it was straight", "--studio", studio).status == 0
    assert len(run("trials", "--json", "--studio", studio).json) == 2
    assert run("history", logged[0], "--studio", studio).out.splitlines()[-1].endswith("brought back: it was straight")


@pytest.mark.parametrize(
    ("command", "sentence"),
    [
        (("correct", "ID"), "nothing to correct"),
        (("correct", "ID", "--set", "edge_lie"), "expected a column and its value"),
        (("correct", "ID", "--set", "edge_li=1"), "did you mean 'edge_lie'"),
        (("correct", "ID", "--set", "id=other"), "column"),
        (("correct", "ID", "--set", "gsm=5", "--set", "edge_lie=9"), "weight: got 5"),
        (("correct", "ID", "--set", "gsm=200", "--set", "gsm=210"), "gsm twice"),
        (("correct", "ID", "--set", "tension_upper_looper=12"), "from 0 to 9"),
        (("correct", "ID", "--set", "stitch=rolled hem"), "runs no thread there"),
        (("correct", "ID", "--set", "machine=other"), "machine"),
        (("correct", "nobody", "--set", "gsm=200"), "expected the id of a logged swatch"),
        (("withdraw", "ID"), "--why"),
        (("withdraw", "ID", "--why", "  "), "why"),
        (("withdraw", "nobody", "--why", "lost"), "expected the id of a logged swatch"),
        (("history", "nobody"), "expected the id of a logged swatch"),
    ],
)
def test_what_cannot_be_done_is_wrong_usage_and_changes_nothing(
    run: Run, kept: tuple[Path, str], command: tuple[str, ...], sentence: str
) -> None:
    studio, trial = kept
    told = run(*(trial if word == "ID" else word for word in command), "--studio", studio)
    assert told.status == 2
    assert sentence in told.err
    assert "Traceback" not in told.err
    assert len(run("history", trial, "--json", "--studio", studio).json) == 1


def test_the_trials_that_count_are_written_as_rows_that_are_the_same_trials(
    run: Run, studio: Path, logged: tuple[str, str], tmp_path: Path
) -> None:
    file = tmp_path / "notebook.csv"
    assert run("export", file, "--studio", studio).out == f"Wrote 2 swatches to {file}.\n"
    with file.open(encoding="utf-8-sig", newline="") as opened:
        rows = list(csv.DictReader(opened))
    assert [row["id"] for row in rows] == list(logged)
    read = [trial_of({name: value_of(COLUMNS[name], cell) for name, cell in row.items()} | {"id": row["id"]}) for row in rows]
    with Studio.open(studio) as there:
        assert tuple(read) == there.trials()


def test_a_file_that_is_there_is_replaced_only_when_that_is_said(run: Run, studio: Path, logged: tuple[str, str], tmp_path: Path) -> None:
    file = tmp_path / "notebook.csv"
    file.write_text("mine", encoding="utf-8")
    told = run("export", file, "--studio", studio)
    assert told.status == 2
    assert "exists already" in told.err
    assert file.read_text(encoding="utf-8") == "mine"
    assert run("export", file, "--replace", "--json", "--studio", studio).json == {"file": str(file), "trials": 2}


def test_a_file_that_cannot_be_written_is_told(run: Run, studio: Path, tmp_path: Path) -> None:
    told = run("export", tmp_path / "nowhere" / "notebook.csv", "--studio", studio)
    assert told.status == 2
    assert "cannot be written" in told.err


def test_a_copy_of_the_studio_is_the_studio(run: Run, studio: Path, logged: tuple[str, str], tmp_path: Path) -> None:
    copy = tmp_path / "our copy.sqlite"
    told = run("copy", copy, "--studio", studio)
    assert told.out == f"Copied to {copy}. It opens with: overedge serve --studio '{copy}'\n"
    assert run("trials", "--json", "--studio", copy).json == run("trials", "--json", "--studio", studio).json
    assert "exists already" in run("copy", copy, "--studio", studio).err
    assert run("copy", copy, "--replace", "--json", "--studio", studio).json == {"file": str(copy), "bytes": copy.stat().st_size}
    assert len(run("history", logged[0], "--json", "--studio", copy).json) == 1
