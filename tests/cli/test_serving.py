"""The demo studio and the dashboard, from the command line."""

import os
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from recommender.cli import serving
from recommender.trade.tables import share
from tests.cli.conftest import Run


@pytest.fixture
def running(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Path, tuple[str, int], str]]:
    """The folder that would have been served, where, and the studio that it would have found."""
    for name in ("OVEREDGE_STUDIO", "OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        monkeypatch.setenv(name, os.environ.get(name, ""))  # so that they are put back
    seen: list[tuple[Path, tuple[str, int], str]] = []
    monkeypatch.setattr(
        serving, "run_dashboard", lambda folder, there: seen.append((folder, there.getsockname()[:2], os.environ["OVEREDGE_STUDIO"]))
    )
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
    run: Run, studio: Path, free_port: int, running: list[tuple[Path, tuple[str, int], str]]
) -> None:
    told = run("serve", "--port", free_port, "--studio", studio, "--json").json
    assert (told["address"], told["elsewhere"]) == (f"http://127.0.0.1:{free_port}", None)
    assert f"http://127.0.0.1:{free_port};" in run("serve", "--port", free_port, "--studio", studio).out
    assert running == [(share("dashboard"), ("127.0.0.1", free_port), str(studio))] * 2


@pytest.mark.parametrize("everywhere", ["0.0.0.0", "::"])
def test_an_address_for_the_whole_network_is_told_as_one_that_a_tablet_can_open(
    run: Run, studio: Path, free_port: int, running: list[tuple[Path, tuple[str, int], str]], everywhere: str
) -> None:
    told = run("serve", "--address", everywhere, "--port", free_port, "--studio", studio).out
    assert running
    assert f"http://localhost:{free_port}, from other devices at http://" in told
    assert everywhere not in told
    found = run("serve", "--address", everywhere, "--port", free_port, "--studio", studio, "--json").json
    assert found["address"] == f"http://localhost:{free_port}"
    assert f"from other devices at {found['elsewhere']};" in told


def test_what_is_sent_is_not_held_back_until_the_browser_acknowledges_what_came_before() -> None:
    with serving.listening("127.0.0.1", 0) as there, socket.create_connection(there.getsockname()):
        accepted, _ = there.accept()
        with accepted:
            assert accepted.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY)


def test_every_address_is_listened_at_by_either_protocol() -> None:
    with serving.listening("::", 0) as there:
        for address in ("127.0.0.1", "::1"):
            socket.create_connection((address, there.getsockname()[1])).close()


def test_a_studio_that_cannot_be_opened_ends_the_server_with_a_sentence(studio: Path, free_port: int) -> None:
    (studio.parent / "picture.jpg").write_bytes(b"no log")
    command = [sys.executable, "-m", "recommender", "serve", "--port", str(free_port), "--studio", str(studio.parent / "picture.jpg")]
    ended = subprocess.run(command, check=False, capture_output=True, text=True, timeout=60)
    assert ended.returncode == 1
    [sentence] = ended.stderr.splitlines()
    assert "it is not a studio's log" in sentence


def test_a_port_that_is_taken_is_refused_in_a_sentence(run: Run, studio: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        answer = run("serve", "--port", taken.getsockname()[1], "--studio", studio)
    assert answer.status == 2
    assert "give another --port" in answer.err
