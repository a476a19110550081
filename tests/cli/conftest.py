"""The command line, run in this process."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from recommender.cli import main


class Told(NamedTuple):
    """What a command answered."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        assert self.status == 0, self.err
        return json.loads(self.out)


Run = Callable[..., Told]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run `overedge` with these arguments; anything but a clean end is an error of the test."""

    def run_it(*arguments: object) -> Told:
        capsys.readouterr()
        with pytest.raises(SystemExit) as end:
            main([str(argument) for argument in arguments])
        out, err = capsys.readouterr()
        return Told(int(end.value.code or 0), out, err)

    return run_it


@pytest.fixture
def studio(tmp_path: Path, run: Run) -> Path:
    """A studio with one machine, called bench."""
    path = tmp_path / "studio.sqlite"
    assert run("machine", "add", "bench", "--generic", "--studio", path).status == 0
    return path
