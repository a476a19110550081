"""`drift` and `translate`, as typed."""

import json
from pathlib import Path

import pytest
from pypdf import PdfReader

from recommender.advice.seam import Seam
from recommender.advice.watching.running import SHIFTS
from recommender.studio import Studio
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Dial, Machine
from recommender.trade.readings import READINGS
from recommender.trade.stitch import stitch
from recommender.trade.thread import ORDINARY, POSITIONS
from tests.cli.conftest import Run

SEAM = ("--like", "T-shirt jersey", "--stitch", "four-thread overlock", "--machine", "bench")
WELL = 20
HIGHER = Machine(name="higher", tension={position: Dial(1, 10, 0.5, 5) for position in POSITIONS})


@pytest.fixture
def two(studio: Path) -> Path:
    """The studio with a second machine, whose tension dials stand one number higher."""
    with Studio.open(studio) as opened:
        opened.add_machine(HIGHER)
    return studio


@pytest.fixture(scope="module")
def drifted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Many cloths that came out as wanted, then some whose loops are drawn over, all with the same settings; only to be read."""
    path = tmp_path_factory.mktemp("drifted") / "studio.sqlite"
    readings = dict.fromkeys(READINGS, 0.0)
    with Studio.open(path) as opened:
        for machine in (Machine.generic("bench"), HIGHER):
            opened.add_machine(machine)
        for number in range(WELL + 12):
            fabric = Fabric(name=f"cloth {number}", construction="woven", fibre="cotton", gsm=150)
            seam = Seam(fabric, stitch("four-thread overlock"), Machine.generic("bench"), ORDINARY, ORDINARY)
            read = readings if number < WELL else readings | {"looper_balance": 1.5, "edge_wrap": 0.5}
            opened.record(
                fabric=fabric,
                stitch=seam.stitch.name,
                machine="bench",
                settings=seam.baseline.settings,
                passed=number < WELL,
                readings=read,
            )
    return path


def test_a_machine_without_swatches_is_said_to_have_none(studio: Path, run: Run) -> None:
    told = run("drift", "--studio", studio)
    assert told.status == 0
    assert told.out == "bench: no swatch to look at yet.\n"


def test_a_drift_is_told_with_where_to_look_and_ends_with_status_1(drifted: Path, run: Run) -> None:
    told = run("drift", "--machine", "bench", "--studio", drifted)
    assert told.status == 1
    assert "than its number says" in told.out
    assert "looper tension" in told.out.splitlines()[0]
    assert told.out.index("unplug") < told.out.index("Lint") < told.out.index("Needle:") < told.out.index("Thread path")
    assert told.out.count("CAUTION") == 6


def test_a_drift_as_json_holds_the_sum_and_the_suspects(drifted: Path, run: Run) -> None:
    found = json.loads(run("drift", "--json", "--studio", drifted).out)
    assert [one["machine"] for one in found] == ["bench", "higher"]
    assert [one["told"] for one in found] == [True, False]
    assert len(found[0]["running"]) == found[0]["swatches"] == WELL + 12
    assert len(found[0]["suspects"]) == 2 * len(SHIFTS)
    assert found[0]["look"][0]["caution"]
    assert found[1]["look"] == []
    assert found[0]["doubted"]
    assert found[0]["warning"].startswith("bench: the ")


def test_what_is_proposed_says_that_a_dial_has_drifted(drifted: Path, run: Run) -> None:
    told = run("propose", *SEAM, "--studio", drifted)
    (line,) = [line for line in told.out.splitlines() if "than its number says" in line]
    assert line.startswith("bench: the ")
    assert "look at lint first" in line
    assert told.out.index(line) < told.out.index("pass window")
    found = run("propose", *SEAM, "--json", "--studio", drifted).json["drift"]
    assert (found["told"], found["warning"] in line) == (True, True)
    assert any("looper" in control for control in found["doubted"])
    assert run("propose", *SEAM, "--json", "--studio", drifted).json["warnings"] == [found["warning"]]
    hem = "propose", "--like", "T-shirt jersey", "--stitch", "two-thread rolled hem", "--machine", "bench", "--studio", drifted
    assert (run(*hem, "--json").json["warnings"], "overedge drift" in run(*hem).out) == ([], False)
    calm = run("propose", *SEAM[:-1], "higher", "--json", "--studio", drifted).json["drift"]
    assert (calm["told"], calm["warning"], calm["doubted"]) == (False, "", [])
    assert found == {name: value for name, value in json.loads(run("drift", "--json", "--studio", drifted).out)[0].items() if name in found}
    assert {"sentence", "stood_before", "look"} <= found.keys()


def test_what_is_to_be_moved_planned_or_copied_says_that_a_dial_has_drifted(drifted: Path, run: Run, tmp_path: Path) -> None:
    own = tmp_path / "studio.sqlite"
    own.write_bytes(drifted.read_bytes())
    warning = run("propose", *SEAM, "--json", "--studio", own).json["drift"]["warning"]
    planned = run("next", *SEAM, "--studio", own)
    assert planned.out.startswith(warning)
    assert [one["warnings"] for one in run("next", *SEAM, "-n", "2", "--json", "--studio", own).json] == [[warning]] * 2
    for to, machine in (("higher", "bench"), ("bench", "higher")):
        copied = run("translate", *SEAM[:-1], machine, "--setting", "upper looper=5", "--to", to, "--studio", own)
        assert copied.out.index(warning) < copied.out.index("by the home marks alone")
        copied = run("translate", *SEAM[:-1], machine, "--setting", "upper looper=5", "--to", to, "--json", "--studio", own)
        assert copied.json["warnings"] == [warning]
    other = tmp_path / "other.sqlite"
    other.write_bytes(drifted.read_bytes())
    fail = "record", *SEAM, "--fail", "--reading", "edge_lie=1"
    failed, told = run(*fail, "--studio", own), run(*fail, "--json", "--studio", other)
    warned = run("propose", *SEAM, "--json", "--studio", own).json["drift"]["warning"]
    assert failed.out.index(warned) < failed.out.index("Next:")
    assert told.json["warnings"] == [warned]
    assert "overedge drift" not in run("next", *SEAM[:-1], "higher", "--studio", own).out


def test_the_list_of_planned_swatches_says_that_a_dial_has_drifted_which_one_of_them_sets(drifted: Path, run: Run, tmp_path: Path) -> None:
    own = tmp_path / "studio.sqlite"
    own.write_bytes(drifted.read_bytes())
    run("next", *SEAM[:-1], "higher", "-n", "1", "--set-aside", "--studio", own)
    assert "overedge drift" not in run("pending", "--studio", own).out
    run("next", *SEAM, "-n", "2", "--set-aside", "--studio", own)
    warning = run("propose", *SEAM, "--json", "--studio", own).json["drift"]["warning"]
    listed = run("pending", "--studio", own).out
    assert listed.startswith(f"{warning} More: overedge drift\n")
    assert listed.count("overedge drift") == 1
    assert [one["warnings"] for one in run("pending", "--json", "--studio", own).json] == [[], [warning], [warning]]


def test_the_card_of_a_proposal_says_which_dial_to_test_where_the_stitch_sets_it(drifted: Path, run: Run, tmp_path: Path) -> None:
    told = run("card", tmp_path / "card.pdf", *SEAM, "--studio", drifted).out
    assert "looper" in told.partition("Test the ")[2]
    assert told.endswith("its number may be wrong.\n")
    assert "its number may be wrong" in " ".join(PdfReader(tmp_path / "card.pdf").pages[0].extract_text().split())
    found = run("card", tmp_path / "other.pdf", *SEAM[:-1], "higher", "--json", "--studio", drifted).json
    assert found["doubt"] == ""


def test_the_card_of_a_swatch_doubts_a_dial_that_drifted_after_it_was_sewn(drifted: Path, run: Run, tmp_path: Path) -> None:
    with Studio.open(drifted) as opened:
        (watch,) = opened.drift("bench")
        mine = [trial for trial in opened.trials() if trial.machine == "bench"]
    assert mine[0].when < watch.begun <= mine[-1].when
    for trial, doubt in ((mine[0], "Test the upper looper: its number may be wrong."), (mine[-1], "")):
        assert run("card", tmp_path / f"{trial.id}.pdf", "--trial", trial.id, "--json", "--studio", drifted).json["doubt"] == doubt


def test_a_needle_changed_under_an_alarm_leaves_what_stood_to_be_read(drifted: Path, run: Run, tmp_path: Path) -> None:
    own = tmp_path / "studio.sqlite"
    own.write_bytes(drifted.read_bytes())
    run("care", "--machine", "bench", "--deed", "needle changed", "--studio", own)
    told = run("drift", "--machine", "bench", "--studio", own)
    assert told.status == 0
    assert "no swatch since" in told.out
    assert "Before the needle was changed on" in told.out
    assert "looper tension" in told.out
    found = run("drift", "--machine", "bench", "--json", "--studio", own).json[0]
    assert found["stood_before"] in told.out
    assert len(found["doubted"]) == 1
    assert found["look"]
    assert told.out.index("  Noted meanwhile: needle changed on ") < told.out.index("  1. Switch the machine off and unplug it")
    assert f"bench: {found['stood_before']}" in run("propose", *SEAM, "--studio", own).out


def test_after_a_service_there_is_nothing_to_tell(drifted: Path, run: Run) -> None:
    told = run("drift", "--machine", "bench", "--since", "2100-01-01", "--studio", drifted)
    assert told.status == 0
    assert "no swatch since 2100-01-01 to look at yet" in told.out


def test_a_machine_that_is_not_there_is_wrong_usage(two: Path, run: Run) -> None:
    told = run("drift", "--machine", "bensh", "--studio", two)
    assert told.status == 2
    assert "did you mean 'bench'" in told.err


def test_given_settings_are_translated_by_the_home_marks_where_nothing_is_logged(two: Path, run: Run) -> None:
    found = run("translate", *SEAM, "--setting", "upper looper=5", "--to", "higher", "--json", "--studio", two).json
    assert found["settings"]["tension"]["upper looper"] == 6
    assert found["settings"] == found["plain"]
    assert found["chance_known"] is False
    assert any("Upper looper tension: 5 becomes 6" in sentence for sentence in found["sentences"])


def test_a_logged_swatch_is_translated_by_its_id(drifted: Path, run: Run) -> None:
    with Studio.open(drifted) as opened:
        trial = opened.trials()[0]
    told = run("translate", "--trial", trial.id, "--to", "higher", "--studio", drifted)
    assert told.status == 0, told.err
    assert told.out.startswith("cloth 0, four-thread overlock: from bench to higher")
    assert "by the home marks alone" in told.out
    assert "Sew a swatch before the seam" in told.out


def test_without_settings_the_last_swatch_that_passed_is_translated(drifted: Path, run: Run) -> None:
    seam = ("--fabric", "cloth 3", "--stitch", "four-thread overlock", "--machine", "bench")
    found = run("translate", *seam, "--to", "higher", "--json", "--studio", drifted).json
    with Studio.open(drifted) as opened:
        assert found["given"]["tension"] == dict(opened.trials(fabric="cloth 3")[-1].settings.tension)


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        ((), "expected --trial, or --stitch"),
        ((*SEAM, "--trial", "0"), "--trial alone"),
        (("--trial", "0"), "expected the id of a swatch that counts"),
        (("--trial", "0", "--elastane", "0"), "--trial alone"),
        (SEAM, "has passed, expected settings"),
        ((*SEAM, "--setting", "upper looper=25"), "upper looper"),
    ],
)
def test_what_cannot_be_translated_is_said(two: Path, run: Run, arguments: tuple[str, ...], sentence: str) -> None:
    told = run("translate", *arguments, "--to", "higher", "--studio", two)
    assert told.status == 2
    assert sentence in told.err


def test_five_swatches_make_a_new_machine_known(drifted: Path, run: Run) -> None:
    found = run("next", "--machine", "higher", "-n", "5", "--json", "--studio", drifted).json
    assert [swatch["machine"] for swatch in found] == ["higher"] * 5
