"""`make pictures`: the dashboard's screens as they are now, with the invented demo studio, into `dashboard/pictures/`.

It stands among the tests because it opens the dashboard as they do, in the same browser, and is of no use without a checkout.
"""

import io
import os
import re
import sys
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

from recommender import Studio
from recommender.cli.serving import demo
from recommender.trade.tables import share

from .conftest import CHROMIUM, PHONE, QUIET, SIZES, serving, settle
from .walks import go, press

FOLDER = share("dashboard") / "pictures"
MOST = 1_500_000
"""Bytes of all pictures together."""
SHADES = 64
"""Greys and one ink need few; what is left out of a picture is a third of its bytes."""
NOTEBOOK = share("data") / "examples" / "notebook.csv"
PORT = 8599
"""The square of a card names it, so it is the same each time."""
LONG = 120_000
"""ms; going through the whole log takes a while on a busy machine."""


def new_fabric(page: Page) -> None:
    """As it opens."""
    page.get_by_text(re.compile("^Sewn so,")).wait_for(timeout=LONG)


def rate_a_swatch(page: Page) -> None:
    press(page, "Sew a swatch, then rate it here")
    press(page, "It fails")
    press(page, "stretched, wavy")
    _up(page, "What does it look like?")


def swatch_book(page: Page) -> None:
    go(page, "Swatch book")


def setup_card(page: Page) -> None:
    """The card of the setting that sewed the first cloth of the book best."""
    go(page, "Swatch book")
    page.locator("[class*=st-key-opens_] button").first.click()
    page.get_by_role("heading", name="Best settings").wait_for()
    settle(page)
    press(page, re.compile("^Open this swatch"))
    page.get_by_role("radio", name="Setup card", exact=True).click()
    page.locator(".setup-card").wait_for()
    page.locator("[class*=st-key-card_files]").evaluate("element => element.scrollIntoView()")


def what_matters(page: Page) -> None:
    go(page, "What matters")
    replay = page.get_by_role("button", name=re.compile("^Go through the log"))
    if replay.count():  # the score that comes with the demo's log is of other code
        replay.click()
    page.get_by_role("heading", name="Do the chances come true?").wait_for(timeout=LONG)
    page.get_by_role("heading", name="What matters", level=1).evaluate("element => element.scrollIntoView()")


def plan_swatches(page: Page) -> None:
    go(page, "Plan swatches")


def machines(page: Page) -> None:
    go(page, "Machines")


def the_log(page: Page) -> None:
    go(page, "The log")
    rows = NOTEBOOK.read_text(encoding="utf-8").replace("bench", "window table")  # a machine of the demo studio
    page.locator("input[type=file]").set_input_files({"name": NOTEBOOK.name, "mimeType": "text/csv", "buffer": rows.encode()})
    page.get_by_text("would be refused").wait_for(timeout=LONG)


PAGES = (new_fabric, rate_a_swatch, swatch_book, setup_card, what_matters, plan_swatches, machines, the_log)
ALSO = ((new_fabric, "phone", "light"), (rate_a_swatch, "tablet", "dark"))
"""One on a phone, and one in the dark."""


def wanted() -> list[tuple[Callable[[Page], None], str, str]]:
    """Which page, on which screen, in which light."""
    return [(page, size, "light") for page in PAGES for size in SIZES] + list(ALSO)


def named(page: Callable[[Page], None], size: str, light: str) -> str:
    """The name of the file."""
    return "-".join([page.__name__.replace("_", "-"), size, *(["dark"] if light == "dark" else [])]) + ".png"


def take_all(folder: Path) -> None:
    """Every picture, and none that was there before; where one cannot be taken, the folder stays as it was."""
    taken: dict[str, bytes] = {}
    with TemporaryDirectory() as made:
        studio = str(Path(made) / "demo.sqlite")
        demo(serve=False, studio=studio)
        _plan(studio)
        with serving(studio, Path(made), port=PORT) as address, sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=QUIET.split())
            for show, size, light in wanted():
                name = named(show, size, light)
                taken[name] = small(_taken(browser, address, show, size, light))
                print(f"{name}: {len(taken[name]) // 1000} kB", flush=True)
    for old in folder.glob("*.png"):
        old.unlink()
    for name, picture in taken.items():
        (folder / name).write_bytes(picture)


def _plan(studio: str) -> None:
    """Three planned swatches for the list; as each picture has a browser of its own, nothing else is written."""
    with Studio.open(studio) as opened:
        last = opened.trials()[-1]
        for one in opened.next(3, fabric=last.fabric, stitch=last.stitch, machine=last.machine):
            opened.set_aside(fabric=one.fabric, stitch=one.stitch, machine=one.machine, settings=one.settings, reason=one.reason)


def _taken(browser: Browser, address: str, show: Callable[[Page], None], size: str, light: str) -> bytes:
    width, height = (SIZES | PHONE)[size]
    context = browser.new_context(
        viewport={"width": width, "height": height},
        color_scheme=light,
        reduced_motion="reduce",
        locale="en-GB",
        timezone_id="UTC",
        has_touch=size != "desk",
    )
    try:
        page = context.new_page()
        page.set_default_timeout(LONG)
        page.goto(address)
        settle(page)
        show(page)
        page.get_by_text("The model is learning").wait_for(state="detached")  # a studio that was just made learns from its log first
        settle(page)
        page.mouse.move(0, height - 1)  # else the last touch leaves its mark
        return page.screenshot(animations="disabled", caret="hide")
    finally:
        context.close()


def _up(page: Page, heading: str) -> None:
    """Scroll until a heading stands at the top."""
    settle(page)
    page.get_by_role("heading", name=heading).evaluate("element => element.scrollIntoView()")


def small(png: bytes) -> bytes:
    """The same picture in few shades."""
    with Image.open(io.BytesIO(png)) as picture:
        few = picture.convert("RGB").quantize(SHADES, Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
    packed = io.BytesIO()
    few.save(packed, "PNG", optimize=True)
    return packed.getvalue()


if __name__ == "__main__":
    os.environ["TZ"] = "UTC"  # dates on the screens are those of the server's own day
    FOLDER.mkdir(exist_ok=True)
    take_all(FOLDER)
    total = sum(path.stat().st_size for path in FOLDER.glob("*.png"))
    sys.exit(f"the pictures have {total} bytes, expected at most {MOST}; take fewer SHADES" if total > MOST else 0)
