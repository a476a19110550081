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


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--deed", "cleaned"], "expected --machine with --deed"),
        (["--machine", "bench", "--deed", "neddle changed"], "did you mean 'needle changed'"),
        (["--machine", "bensh", "--deed", "cleaned"], "did you mean 'bench'"),
        (["--machine", "bensh"], "did you mean 'bench'"),
        (["--note", "size 80"], "expected --deed"),
        (["--machine", "bench", "--deed", "cleaned", "--when", "2199-01-01"], "until tomorrow"),
    ],
)
def test_a_deed_that_makes_no_sense_is_refused_in_a_sentence(run: Run, studio: Path, arguments: list[str], told: str) -> None:
    answer = run("care", *arguments, "--studio", studio)
    assert answer.status == 2
    assert told in answer.err
    assert len(answer.err.strip().splitlines()) == 1
