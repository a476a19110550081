"""The care of machines on the command line."""

from pathlib import Path

import pytest

from tests.cli.conftest import Run


def test_a_deed_is_noted_and_listed(run: Run, studio: Path) -> None:
    assert "Nothing is noted yet" in run("care", "--studio", studio).out
    given = ["--machine", "bench", "--deed", "needle changed", "--when", "2026-03-01", "--who", "Ann", "--note", "size 80"]
    noted = run("care", *given, "--json", "--studio", studio).json
    assert run("care", "--machine", "bench", "--deed", "cleaned", "--studio", studio).status == 0
    newest, oldest = run("care", "--json", "--studio", studio).json
    assert (newest["deed"], [oldest]) == ("cleaned", noted)
    told = run("care", "--machine", "bench", "--studio", studio).out
    for words in ("2026-03-01", "needle changed", "Ann", "size 80"):
        assert words in told


def test_a_wrong_entry_is_taken_back_by_its_number(run: Run, studio: Path) -> None:
    (noted,) = run("care", "--machine", "bench", "--deed", "needle changed", "--json", "--studio", studio).json
    assert f"{noted['number']} " in run("care", "--studio", studio).out
    assert run("care", "--withdraw", noted["number"], "--why", "another machine", "--json", "--studio", studio).json == []
    assert "withdrawn before" in run("care", "--withdraw", noted["number"], "--why", "again", "--studio", studio).err


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--deed", "cleaned"], "expected --machine with --deed"),
        (["--machine", "bench", "--deed", "neddle changed"], "did you mean 'needle changed'"),
        (["--machine", "bensh", "--deed", "cleaned"], "did you mean 'bench'"),
        (["--machine", "bensh"], "did you mean 'bench'"),
        (["--note", "size 80"], "expected --deed"),
        (["--why", "a mistake"], "expected --withdraw"),
        (["--withdraw", "1"], "got '', expected text"),
        (["--withdraw", "1", "--why", "a mistake"], "expected the number of an entry"),
        (["--withdraw", "1", "--why", "a mistake", "--machine", "bench"], "expected --withdraw with --why"),
        (["--machine", "bench", "--deed", "cleaned", "--when", "2199-01-01"], "until tomorrow"),
    ],
)
def test_a_deed_that_makes_no_sense_is_refused_in_a_sentence(run: Run, studio: Path, arguments: list[str], told: str) -> None:
    answer = run("care", *arguments, "--studio", studio)
    assert answer.status == 2
    assert told in answer.err
    assert len(answer.err.strip().splitlines()) == 1
