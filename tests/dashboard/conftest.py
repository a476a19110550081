"""The dashboard run by Streamlit's own test driver, and in a browser that may talk to nobody else."""

import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing, contextmanager
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import streamlit as st
from playwright.sync_api import Browser, Page, Request, sync_playwright
from streamlit import config
from streamlit.testing.v1 import AppTest

from recommender import Machine, Studio
from recommender.advice.watching.drift import ALARM, Drift, Suspect
from recommender.trade.tables import share

from .walks import WALKS, Found, settle, walked

DASHBOARD = share("dashboard")
sys.path.insert(0, str(DASHBOARD))  # as Streamlit does for the script that it runs

CHROMIUM = Path("/usr/bin/chromium")
QUIET = "--no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking --disable-component-update --disable-sync"
SIZES = {"desk": (1280, 800), "tablet": (820, 1180)}
PHONE = {"phone": (390, 844)}


@pytest.fixture
def where(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """The studio that the dashboard opens: none there yet."""
    path = str(tmp_path / "studio.sqlite")
    monkeypatch.setenv("OVEREDGE_STUDIO", path)
    yield path
    st.cache_resource.clear()


@pytest.fixture
def studio(where: str) -> Iterator[Studio]:
    """The same studio, with one machine, as a script sees it beside the dashboard."""
    with Studio.open(where) as opened:
        opened.add_machine(Machine.generic("bench"))
        yield opened


@pytest.fixture
def app(where: str) -> AppTest:
    """The dashboard before its first run."""
    config.set_option("client.showErrorDetails", "full")  # else a fault of the program would not be seen
    return AppTest.from_file(str(DASHBOARD / "app.py"), default_timeout=60)


@pytest.fixture
def drifted(monkeypatch: pytest.MonkeyPatch) -> Callable[..., Drift]:
    """Lets every machine be watched as one is that has drifted, or that is otherwise described; returns the watch of the bench."""

    def watched(*suspects: Suspect, **otherwise: Any) -> Drift:
        begun = datetime(2026, 3, 1, tzinfo=UTC)
        seen: dict[str, Any] = {"swatches": 1, "since": None, "running": (ALARM,), "suspects": suspects, "begun": begun, **otherwise}

        def drift(_studio: Studio, machine: str | None = None) -> tuple[Drift]:
            return (Drift(machine=machine or "bench", **seen),)

        monkeypatch.setattr(Studio, "drift", drift)
        return Drift(machine="bench", **seen)

    return watched


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Debian's Chromium; a missing one is a failure, never a skipped test."""
    if not CHROMIUM.exists():
        pytest.fail(f"the browser tests need {CHROMIUM}: on Debian, apt-get install chromium", pytrace=False)
    with sync_playwright() as playwright:
        yield playwright.chromium.launch(executable_path=CHROMIUM, args=QUIET.split())


@pytest.fixture
def server(where: str, tmp_path: Path) -> Iterator[str]:
    """The address of a dashboard on this machine."""
    with serving(where, tmp_path) as address:
        yield address


_SERVE = """
import sys
from pathlib import Path
from recommender.cli.serving import listening, run_dashboard
run_dashboard(Path(sys.argv[1]), listening("127.0.0.1", int(sys.argv[2])))
"""


@contextmanager
def serving(studio: str, folder: Path, dashboard: Path = DASHBOARD, port: int = 0) -> Iterator[str]:
    """Serve the dashboard of a studio; what the server says goes into `server.log` of the folder."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        probe.bind(("127.0.0.1", port))
        port = probe.getsockname()[1]
    command = [sys.executable, "-c", _SERVE, str(dashboard), str(port)]
    env = {**os.environ, "OVEREDGE_STUDIO": studio, "PYTHONPATH": str(DASHBOARD.parent)}
    with (folder / "server.log").open("wb") as log:
        process = subprocess.Popen(command, cwd=dashboard, env=env, stdout=log, stderr=log)
        try:
            _wait(f"http://127.0.0.1:{port}/_stcore/health", folder / "server.log")
            yield f"http://127.0.0.1:{port}"
        finally:
            process.terminate()
            process.wait(20)


@pytest.fixture
def visit(browser: Browser, server: str) -> Iterator[Callable[[str], Page]]:
    """Opens the dashboard on a `desk`, a `tablet` or a `phone`; a request to any other host fails the test."""
    strangers: list[str] = []

    def watch(request: Request) -> None:
        if not request.url.startswith((server, server.replace("http", "ws"), "data:", "blob:")):
            strangers.append(request.url)

    contexts = []

    def open_on(size: str) -> Page:
        width, height = (SIZES | PHONE)[size]
        contexts.append(browser.new_context(viewport={"width": width, "height": height}, has_touch=size != "desk"))
        page = contexts[-1].new_page()
        page.set_default_timeout(20_000)
        page.on("request", watch)
        page.goto(server)
        settle(page)
        return page

    yield open_on
    for context in contexts:
        context.close()
    assert not strangers, f"the page asked another host: {strangers}"


@pytest.fixture(scope="session")
def studios(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[[str], str]]:
    """Addresses of dashboards that many tests share: of the `empty` studio, and of the `demo`'s."""
    with ExitStack() as stack:

        @cache
        def address(kind: str) -> str:
            folder = tmp_path_factory.mktemp(kind)
            studio = str(folder / "studio.sqlite")
            if kind == "demo":
                subprocess.run([sys.executable, "-m", "recommender", "demo", "--no-serve", "--studio", studio], check=True)
            return stack.enter_context(serving(studio, folder))

        yield address


@pytest.fixture(scope="session")
def walk_page(browser: Browser, studios: Callable[[str], str]) -> Callable[[str], Page]:
    """A new tab on the desk for a walk, at the front door of the studio that the walk goes through."""

    def begin(walk: str) -> Page:
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.set_default_timeout(20_000)
        page.goto(studios("empty" if "empty" in walk else "demo"))
        settle(page)
        return page

    return begin


@pytest.fixture(scope="session")
def walks(walk_page: Callable[[str], Page]) -> Callable[[str], Found]:
    """What was found on a walk; each is made once, by the first test that asks."""

    made: dict[str, Found | Exception] = {}

    def found(walk: str) -> Found:
        if walk not in made:
            try:
                with closing(walk_page(walk)) as page:
                    made[walk] = walked(page, WALKS[walk])
            except Exception as error:  # noqa: BLE001  # told to each test that asks, for to try again would take as long again
                made[walk] = error
        if isinstance(one := made[walk], Exception):
            raise one
        return one

    return found


def _wait(health: str, log: Path) -> None:
    for _ in range(150):
        try:
            with urllib.request.urlopen(health, timeout=2):
                return
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            time.sleep(0.2)
    pytest.fail(f"the dashboard did not answer: {log.read_text(errors='replace')[-2000:]}", pytrace=False)
