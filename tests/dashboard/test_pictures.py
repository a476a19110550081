"""The screens in the README are those that `make pictures` takes."""

import io
import re
from pathlib import Path

import numpy as np
from PIL import Image

from .conftest import PHONE, SIZES
from .pictures import FOLDER, MOST, PAGES, named, small, wanted
from .walks import PAGES as TITLES

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")


def test_the_folder_holds_what_is_taken_and_nothing_else():
    assert {path.name for path in FOLDER.iterdir()} == {named(*one) for one in wanted()}


def test_every_page_and_the_card_are_taken_on_a_desk_and_on_a_tablet():
    names = {page.__name__.replace("_", " ").capitalize() for page in PAGES}
    assert names == {*TITLES, "Setup card"}
    assert {(page, size) for page in PAGES for size in SIZES} <= {(page, size) for page, size, light in wanted() if light == "light"}


def test_each_picture_is_a_whole_screen_and_all_together_are_small():
    for page, size, light in wanted():
        with Image.open(FOLDER / named(page, size, light)) as picture:
            assert picture.size == (SIZES | PHONE)[size]
    assert sum(path.stat().st_size for path in FOLDER.iterdir()) < MOST


def test_the_readme_shows_two_of_them():
    shown = re.findall(r"!\[[^]]+\]\(dashboard/pictures/([^)]+)\)", README)
    assert len(shown) == len(set(shown)) == 2
    assert all((FOLDER / name).exists() for name in shown)


def test_fewer_shades_make_a_picture_smaller_and_change_no_grey_much():
    grey = Image.linear_gradient("L").resize((640, 640)).convert("RGB")
    whole = io.BytesIO()
    grey.save(whole, "PNG")
    with Image.open(io.BytesIO(small(whole.getvalue()))) as picture:
        again = picture.convert("RGB")
    assert len(small(whole.getvalue())) < len(whole.getvalue())
    assert np.abs(np.asarray(grey, dtype=int) - np.asarray(again, dtype=int)).max() <= 4
