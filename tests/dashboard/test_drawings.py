"""The drawings: one for each step, all different, without colour, with words for those who do not see them."""

import base64
import doctest
import importlib
import re
from types import SimpleNamespace
from xml.etree import ElementTree as ET

import pytest

from recommender.trade.machine import Machine
from recommender.trade.readings import READINGS

SCORES = [step / 2 for step in range(-4, 5)]


@pytest.fixture
def seams():
    return importlib.import_module("parts.seams")


@pytest.mark.parametrize("name", ["parts.svg", "parts.words", "parts.proposal", "parts.thread_path"])
def test_the_examples_in_the_docstrings_hold(name):
    result = doctest.testmod(importlib.import_module(name))
    assert result.attempted
    assert not result.failed


@pytest.mark.parametrize("reading", READINGS)
def test_each_half_step_of_a_reading_has_its_own_well_formed_drawing(seams, reading):
    drawings = {seams.seam(reading, score) for score in SCORES}
    assert len(drawings) == len(SCORES)
    assert all(ET.fromstring(drawing).tag.endswith("svg") for drawing in drawings)


@pytest.mark.parametrize("reading", READINGS)
def test_drawings_have_no_colour_of_their_own(seams, reading):
    for score in SCORES:
        assert set(re.findall(r'(?:stroke|fill)="([^"]*)"', seams.seam(reading, score))) <= {"currentColor", "none"}


@pytest.mark.parametrize("reading", READINGS)
def test_each_drawing_is_told_in_words(seams, reading):
    noun = READINGS[reading]
    for score, words in ((-2, noun.minus), (0, noun.nought), (2, noun.plus)):
        assert f'aria-label="{noun.title}, {score:+g}: {words}"' in seams.show_seam(reading, score)


def test_nothing_is_drawn_outside_its_picture(seams):
    for reading in READINGS:
        for score in SCORES:
            for points in re.findall(r'points="([^"]*)"', seams.seam(reading, score)):
                places = [tuple(map(float, point.split(","))) for point in points.split()]
                assert all(-1 <= x <= seams.WIDTH + 1 and -1 <= y <= seams.HEIGHT + 1 for x, y in places), (reading, score)


def test_packed_stitches_are_drawn_closer_than_gappy_ones(seams):
    def crossings(score):
        return seams.seam("stitch_cover", score).count('stroke-width="3.4"')

    assert [crossings(score) for score in (-2, 0, 2)] == sorted(crossings(score) for score in (-2, 0, 2))
    assert crossings(2) > crossings(0) > crossings(-2)


def scale_of(**more):
    draw = importlib.import_module("parts.scale").scale
    given = {"baseline": 4, "proposal": 5.5, "band": (5, 6), "window": (4.5, 6.5), "verdict": "trust"}
    return draw("tension: upper looper", Machine.generic("bench").dial("tension: upper looper"), **{**given, **more})


def test_a_scale_places_its_marks_in_the_machines_range():
    drawing = scale_of(baseline=0, proposal=9)
    assert '<i class="baseline" style="left: 0.00%"></i>' in drawing
    assert '<i class="proposal" style="left: 100.00%"></i>' in drawing


def test_a_scale_says_both_settings_and_whether_to_trust_the_proposal():
    drawing = scale_of(verdict="test")
    assert "<b>set 5.5</b>" in drawing
    assert "baseline 4<" in drawing
    assert ">test this<" in drawing
    assert "80 % band 5 to 6" in drawing


def test_a_band_beyond_the_machines_range_ends_at_the_range():
    assert 'class="band" style="left: 0.00%; width: 100.00%"' in scale_of(band=(-30, 30))


def test_a_name_with_marks_stands_as_text():
    draw = importlib.import_module("parts.bars").bars
    drawing = draw([SimpleNamespace(name='<img src="x">', share=0.5, low=0.4, high=0.6)])
    assert "<img" not in drawing
    assert "&lt;img src=&quot;x&quot;&gt;" in drawing


def test_the_longest_bar_comes_first_and_the_highest_band_fills_the_width():
    draw = importlib.import_module("parts.bars").bars
    shares = [SimpleNamespace(name=name, share=share, low=share / 2, high=share * 2) for name, share in (("small", 0.1), ("large", 0.4))]
    drawing = draw(shares)
    assert drawing.index("large") < drawing.index("small")
    assert "left: 25.0%; width: calc(100.0% - 25.0%)" in drawing


def test_bars_of_nothing_are_nothing():
    assert "<tr>" not in importlib.import_module("parts.bars").bars([])


def curve_of(points, low=(0.0, -1.0), high=(1.0, 0.0)):
    part = importlib.import_module("parts.curve")
    words = {"title": "edge", "axis": "differential", "minus": "gathered", "nought": "flat", "plus": "wavy"}
    words["mark"] = "{:+.0%}".format
    return part.curve(part.Curve(x=(0.7, 2.0), mean=(0.5, -0.5), low=low, high=high, points=points, **words))


def test_a_curve_tells_how_many_trials_stand_behind_it():
    assert 'aria-label="edge, from 2 swatches"' in curve_of([(1.0, 0.2), (1.5, -9.0)])


def test_a_curve_says_how_far_from_the_baseline_in_the_words_given():
    drawing = curve_of([(0.0, 0.0)])
    [coded] = re.findall(r"base64,([A-Za-z0-9+/=]+)", drawing)[:1]
    assert ">+200%<" in base64.b64decode(coded).decode()


def test_a_curve_without_trials_is_drawn_all_the_same():
    assert 'aria-label="edge, from 0 swatches"' in curve_of([])
