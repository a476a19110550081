"""Machines on the command line."""

from pathlib import Path

import pytest

from tests.cli.conftest import Run

JERSEY = ("--like", "T-shirt jersey", "--stitch", "four-thread overlock")


def test_a_machine_is_added_listed_and_shown(run: Run, studio: Path) -> None:
    assert [machine["name"] for machine in run("machine", "list", "--json", "--studio", studio).json] == ["bench"]
    assert "bench" in run("machine", "list", "--studio", studio).out
    shown = run("machine", "show", "bench", "--studio", studio).out
    assert "tension: upper looper     0   9   0.5     4" in shown
    assert "converter: yes" in shown


def test_what_show_prints_as_json_can_be_added_elsewhere(run: Run, studio: Path, tmp_path: Path) -> None:
    told = run("machine", "show", "bench", "--json", "--studio", studio)
    profile = tmp_path / "bench.json"
    profile.write_text(told.out, encoding="utf-8")
    other = tmp_path / "other.sqlite"
    assert run("machine", "add", "copy", "--profile", profile, "--studio", other).status == 0
    assert run("machine", "show", "copy", "--json", "--studio", other).json == {**told.json, "name": "copy"}


def test_a_profile_may_say_only_what_differs(run: Run, studio: Path, tmp_path: Path) -> None:
    profile = tmp_path / "old.toml"
    profile.write_text(
        "converter = false\ndifferential = { low = 0.5, high = 2.25, step = 0.05, home = 1 }\n"
        '[tension]\n"left needle" = { low = 0, high = 7, step = 0.25, home = 3 }\n'
        '"lower looper" = { low = 0, high = 7, step = 0.25, home = 3 }\n'
    )
    machine = run("machine", "add", "old", "--profile", profile, "--studio", studio, "--json").json
    assert machine["converter"] is False
    assert machine["differential"]["high"] == 2.25
    assert list(machine["tension"]) == ["left needle", "lower looper"]
    assert machine["width"]["high"] == 7.0


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("a.toml", "differential = 1", "differential: got 1"),
        ("a.toml", "differential = { low = 1 }", "expected low, high, step, home"),
        ("a.toml", "differential = { low = 1, high = 2, step = 0.1, home = 5 }", "home mark: got 5"),
        ("a.toml", "diferential = 1", "did you mean 'differential'"),
        ("a.toml", '[tension]\n"middle looper" = { low = 0, high = 9, step = 1, home = 4 }', "thread position: got 'middle looper'"),
        ("a.toml", "differential = ", "expected a machine profile in TOML or JSON"),
        ("a.json", "[1]", "got list"),
        ("a.json", "{", "expected a machine profile in TOML or JSON"),
        ("a.toml", b"\xff\xfe", "expected a machine profile in TOML or JSON"),
    ],
)
def test_a_profile_that_makes_no_sense_is_refused_in_a_sentence(
    run: Run, studio: Path, tmp_path: Path, name: str, content: str | bytes, told: str
) -> None:
    profile = tmp_path / name
    profile.write_bytes(content if isinstance(content, bytes) else content.encode())
    answer = run("machine", "add", "new", "--profile", profile, "--studio", studio)
    assert answer.status == 2
    assert told in answer.err
    assert len(answer.err.strip().splitlines()) == 1
    assert [machine["name"] for machine in run("machine", "list", "--json", "--studio", studio).json] == ["bench"]


@pytest.mark.parametrize("arguments", [[], ["--generic", "--profile", "{}"]])
def test_exactly_one_way_to_describe_a_machine_is_asked_for(run: Run, studio: Path, tmp_path: Path, arguments: list[str]) -> None:
    profile = tmp_path / "empty.toml"
    profile.touch()
    answer = run("machine", "add", "new", *(argument.format(profile) for argument in arguments), "--studio", studio)
    assert answer.status == 2
    assert "expected one of --generic and --profile" in answer.err


def test_an_unknown_machine_gets_the_likeliest_right_one(run: Run, studio: Path) -> None:
    answer = run("machine", "show", "bensh", "--studio", studio)
    assert answer.status == 2
    assert "did you mean 'bench'" in answer.err


def test_a_machine_that_is_there_is_described_anew_only_where_that_is_asked_for(run: Run, studio: Path, tmp_path: Path) -> None:
    told = run("machine", "add", "bench", "--generic", "--studio", studio)
    assert told.status == 2
    assert "'bench', which is in this studio" in told.err
    run("record", *JERSEY, "--pass", "--studio", studio)
    profile = tmp_path / "bench.toml"
    dial = "{ low = 0, high = 9, step = 0.5, home = 5 }"
    profile.write_text(f'[tension]\n"left needle" = {dial}\n"lower looper" = {dial}\n', encoding="utf-8")
    anew = ("machine", "add", "bench", "--profile", profile, "--replace", "--studio", studio)
    told = run(*anew)
    assert told.status == 0
    assert told.out.startswith("Described bench anew.\n  1 swatch of the four-thread overlock would no longer count")
    assert "expected one of: bench" in run("machine", "add", "window", "--generic", "--replace", "--studio", studio).err
