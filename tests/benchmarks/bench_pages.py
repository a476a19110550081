"""Seconds that a sewer waits for the dashboard with 5000 trials logged, measured in the browser: `make bench`.

Each round starts a server of its own on a copy of one studio, made once and kept in `.make/bench`: its cloths, machines and swatches are
invented. A page counts as usable when its own part is there, no run of it is under way, and no field is still a grey bar. Nothing is
asserted: wall times are the machine's, and whoever reads them knows what else it did. On a busy one the CPU seconds of the server say
more: they hardly depend on what else runs. In the same rounds a page of five fields and nothing else is opened, served by Streamlit's own
command, to hold the first page against.
"""

import os
import shutil
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Generator, Iterator
from contextlib import contextmanager, suppress
from itertools import chain, islice
from pathlib import Path

import numpy as np
from playwright.sync_api import Browser, Page, sync_playwright

from data.demo.workshop import Workshop
from recommender.studio import Studio
from recommender.swatches.store import Store
from recommender.swatches.tables import SCHEMA
from recommender.swatches.trial import Trial
from tests.benchmarks.bench_studio import swatches_of

TRIALS = 5000
ROUNDS = 5
MOST = 300
"""Seconds that making the studio may take."""
KEPT = Path(__file__).parents[2] / ".make" / "bench"
CHROMIUM = "/usr/bin/chromium"
QUIET = "--no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking --disable-component-update --disable-sync"

FIRST, ANOTHER = "first page, from the start of the server", "first page of another tablet"
SAVED = "a rating, from its touch to the new numbers"
BARE, BARE_AGAIN = "five fields and nothing else, from the start", "five fields and nothing else, another tablet"
AIMS = {FIRST: 2.5, ANOTHER: 2.5, SAVED: 0.5}
LATER = 1.0
"""Aims in seconds; `LATER` is that of every page after the first."""
PAGES = {
    "Rate a swatch": "No swatch is being rated",
    "Swatch book": "cloths, the last sewn first",
    "What matters": "How good the proposals have been",
    "Plan swatches": "Make the plan",
    "Machines": "Does it still behave?",
    "The log": "Does every swatch keep to the rules?",
    "New fabric": "Rules behind the baseline",
}
"""By title: what stands low on the page."""
_FIVE_FIELDS = f"""import streamlit as st
st.title("New fabric", anchor=False)
st.selectbox("Machine", ["one", "another"])
st.text_input("Cloth")
st.radio("Fibre", ["cotton", "wool"])
st.number_input("Layers", 1, 8)
st.checkbox("Lined")
st.write("{PAGES["New fabric"]}")
"""
"""A page of so many fields as a sewer needs for the least of seams."""
_AS_OURS = (
    *("--server.address=127.0.0.1", "--server.headless=true", "--server.fileWatcherType=none", "--browser.gatherUsageStats=false"),
    *("--runner.postScriptGC=false", "--client.toolbarMode=minimal"),
)
"""What holds for our pages, too."""
# Asked with every frame that the browser draws: a locator's own waiting looks again after half a second.
_USABLE = """([title, text]) => [...document.querySelectorAll("h1")].some((heading) => heading.textContent.trim() === title)
  && document.body.textContent.includes(text)
  && document.querySelector("[data-testid=stApp]").dataset.testScriptState === "notRunning"
  && !document.querySelector("[data-testid=stSkeleton]")"""
_SAVED = """() => document.body.textContent.includes("Saved: it passes.")
  && [...document.querySelectorAll(".lead")].some((lead) => lead.textContent.includes("Sewn so,"))"""


def made() -> Path:
    """The folder of the studio with its model: the log made where it is missing or of another layout, the model of the present code."""
    place, begun = KEPT / f"studio-{TRIALS}-layout-{SCHEMA}", time.perf_counter()
    done = place / "whole"
    if not done.exists():
        shutil.rmtree(place, ignore_errors=True)
        _log_swatches(place / "studio.sqlite")
        done.touch()
    with Studio.open(place / "studio.sqlite") as studio:
        studio.warm()
        print(f"studio of {len(studio.trials())} trials and its model, made or found in {time.perf_counter() - begun:.0f} s")
    return place


def _log_swatches(place: Path) -> None:
    shop, rng, begun = Workshop(seed=11), np.random.default_rng(11), time.perf_counter()
    swatches = []
    for swatch in islice(swatches_of(shop, rng), TRIALS):
        swatches.append(Trial(**swatch))
        if time.perf_counter() - begun > MOST:
            sys.exit(f"the studio: {len(swatches)} of {TRIALS} swatches after {MOST} s, expected all of them; try on an idle machine")
    with Store.open(place) as store:
        for machine in shop.machines.values():
            store.add_machine(machine)
        store.record_new(swatches)


class Clock:
    """Seconds since it was set, by the wall and by the CPU of one process."""

    def __init__(self, process: int) -> None:
        self._stat = Path(f"/proc/{process}/stat")
        self.set()

    def set(self) -> None:
        """Begin at 0."""
        self._wall, self._cpu = time.perf_counter(), self._used()

    def read(self) -> tuple[float, float]:
        """What has passed."""
        return time.perf_counter() - self._wall, self._used() - self._cpu

    def _used(self) -> float:
        user, system = self._stat.read_text().rpartition(")")[2].split()[11:13]
        return (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")


@contextmanager
def served(log: Path, *module: str) -> Iterator[tuple[str, Clock]]:
    """The address of a new server and a clock that was set when it was started; the module takes the port as its last argument."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    with log.open("wb") as lines:
        environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
        process = subprocess.Popen([sys.executable, "-m", *module, str(port)], stdout=lines, stderr=lines, env=environment)
        clock = Clock(process.pid)
        try:
            yield f"http://127.0.0.1:{port}", clock
        finally:
            process.terminate()
            process.wait(20)


def reached(address: str) -> None:
    """Wait until the server listens, as a browser that is opened beside it would."""
    host, port = address.removeprefix("http://").split(":")
    for _ in range(6000):
        with suppress(OSError), socket.create_connection((host, int(port))):
            return
        time.sleep(0.01)
    sys.exit("the dashboard did not listen within a minute")


def usable(page: Page, title: str) -> None:
    """Wait until a page is whole and at rest."""
    page.wait_for_function(_USABLE, arg=[title, PAGES[title]])


def round_of(browser: Browser, studio: Path) -> Iterator[tuple[str, tuple[float, float]]]:
    """What each thing took, once."""
    with tempfile.TemporaryDirectory() as folder:
        own = Path(shutil.copytree(studio, Path(folder) / "studio")) / "studio.sqlite"
        with served(Path(folder) / "server.log", "recommender", "serve", "--studio", str(own), "--port") as (address, clock):
            page = yield from _first_pages(browser, address, clock, FIRST, ANOTHER)
            for title in PAGES:
                clock.set()
                page.get_by_role("link", name=title, exact=True).first.click()
                usable(page, title)
                yield title, clock.read()
            _begin_to_rate(page)
            clock.set()
            page.get_by_role("button", name="Save: it passes", exact=True).click()
            page.wait_for_function(_SAVED)
            yield SAVED, clock.read()
            page.context.close()


def bare_round_of(browser: Browser) -> Iterator[tuple[str, tuple[float, float]]]:
    """The same of a page of five fields."""
    with tempfile.TemporaryDirectory() as folder:
        (fields := Path(folder) / "fields.py").write_text(_FIVE_FIELDS, encoding="utf-8")
        with served(Path(folder) / "server.log", "streamlit", "run", str(fields), *_AS_OURS, "--server.port") as (address, clock):
            page = yield from _first_pages(browser, address, clock, BARE, BARE_AGAIN)
            page.context.close()


def _first_pages(
    browser: Browser, address: str, clock: Clock, first: str, another: str
) -> Generator[tuple[str, tuple[float, float]], None, Page]:
    """What the first page of a new server took, and that of another tablet; the first one stays open."""
    reached(address)
    page = _opened(browser, address)
    yield first, clock.read()
    clock.set()
    _opened(browser, address).context.close()
    yield another, clock.read()
    return page


def _opened(browser: Browser, address: str) -> Page:
    """The first page in a browser that was never there."""
    page = browser.new_context(viewport={"width": 820, "height": 1180}).new_page()
    page.set_default_timeout(60_000)
    page.goto(address)
    usable(page, "New fabric")
    return page


def _begin_to_rate(page: Page) -> None:
    page.get_by_role("button", name="Sew a swatch, then rate it here").click()
    page.get_by_role("button", name="It passes", exact=True).click()
    page.get_by_role("button", name="Save: it passes", exact=True).wait_for()
    page.locator("[data-testid=stApp][data-test-script-state=notRunning]").wait_for()
    page.wait_for_timeout(500)  # a sewer's hand on its way


def main() -> None:
    """Print the figures beside the aims."""
    studio, took = made(), defaultdict[str, list[tuple[float, float]]](list)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=QUIET.split())
        for _ in range(ROUNDS):
            for what, seconds in chain(round_of(browser, studio), bare_round_of(browser)):
                took[what].append(seconds)
    print(f"{TRIALS} trials logged; medians of {ROUNDS} rounds in the browser, load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    print(f"{'':46}{'seconds':>8}{'slowest':>9}{'aim':>6}{'CPU of the server':>20}")
    medians = {what: statistics.median(seconds for seconds, _ in both) for what, both in took.items()}
    for what, both in took.items():
        aim = "" if what in (BARE, BARE_AGAIN) else f"{AIMS.get(what, LATER):.1f}"
        print(f"{what:46}{medians[what]:8.2f}{max(both)[0]:9.2f}{aim:>6}{statistics.median(cpu for _, cpu in both):20.2f}")
    times, again = medians[FIRST] / medians[BARE], medians[ANOTHER] / medians[BARE_AGAIN]
    print(f"the first page takes {times:.1f} times as long as five fields, another tablet's {again:.1f} times")


if __name__ == "__main__":
    main()
