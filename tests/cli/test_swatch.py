"""The main job on the command line: propose, sew, record, propose again."""

import os
from pathlib import Path

import pytest

from tests.cli.conftest import Run

JERSEY = ("--like", "T-shirt jersey", "--stitch", "four-thread overlock", "--thread", "27 tex")
RIB = (
    "--name",
    "rib",
    "--construction",
    "knit",
    "--fibre",
    "cotton",
    "--weight",
    "6.5 oz",
    "--stretch",
    "60",
    "--stitch",
    "four-thread overlock",
)


def test_with_an_empty_log_the_proposal_is_the_baseline(run: Run, studio: Path) -> None:
    told = run("propose", *JERSEY, "--json", "--studio", studio).json
    assert told["settings"] == told["baseline"]
    assert told["chance_known"] is False
    assert told["moves"] == []
    assert set(told["bands"]) == set(told["windows"]) >= {"differential", "tension: upper looper"}


def test_a_stitch_that_is_not_meant_for_the_cloth_is_told_before_the_numbers(run: Run, studio: Path) -> None:
    hem = ("propose", "--like", "denim", "--stitch", "rolled hem", "--studio", studio)
    told = run(*hem, "--json").json["unfit"]
    assert "sewn on 1 layer as a rule, this has 2" in told
    assert run(*hem).out.startswith(f"CAUTION: {told}\n")
    assert run("propose", *JERSEY, "--json", "--studio", studio).json["unfit"] == ""


def test_a_proposal_reads_as_a_page(run: Run, studio: Path) -> None:
    told = run("propose", *JERSEY, "--studio", studio).out
    for words in ("proposed", "baseline", "band (80 %)", "pass window", "too few ratings", "manual and local rules come first", "CAUTION"):
        assert words in told
    assert "Next" not in told


def test_a_wavy_swatch_raises_the_differential_and_a_gathered_one_lowers_it(run: Run, studio: Path, tmp_path: Path) -> None:
    start = run("propose", *RIB, "--json", "--studio", studio).json["settings"]["differential"]
    wavy = run("record", *RIB, "--fail", "--reading", "edge_lie=2", "--json", "--studio", studio).json
    assert wavy["trial"]["readings"] == {"edge_lie": 2.0}
    assert {move["control"]: move["end"] > move["start"] for move in wavy["after"]["moves"]}["differential"]
    assert run("propose", *RIB, "--json", "--studio", studio).json["settings"]["differential"] > start

    other = tmp_path / "other.sqlite"
    run("machine", "add", "bench", "--generic", "--studio", other)
    run("record", *RIB, "--fail", "--reading", "edge_lie=-2", "--studio", other)
    assert run("propose", *RIB, "--json", "--studio", other).json["settings"]["differential"] < start


def test_everything_said_of_a_swatch_is_kept(run: Run, studio: Path) -> None:
    arguments = (
        *("--setting", "differential=1.4", "--setting", "upper looper=3.5", "--setting", "length=10 spi"),
        *("--flag", "jam", "--flag", "thread_break", "--seam-change", "4.5", "--needle-size", "80", "--needle-hours", "2"),
        *("--who", "Ada", "--note", "first of the day", "--when", "2024-05-01T10:30:00", "--looper-thread", "18 tex, polyamide, textured"),
    )
    trial = run("record", *RIB, "--fail", *arguments, "--json", "--studio", studio).json["trial"]
    assert trial["settings"]["differential"] == 1.4
    assert trial["settings"]["tension"]["upper looper"] == 3.5
    assert trial["settings"]["length"] == pytest.approx(2.54)
    assert trial["flags"] == ["jam", "thread_break"]
    assert (trial["seam_change"], trial["needle_size"], trial["needle_hours"]) == (4.5, 80, 2)
    assert (trial["who"], trial["note"]) == ("Ada", "first of the day")
    assert trial["looper_thread"] == {"tex": 18.0, "fibre": "polyamide", "kind": "textured"}
    assert trial["fabric"]["gsm"] == pytest.approx(6.5 * 33.9057, rel=1e-5)  # factor: textile pages
    assert trial["when"].startswith("2024-05-01") or trial["when"].startswith("2024-04-30")


def test_what_else_happened_is_looked_at_before_the_dials_and_not_held_against_them(run: Run, studio: Path) -> None:
    before = run("propose", *RIB, "--json", "--studio", studio).json["settings"]
    told = run("record", *RIB, "--fail", "--flag", "jam", "--studio", studio).out
    assert told.index("Before the dials:\n  Switch the machine off and unplug it. CAUTION: ") < told.index("Next:")
    assert run("propose", *RIB, "--json", "--studio", studio).json["settings"] == before
    first = run("record", *RIB, "--fail", "--flag", "skipped_stitches", "--json", "--studio", studio).json["after"]["first"]
    assert [step["place"] for step in first] == ["power", "needle", "looper", "power", "foot"]
    assert "Before the dials" not in run("record", *RIB, "--fail", "--studio", studio).out


def test_a_mishap_alone_moves_nothing_but_a_reading_that_is_off_or_another_setting_does(run: Run, studio: Path) -> None:
    run("record", *RIB, "--fail", "--reading", "edge_lie=2", "--setting", "differential=1", "--studio", studio)
    assert run("propose", *RIB, "--json", "--studio", studio).json["moves"]
    away = run("record", *RIB, "--fail", "--flag", "jam", "--setting", "differential=1", "--json", "--studio", studio).json
    assert away["after"]["moves"]
    told = run("record", *RIB, "--fail", "--flag", "jam", "--studio", studio).out
    assert "Next:\n  leave every control; once that is mended, sew it again as it was.\n" in told


def test_a_dial_at_its_end_and_two_needles_that_read_as_one_are_told_beside_the_moves(run: Run, studio: Path) -> None:
    off = ("--reading", "edge_lie=2", "--reading", "needle_line=-2")
    moves = run("record", *RIB, "--fail", *off, "--json", "--studio", studio).json["after"]["moves"]
    assert ("differential", 2.0) in [(move["control"], move["end"]) for move in moves]
    told = run("record", *RIB, "--fail", *off, "--json", "--studio", studio).json["after"]
    assert told["ends"][0]["text"].startswith("The differential feed stands at 2, as far as its dial goes")
    assert sum("needle" in move["control"] for move in told["moves"]) == 1
    assert "does not tell the two needles apart" in told["which_needle"]
    said = run("record", *RIB, "--fail", "--setting", "right needle=9", *off, "--studio", studio).out
    assert said.index("At the end of a dial:") < said.index("Next:")


@pytest.mark.parametrize("written", ["80", "12", "80/12", "size 12"])
def test_a_needle_is_known_by_any_number_of_its_packet(run: Run, studio: Path, written: str) -> None:
    logged = run("record", *RIB, "--pass", "--needle-size", written, "--json", "--studio", studio).json["trial"]
    assert logged["needle_size"] == 80


def test_a_pass_is_logged_without_further_questions(run: Run, studio: Path) -> None:
    told = run("record", *JERSEY, "--pass", "--studio", studio)
    assert told.status == 0
    assert "passed" in told.out
    assert "Next" not in told.out


def test_after_a_fail_the_next_moves_are_told(run: Run, studio: Path) -> None:
    told = run("record", *JERSEY, "--fail", "--reading", "edge_lie=2", "--studio", studio).out
    assert "Next:" in told
    assert "ifferential feed up from" in told


def test_a_logged_cloth_is_known_by_its_name_and_can_be_varied(run: Run, studio: Path) -> None:
    run("record", *RIB, "--pass", "--studio", studio)
    again = run("propose", "--fabric", "rib", "--plies", "4", "--stitch", "four-thread overlock", "--json", "--studio", studio).json
    assert again["fabric"]["stretch"] == 60.0
    assert again["fabric"]["plies"] == 4


def test_the_studio_may_be_named_before_the_command_or_in_the_environment(run: Run, studio: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    said_after = run("propose", *JERSEY, "--json", "--studio", studio).out
    assert run("--studio", studio, "propose", *JERSEY, "--json").out == said_after
    monkeypatch.setenv("OVEREDGE_STUDIO", str(studio))
    assert run("propose", *JERSEY, "--json").out == said_after


def test_without_a_place_the_studio_is_in_the_users_data_folder(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "share"))
    assert run("machine", "add", "bench", "--generic").status == 0
    assert list((tmp_path / "share").rglob("*.sqlite"))
    assert [machine["name"] for machine in run("machine", "list", "--json").json] == ["bench"]


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--like", "T-shirt jersy"], "did you mean 'T-shirt jersey'"),
        (["--fabric", "rib"], "logged none yet"),
        (["--fabric", "rib", "--like", "chiffon"], "both --like and --fabric"),
        (["--name", "rib"], "nothing given for construction, fibre, gsm"),
        (["--like", "chiffon", "--gsm", "5"], "fabric gsm: got 5"),
        (["--like", "chiffon", "--gsm", "nan"], "fabric gsm: got nan"),
        (["--like", "chiffon", "--gsm", "50", "--weight", "2 oz"], "both --weight and --gsm"),
        (["--like", "chiffon", "--weight", "6"], "without a unit"),
        (["--like", "chiffon", "--thread", "40"], "without a unit"),
        (["--like", "chiffon", "--machine", "bensh"], "bensh"),
        (["--like", "chiffon", "--stitch", "roled hem"], "did you mean 'rolled hem'"),
        (["--like", "chiffon", "--name", ""], "fabric name: got ''"),
        (["--like", "chiffon", "--name", "x" * 200], "fabric name: got"),
        (["--like", "chiffon", "--name", "a\x07b"], "fabric name: got"),
        (["--like", "chiffon", "--name", os.fsdecode(b"\xff")], "fabric name: got"),
    ],
)
def test_input_that_makes_no_sense_is_refused_in_a_sentence(run: Run, studio: Path, arguments: list[str], told: str) -> None:
    answer = run("propose", "--stitch", "four-thread overlock", *arguments, "--studio", studio)
    assert answer.status == 2
    assert told in answer.err
    assert len(answer.err.strip().splitlines()) == 1


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--setting", "differential=9"], "9"),
        (["--setting", "upper loper=4"], "upper loper"),
        (["--reading", "edge_lie=3"], "expected a number from -2 to 2"),
        (["--flag", "fire"], "flag: got 'fire'"),
        (["--needle-hours", "inf"], "inf"),
        (["--when", "1066-10-14"], "1066"),
    ],
)
def test_a_swatch_that_cannot_be_is_refused_and_not_logged(run: Run, studio: Path, arguments: list[str], told: str) -> None:
    answer = run("record", *JERSEY, "--fail", *arguments, "--studio", studio)
    assert answer.status == 2
    assert told in answer.err
    assert len(answer.err.strip().splitlines()) == 1
    assert run("check", "--json", "--studio", studio).json["trials"] == 0


def test_a_studio_without_a_machine_says_how_to_add_one(run: Run, tmp_path: Path) -> None:
    answer = run("propose", *JERSEY, "--studio", tmp_path / "new.sqlite")
    assert answer.status == 2
    assert "overedge machine add NAME --generic" in answer.err


def test_with_two_machines_one_must_be_named(run: Run, studio: Path) -> None:
    run("machine", "add", "window", "--generic", "--studio", studio)
    answer = run("propose", *JERSEY, "--studio", studio)
    assert answer.status == 2
    assert "bench, window" in answer.err
    assert run("propose", *JERSEY, "--machine", "window", "--json", "--studio", studio).json["machine"] == "window"


def test_a_file_that_is_no_studio_is_left_alone(run: Run, tmp_path: Path) -> None:
    place = tmp_path / "letter.txt"
    place.write_text("Dear Ada, " * 500)
    answer = run("propose", *JERSEY, "--studio", place)
    assert answer.status == 1
    assert "letter.txt" in answer.err
    assert len(answer.err.strip().splitlines()) == 1
    assert place.read_text().startswith("Dear Ada")
