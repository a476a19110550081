"""What the server does before the first page: it opens the studio, and sends the files of Streamlit's frame itself."""

import asyncio
import gc
import sqlite3
import urllib.error
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from importlib import import_module
from pathlib import Path

import pytest
import streamlit

from recommender import Machine, Studio
from recommender.errors import StudioError

from .conftest import serving, settle

STATIC = Path(streamlit.__file__).parent / "static"


@pytest.fixture
def ready():
    """Lets the server make ready as it does when it starts, the end of which the test then sees."""
    gc.disable()
    yield import_module("server")._make_ready
    gc.unfreeze()
    gc.enable()


def test_the_studio_is_opened_once_and_before_a_page_asks(ready, where, studio, monkeypatch):
    tries, whole = [], Studio.open
    monkeypatch.setattr(Studio, "open", lambda *given, **more: tries.append(given) or whole(*given, **more))
    ready()
    assert tries == [(where,)]
    assert import_module("parts.studio").studio().machines == studio.machines
    assert len(tries) == 1
    assert gc.isenabled()


@pytest.mark.parametrize("error", [StudioError("studio x: it is damaged"), PermissionError(13, "Permission denied", "/x")])
def test_a_studio_that_cannot_be_opened_ends_the_server_with_a_sentence(ready, where, monkeypatch, capsys, error):
    def fails(*_given, **_more):
        raise error

    def leave(status):
        raise SystemExit(status)

    monkeypatch.setattr(Studio, "open", fails)
    monkeypatch.setattr("os._exit", leave)
    with pytest.raises(SystemExit, match="1"):
        ready()
    assert capsys.readouterr().err == f"{error}\n"
    assert gc.isenabled()


def test_an_unforeseen_fault_leaves_the_pages_to_tell_it(ready, where, studio, monkeypatch):
    monkeypatch.setattr(Studio, "warm", lambda _: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        ready()
    assert gc.isenabled()


def sent(address, method="GET"):
    with urllib.request.urlopen(urllib.request.Request(address, method=method), timeout=20) as answer:
        return dict(answer.headers), answer.read()


def test_the_frames_files_are_sent_as_streamlit_sends_them(server):
    """Which answers what is not asked for by GET: held against that."""
    for kind in ("*.js", "*.css", "*.woff2"):
        for file in sorted((STATIC / "static").rglob(kind))[:3]:
            address = f"{server}/{file.relative_to(STATIC).as_posix()}"
            (ours, content), (theirs, _) = sent(address), sent(address, "HEAD")
            assert content == file.read_bytes()
            same = ("content-type", "content-length", "cache-control")
            assert [ours[name] for name in same] == [theirs[name] for name in same]


def test_the_frames_files_go_no_further_than_our_own_layer():
    sent = []

    async def send(message):
        sent.append(message)

    async def inner(scope, _receive, _send):
        sent.append(scope["path"])

    def asked(path, method="GET"):
        sent.clear()
        with ThreadPoolExecutor(1) as thread:  # in this one the browser's loop is at work
            asking = import_module("server").Frame(inner)({"type": "http", "path": path, "method": method}, None, send)
            thread.submit(asyncio.run, asking).result()
        return sent

    file = next((STATIC / "static" / "js").glob("index.*.js"))
    path = f"/{file.relative_to(STATIC).as_posix()}"
    assert asked(path)[1]["body"] == file.read_bytes()
    assert asked(path, "HEAD") == [path]
    assert asked("/static/js/none.js") == ["/static/js/none.js"]


def test_a_server_that_is_stopped_leaves_the_whole_log_in_its_file(browser, where, studio, tmp_path):
    with serving(where, tmp_path) as address, closing(browser.new_context()) as context:
        page = context.new_page()
        page.goto(address)
        settle(page)
        studio.add_machine(Machine.generic("another"))
        studio.close()  # the server is the last that has it open
    with closing(sqlite3.connect(f"file:{where}?mode=ro&immutable=1", uri=True)) as alone:
        assert alone.execute("select count(*) from overedge_events where kind = 'machine'").fetchone() == (2,)


@pytest.mark.parametrize("path", ["/static/../../../pyproject.toml", "/static/%2e%2e/server.py", "/server.py", "/static/js/none.js"])
def test_no_other_file_is_sent(server, path):
    try:
        content = sent(server + path)[1]
    except urllib.error.HTTPError as error:
        content = error.read()
    assert content in {b"Bad Request", (STATIC / "index.html").read_bytes()}


def test_the_pages_have_their_own_look_wherever_the_server_is_started(visit):
    page = visit("desk")
    assert page.evaluate("getComputedStyle(document.querySelector('[data-testid=stApp]')).backgroundColor") == "rgb(247, 246, 242)"
