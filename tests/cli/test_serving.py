"""The demo studio and the dashboard, from the command line."""

import os
import socket
from pathlib import Path

import pytest

from recommender.cli import serving
from tests.cli.conftest import Run


@pytest.fixture
def running(monkeypatch: pytest.MonkeyPatch) -> list[tuple[list[str], str]]:
    """What the server would have been run with, and the studio that it would have found."""
    for name in ("OVEREDGE_STUDIO", "OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        monkeypatch.setenv(name, os.environ.get(name, ""))  # so that they are put back
    seen: list[tuple[list[str], str]] = []
    monkeypatch.setattr(serving, "_run", lambda arguments: seen.append((arguments, os.environ["OVEREDGE_STUDIO"])))
    return seen


def test_the_demo_studio_is_made_once(run: Run, tmp_path: Path) -> None:
    place = tmp_path / "demo.sqlite"
    first = run("demo", "--no-serve", "--json", "--studio", place).json
    assert first["trials"] >= 200
    assert first["address"] is None
    assert run("demo", "--no-serve", "--json", "--studio", place).json == first
    assert len(run("machine", "list", "--json", "--studio", place).json) == 2


def test_the_demo_stays_out_of_a_sewers_own_log(run: Run, studio: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    run("record", "--like", "chiffon", "--stitch", "rolled hem", "--pass", "--studio", studio)
    refused = run("demo", "--no-serve", "--studio", studio)
    assert refused.status == 2
    assert "a log of its own" in refused.err

    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "share"))
    monkeypatch.setenv("OVEREDGE_STUDIO", str(tmp_path / "mine.sqlite"))
    told = run("demo", "--no-serve", "--json").json
    assert Path(told["studio"]).is_relative_to(tmp_path / "share")
    assert not (tmp_path / "mine.sqlite").exists()


def test_serving_hands_the_studio_to_the_dashboard_on_this_machine_only(
    run: Run, studio: Path, free_port: int, running: list[tuple[list[str], str]]
) -> None:
    told = run("serve", "--port", free_port, "--studio", studio, "--json").json
    assert told["address"] == f"http://127.0.0.1:{free_port}"
    [(arguments, found)] = running
    assert "--server.address=127.0.0.1" in arguments
    assert "--browser.gatherUsageStats=false" in arguments
    assert Path(arguments[-1]).name == "server.py"
    assert found == str(studio)


def test_a_port_that_is_taken_is_refused_in_a_sentence(run: Run, studio: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        answer = run("serve", "--port", taken.getsockname()[1], "--studio", studio)
    assert answer.status == 2
    assert "give another --port" in answer.err
