"""What every test may rely on: one thread, no trace in the home folder, a database server when it is asked for."""

import os
import shutil
import socket
import subprocess
import time
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

os.environ.setdefault("OMP_NUM_THREADS", "1")  # before numpy is first imported: it reads them once
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# How fast an example is made or tried is the machine's business.
settings.register_profile("overedge", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("overedge")


@pytest.fixture(autouse=True, scope="session")
def _home_apart(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """The user's own studio and settings are out of reach of the tests and of what they start."""
    home = tmp_path_factory.mktemp("home")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("HOME", str(home))
        patch.setenv("XDG_DATA_HOME", str(home / "data"))
        patch.delenv("OVEREDGE_STUDIO", raising=False)
        yield


@pytest.fixture
def far_east(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A studio where it is 14 hours later than UTC."""
    yield from _clocks_of("Pacific/Kiritimati", monkeypatch)


@pytest.fixture
def summer_time(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A studio where the clocks go forward in spring."""
    yield from _clocks_of("Europe/Berlin", monkeypatch)


def _clocks_of(zone: str, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    with monkeypatch.context() as patch:
        patch.setenv("TZ", zone)
        time.tzset()
        yield
    time.tzset()


@pytest.fixture
def free_port() -> int:
    """A port on this machine that nothing listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture(scope="session")
def postgresql_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a throw-away PostgreSQL server, `postgresql+psycopg://postgres@127.0.0.1:PORT`."""
    bin_folder = _postgresql_programs()
    folder = Path("/tmp") / f"overedge-pg-{uuid.uuid4().hex[:8]}"  # a socket's path may not be long
    folder.mkdir(mode=0o700)
    as_postgres: list[str] = []
    if os.geteuid() == 0:  # the server refuses to run as root
        shutil.chown(folder, "postgres")
        as_postgres = ["runuser", "-u", "postgres", "--"]
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]

    def run(program: str, *arguments: str) -> None:
        subprocess.run([*as_postgres, str(bin_folder / program), *arguments], check=True, stdout=subprocess.DEVNULL, cwd="/")

    data = str(folder / "data")
    run("initdb", "-D", data, "-U", "postgres", "-A", "trust", "-E", "UTF8", "--no-sync")
    run("pg_ctl", "-D", data, "-w", "-l", str(folder / "log"), "-o", f"-h 127.0.0.1 -p {port} -k {folder} -F", "start")
    yield f"postgresql+psycopg://postgres@127.0.0.1:{port}"
    run("pg_ctl", "-D", data, "-m", "immediate", "stop")
    shutil.rmtree(folder)


@pytest.fixture
def postgresql_url(postgresql_server: str) -> str:
    """The address of an empty database of its own."""
    import psycopg

    name = f"studio_{uuid.uuid4().hex}"
    with psycopg.connect(postgresql_server.replace("+psycopg", "") + "/postgres", autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')
    return f"{postgresql_server}/{name}"


def _postgresql_programs() -> Path:
    found = [path.parent for path in Path("/usr/lib/postgresql").glob("*/bin/pg_ctl")]
    if on_path := shutil.which("pg_ctl"):
        found.append(Path(on_path).resolve().parent)
    usable = [folder for folder in found if (folder / "initdb").exists()]
    if not usable:
        pytest.fail("this test needs a PostgreSQL server: on Debian, apt-get install postgresql", pytrace=False)
    return usable[0]
