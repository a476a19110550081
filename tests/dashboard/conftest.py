"""The dashboard run by Streamlit's own test driver, and in a browser that may talk to nobody else."""

import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import streamlit as st
from playwright.sync_api import Browser, Page, Request, sync_playwright
from streamlit import config
from streamlit.testing.v1 import AppTest

from recommender import Machine, Studio
from recommender.trade.tables import share

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
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "streamlit", "run", str(DASHBOARD / "app.py"), "--server.port", str(port)]
    with (tmp_path / "server.log").open("wb") as log:
        process = subprocess.Popen(command, cwd=DASHBOARD, env={**os.environ, "PYTHONPATH": str(DASHBOARD.parent)}, stdout=log, stderr=log)
        try:
            _wait(f"http://127.0.0.1:{port}/_stcore/health", tmp_path / "server.log")
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


def settle(page: Page) -> None:
    """Wait until the page is drawn and no run is under way."""
    page.get_by_role("heading", level=1).wait_for()
    page.wait_for_timeout(150)  # a touch reaches the server and comes back as running
    page.locator("[data-testid=stApp][data-test-script-state=notRunning]").wait_for()
    page.wait_for_timeout(150)


def _wait(health: str, log: Path) -> None:
    for _ in range(150):
        try:
            with urllib.request.urlopen(health, timeout=2):
                return
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            time.sleep(0.2)
    pytest.fail(f"the dashboard did not answer: {log.read_text(errors='replace')[-2000:]}", pytrace=False)
