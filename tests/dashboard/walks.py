"""Walks through the dashboard, and what is measured wherever one of them stops.

A walk has a browser tab of its own. Each of its stops is looked at in light and dark and at every width; what was found is kept for
the tests of `test_accessible.py`, so that every walk is made once.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, expect

from recommender.trade.tables import share

AXE = files("axe_playwright_python").joinpath("axe.min.js").read_text(encoding="utf-8")
MEASURES = Path(__file__).with_name("measures.js").read_text(encoding="utf-8")
PAGES = ("New fabric", "Rate a swatch", "Swatch book", "What matters", "Plan swatches", "Machines", "The log")
DESK, TABLET, ZOOMED, PHONE, NARROWEST = (1280, 800), (768, 1024), (640, 400), (390, 844), (320, 640)
"""Sizes in CSS px; a desk at 200 % is 640 px wide, and at 400 % 320 px."""
SPACED = (
    "* { transition: none !important; line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important } "
    "p { margin-bottom: 2em !important }"
)
"""What WCAG 2.2, success criterion 1.4.12, lets a reader do to every text."""
RULES = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")
_AT_REST = """async () => {
    await new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)));
    const ends = document.getAnimations().filter(one => one.effect.getComputedTiming().endTime < 2000);
    await Promise.all(ends.map(one => one.finished.catch(() => null)));
}"""
# A target that a bar at the foot of the window lies over is as large as it is where it has been scrolled clear of the bar.
_AXE_RUN = """async values => {
    const options = {resultTypes: ['violations'], preload: false}, found = [];
    const {violations} = await axe.run(document, {...options, runOnly: {type: 'tag', values}});
    for (const {id, impact, nodes} of violations) for (const one of nodes) {
        if (id === 'target-size') {
            const target = document.querySelector(one.target.join(' ')), scrolled = [];
            for (let at = target; at; at = at.parentElement) scrolled.push([at, at.scrollTop]);
            target.scrollIntoView({block: 'center', behavior: 'instant'});
            const clear = await axe.run(target, {...options, runOnly: {type: 'rule', values: [id]}});
            scrolled.forEach(([at, top]) => { at.scrollTop = top; });
            if (!clear.violations.length) continue;
        }
        found.push([impact, id, one.target.join(' '), one.html.slice(0, 200)]);
    }
    return found;
}"""
_NAMED = frozenset({
    "button", "checkbox", "combobox", "DisclosureTriangle", "image", "link", "listbox",
    "menuitem", "option", "radio", "searchbox", "spinbutton", "switch", "textbox",
})  # fmt: skip
"""Roles of the browser's accessibility tree that are nothing without a name."""


@dataclass(slots=True)
class Found:
    """What one walk has come upon; every sentence begins with its stop."""

    stops: list[str] = field(default_factory=list)
    axe: list[tuple[str, str, str, str, str]] = field(default_factory=list)
    """Stop, impact, rule, selector and HTML."""
    looked: dict[str, int] = field(default_factory=dict)
    """By measure, how many things it has looked at."""
    short: dict[str, list[str]] = field(default_factory=dict)
    """By measure, what falls short."""
    titles: dict[str, str] = field(default_factory=dict)
    """By stop, the title of the page."""

    def take(self, measure: str, looked: int, short: list[str], where: str) -> None:
        self.looked[measure] = self.looked.get(measure, 0) + looked
        self.short.setdefault(measure, []).extend(f"{where}: {sentence}" for sentence in short)


Walk = Callable[[Page], Iterator[str]]


def walked(page: Page, walk: Walk) -> Found:
    """Make a walk, and look about at each of its stops."""
    found = Found()
    for stop in walk(page):
        look(page, stop, found)
    return found


def look(page: Page, stop: str, found: Found) -> None:
    """Everything that can be measured at one stop; leaves the page in light on the desk, as it came."""
    found.stops.append(stop)
    found.titles[stop] = page.title()
    _rest(page)
    page.evaluate(MEASURES)
    _names(page, stop, found)
    _list(page, "undescribed", "undescribed", stop, found)
    _inspect(page, f"{stop}, light, {DESK[0]} px", found)
    for size in (ZOOMED, NARROWEST, PHONE, TABLET):
        _resize(page, size)
        _list(page, "wide", "wide", f"{stop}, {size[0]} px", found)
    _spaced(page, stop, found)
    page.emulate_media(color_scheme="dark")  # what axe looks at hangs on the scheme or on the width, never on both together
    _rest(page)
    _inspect(page, f"{stop}, dark, {TABLET[0]} px", found)
    page.emulate_media(color_scheme="light")
    _resize(page, DESK)


def _inspect(page: Page, where: str, found: Found) -> None:
    """What hangs on colour or on size, as the page stands."""
    _list(page, "wide", "wide", where, found)
    found.axe += [(where, *one) for one in axe(page)]
    for measure in ("texts", "drawings", "controls"):
        got: dict[str, Any] = page.evaluate(f"measures.{measure}()")
        found.take(measure, got["looked"], got["short"], where)


def axe(page: Page) -> list[tuple[str, str, str, str]]:
    """What axe-core finds: impact, rule, selector and HTML."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE)
    return [tuple(one) for one in page.evaluate(_AXE_RUN, RULES)]


def _resize(page: Page, size: tuple[int, int]) -> None:
    page.set_viewport_size({"width": size[0], "height": size[1]})
    _rest(page)


def _rest(page: Page) -> None:
    """Wait until columns have folded, colours have faded over and expanders have opened."""
    page.wait_for_timeout(40)
    page.evaluate(_AT_REST)


def _spaced(page: Page, stop: str, found: Found) -> None:
    """What is lost on a tablet where the letters, words, lines and paragraphs are set apart."""
    style = page.add_style_tag(content=SPACED)
    _rest(page)
    where = f"{stop}, spaced, {TABLET[0]} px"
    _list(page, "wide", "spaced", where, found)
    got: dict[str, Any] = page.evaluate("measures.crowded()")
    found.take("spaced", got["looked"], got["short"], where)
    style.evaluate("one => one.remove()")


def _list(page: Page, call: str, measure: str, where: str, found: Found) -> None:
    found.take(measure, 1, page.evaluate(f"measures.{call}()"), where)


def _names(page: Page, stop: str, found: Found) -> None:
    """Controls and pictures that the browser's own accessibility tree has no name for."""
    session = page.context.new_cdp_session(page)
    nodes = [node for node in session.send("Accessibility.getFullAXTree")["nodes"] if not node.get("ignored")]
    session.detach()
    named = [node for node in nodes if node["role"]["value"] in _NAMED]
    bare = [node["role"]["value"] for node in named if not node.get("name", {}).get("value", "").strip()]
    found.take("names", len(named), [f"a {role} without a name" for role in bare], stop)


def settle(page: Page) -> None:
    """Wait until the page is drawn and no run is under way."""
    page.get_by_role("heading", level=1).wait_for()
    page.wait_for_timeout(150)  # a touch reaches the server and comes back as running
    page.locator("[data-testid=stApp][data-test-script-state=notRunning]").wait_for()
    page.wait_for_function("!document.querySelector('[data-testid=stSkeleton]')")  # the browser has what it draws the fields with
    page.wait_for_timeout(150)


def press(page: Page, name: str | re.Pattern[str]) -> None:
    page.get_by_role("button", name=name, exact=True).first.click()
    settle(page)


def go(page: Page, title: str) -> None:
    page.get_by_role("link", name=title, exact=True).first.click()
    expect(page.get_by_role("heading", level=1, name=title)).to_be_visible()
    settle(page)


def open_all(page: Page) -> None:
    """Every expander, those inside others too."""
    closed = page.locator("details:not([open]) > summary:visible")
    while closed.count():
        closed.first.click()
        settle(page)


def choose(page: Page, name: str) -> None:
    page.get_by_role("radio", name=name, exact=True).click()
    settle(page)


def open_list(page: Page, name: str) -> None:
    """The list of a field; it closes while the page scrolls to the field, which takes keys a moment after it has the focus."""
    page.get_by_role("combobox", name=name, exact=True).focus()
    while not page.get_by_role("listbox").count():
        page.wait_for_timeout(300)
        page.keyboard.press("ArrowDown")


def wrong(page: Page, column: str) -> None:
    """Say in a form that corrects something that a column is wrong."""
    open_list(page, "What is wrong?")
    page.keyboard.type(column)
    page.get_by_role("option", name=column, exact=True).click()
    page.get_by_text("What stood before stays in").wait_for()  # drawn anew while it closes, the list may stay where it was
    page.keyboard.press("Escape")
    expect(page.get_by_role("listbox")).to_have_count(0)
    settle(page)


def through_an_empty_studio(page: Page) -> Iterator[str]:
    for title in PAGES:
        go(page, title)
        yield f"{title}, nothing there yet"


def new_fabric(page: Page) -> Iterator[str]:
    open_all(page)
    yield "New fabric"
    open_list(page, "Stitch")
    yield "New fabric, a list open"


def a_fault_and_a_card(page: Page) -> Iterator[str]:
    page.get_by_role("textbox", name="Weight, g/m2").fill("much")
    page.keyboard.press("Tab")
    page.get_by_test_id("stAlert").filter(has_text="weight").wait_for()
    settle(page)
    yield "New fabric, a field to be mended"
    page.get_by_role("textbox", name="Weight, g/m2").fill("180")
    page.keyboard.press("Tab")
    settle(page)
    press(page, "Setup card")
    page.get_by_role("dialog").wait_for()
    settle(page)
    yield "New fabric, the card open"


def rate_a_swatch(page: Page) -> Iterator[str]:
    press(page, "Sew a swatch, then rate it here")
    expect(page.get_by_role("heading", level=1, name="Rate a swatch")).to_be_visible()
    settle(page)
    yield "Rate a swatch"
    press(page, "It fails")
    press(page, "stretched, wavy")
    press(page, "ladders when opened: a little")
    open_all(page)
    yield "Rate a swatch, it fails"
    press(page, "Save: it fails")
    page.get_by_text("Saved: it fails.").wait_for()
    open_all(page)
    yield "Rate a swatch, after a fail"


def swatch_book(page: Page) -> Iterator[str]:
    go(page, "Swatch book")
    open_all(page)
    yield "Swatch book"
    page.locator("[class*=st-key-opens_] button").first.click()
    page.get_by_role("heading", name="Best settings").wait_for()
    open_all(page)
    wrong(page, "Weight")
    yield "Swatch book, a cloth"
    press(page, re.compile("^Open this swatch"))
    page.get_by_role("heading", name="Sewn with").wait_for()
    settle(page)
    for deed in ("Setup card", "Copy to a machine", "Photo", "Correct", "Withdraw"):
        choose(page, deed)
        if deed == "Correct":
            wrong(page, "Note")
        yield f"Swatch book, a swatch, {deed}"


def what_matters(page: Page) -> Iterator[str]:
    go(page, "What matters")
    replay = page.get_by_role("button", name=re.compile("^Go through the log"))
    if replay.count():  # the score that comes with the demo's log is of other code
        replay.click()
    page.get_by_role("heading", name="Do the chances come true?").wait_for(timeout=90_000)
    open_all(page)
    yield "What matters"


def plan_swatches(page: Page) -> Iterator[str]:
    go(page, "Plan swatches")
    open_all(page)
    press(page, "Make the plan")
    yield "Plan swatches, a plan"


def machines(page: Page) -> Iterator[str]:
    go(page, "Machines")
    open_all(page)
    yield "Machines"


def _spreadsheet() -> bytes:
    """Three rows: one is new, one is refused, and one is there already."""
    head, new, refused, known = (share("data") / "demo" / "trials.csv").read_text(encoding="utf-8").splitlines()[:4]
    return "\n".join((head, new.replace("demo-0001", "another"), refused.replace(",445,", ",much,"), known)).encode()


def the_log(page: Page) -> Iterator[str]:
    go(page, "The log")
    page.locator("input[type=file]").set_input_files({"name": "swatches.csv", "mimeType": "text/csv", "buffer": _spreadsheet()})
    page.get_by_text("would be refused").wait_for(timeout=60_000)
    press(page, re.compile("^Check [0-9]+ swatches"))
    page.get_by_text("Nothing is wrong.").wait_for(timeout=60_000)
    settle(page)
    open_all(page)
    yield "The log, a file looked at and the log checked"


WALKS: Mapping[str, Walk] = {
    "an empty studio": through_an_empty_studio,
    "New fabric": new_fabric,
    "New fabric, a fault and the card": a_fault_and_a_card,
    "Rate a swatch": rate_a_swatch,
    "Swatch book": swatch_book,
    "What matters": what_matters,
    "Plan swatches": plan_swatches,
    "Machines": machines,
    "The log": the_log,
}
