"""The drawings: one for each step, all different, without colour, with words for those who do not see them."""

import base64
import doctest
import importlib
import re
from types import SimpleNamespace
from xml.etree import ElementTree as ET

import pytest

from recommender.advice.bands import Band
from recommender.advice.passing import ANYWHERE, UNKNOWN, Passing
from recommender.trade.looks import reading
from recommender.trade.machine import Machine
from recommender.trade.readings import READINGS
from recommender.trade.stitch import stitch, stitches
from recommender.trade.thread import POSITIONS

SCORES = [step / 2 for step in range(-4, 5)]


@pytest.fixture
def seams():
    return importlib.import_module("parts.seams")


@pytest.fixture
def shapes():
    return importlib.import_module("parts.seam_shapes")


@pytest.fixture
def lines():
    """The pattern of each thread."""
    return importlib.import_module("parts.thread_path").LINES


def points_of(drawing, style=""):
    """The points of each line and area of a drawing, or of those in one style."""
    found = re.findall(r'points="([^"]*)"([^>]*)', drawing)
    return [[tuple(map(float, point.split(","))) for point in points.split()] for points, how in found if style in how]


def width_of(points):
    return max(x for x, _ in points) - min(x for x, _ in points)


@pytest.mark.parametrize("name", ["parts.svg", "parts.words", "parts.proposal", "parts.thread_path"])
def test_the_examples_in_the_docstrings_hold(name):
    result = doctest.testmod(importlib.import_module(name))
    assert result.attempted
    assert not result.failed


@pytest.mark.parametrize("stitch_name", stitches())
def test_each_half_step_of_a_reading_has_its_own_well_formed_drawing(seams, stitch_name):
    for name in READINGS:
        drawings = {seams.seam(stitch_name, name, score) for score in SCORES}
        assert len(drawings) == len(SCORES)
        assert all(ET.fromstring(drawing).tag.endswith("svg") for drawing in drawings)


@pytest.mark.parametrize("stitch_name", stitches())
def test_drawings_have_no_colour_of_their_own(seams, stitch_name):
    for name in READINGS:
        for score in SCORES:
            assert set(re.findall(r'(?:stroke|fill)="([^"]*)"', seams.seam(stitch_name, name, score))) <= {"currentColor", "none"}


@pytest.mark.parametrize("stitch_name", stitches())
def test_each_drawing_is_told_in_the_words_of_its_stitch(seams, stitch_name):
    for noun in (reading(name, stitch_name) for name in READINGS):
        for score, words in ((-2, noun.minus), (0, noun.nought), (2, noun.plus)):
            assert f'aria-label="{noun.title}, {score:+g}: {words}"' in seams.show_seam(stitch_name, noun.name, score)


@pytest.mark.parametrize("stitch_name", stitches())
def test_nothing_is_drawn_outside_its_picture(seams, stitch_name):
    for name in READINGS:
        for score in SCORES:
            places = [point for points in points_of(seams.seam(stitch_name, name, score)) for point in points]
            assert all(-1 <= x <= seams.WIDTH + 1 and -1 <= y <= seams.HEIGHT + 1 for x, y in places), (name, score)


@pytest.mark.parametrize("stitch_name", stitches())
def test_packed_stitches_are_drawn_closer_than_gappy_ones(seams, stitch_name):
    crossings = [seams.seam(stitch_name, "stitch_cover", score).count('stroke-width="3.4"') for score in (-2, 0, 2)]
    assert crossings == sorted(set(crossings))


@pytest.mark.parametrize("stitch_name", stitches())
def test_a_stitch_is_drawn_with_the_threads_that_run_in_it_and_the_key_names_them(seams, lines, stitch_name):
    runs, key = stitch(stitch_name).positions, seams.threads_key(stitch_name)
    assert [position for position in POSITIONS if f"{position} thread<" in key] == list(runs)
    drawings = seams.seam(stitch_name, "edge_lie", 0) + seams.seam(stitch_name, "looper_balance", 0)
    patterns = set(re.findall(r'points="[^"]*" (.*?) stroke-linejoin', drawings))
    assert {position for position in POSITIONS if lines[position] in patterns} == set(runs)


def test_the_right_needle_lies_nearer_the_edge_and_a_stitch_without_finger_is_narrower(shapes):
    lies = {name: shapes.shape_of(stitch(name)) for name in stitches()}
    four, wide, narrow, hem = (lies[name] for name in (*stitches()[:3], "narrow hem"))
    assert four.needles["left needle"] > four.needles["right needle"] > four.top
    assert [list(one.needles) for one in (wide, narrow)] == [["left needle"], ["right needle"]]
    assert wide.base - wide.top > narrow.base - narrow.top > hem.base - hem.top


def test_a_gathering_stitch_is_gathered_where_it_is_right_and_flat_where_it_gathers_too_little(seams):
    def rim(stitch_name, score):
        return width_of(points_of(seams.seam(stitch_name, "edge_lie", score))[1])

    right, flat = rim("gathering", 0), rim("four-thread overlock", 0)
    assert rim("gathering", -2) < right < 0.85 * flat
    assert rim("gathering", 2) == flat


def test_the_threads_of_a_rolled_hem_meet_below_at_the_needle_line_where_it_is_right(seams, lines):
    def heights(score):
        drawing = seams.seam("rolled hem", "looper_balance", score)
        (lower,) = points_of(drawing, lines["lower looper"])
        return {y for _, y in lower}

    assert len(heights(0)) == 1  # pulled straight
    assert min(heights(2)) < min(heights(1)) < min(heights(0))  # drawn up to the edge


def test_a_flatlock_opens_flat_with_even_rungs_where_it_is_right_gapes_when_slack_and_stands_when_tight(seams):
    def rungs(score):
        return points_of(seams.seam("three-thread flatlock wide", "needle_line", score), 'stroke-width="3.4"')

    def length(score):
        return max(y for _, y in rungs(score)[0]) - min(y for _, y in rungs(score)[0])

    assert {width_of(rung) for rung in rungs(0)} == {0}
    assert all(width_of(rung) > 0 for rung in rungs(-1))
    assert length(2) < length(1) < length(0)


def test_only_what_joins_layers_is_shown_pulled_open(seams):
    opened = {name for name in stitches() if "open" in seams.view(name, "needle_line")}
    assert opened == {name for name in stitches() if stitch(name).family in ("overlock", "flatlock")}


def test_a_long_stitch_on_a_roll_makes_scallops(seams):
    def rise(stitch_name):
        rim = points_of(seams.seam(stitch_name, "stitch_cover", 0))[3]
        return max(y for _, y in rim) - min(y for _, y in rim)

    assert rise("picot edge") > 2 > rise("rolled hem")


def scale_of(**more):
    draw = importlib.import_module("parts.scale").scale
    window = Passing(Band(4.5, 6.5), "4.5 to 6.5")
    given = {"baseline": 4, "proposal": 5.5, "band": (5, 6), "passing": window, "verdict": "trust"}
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
    assert "80\N{NO-BREAK SPACE}% band 5 to 6, pass window 4.5 to 6.5; test this." in drawing


def test_a_pass_window_that_tells_nothing_is_said_and_not_drawn():
    assert 'class="window"' in scale_of()
    for said in (UNKNOWN, ANYWHERE):
        drawing = scale_of(passing=Passing(None, said))
        assert 'class="window"' not in drawing
        assert f"pass window {said}" in drawing
    key = importlib.import_module("parts.scale").scale_key
    drawn = Passing(Band(1, 2), "1 to 2")
    assert "not known yet" in key([Passing(None, UNKNOWN)])
    assert 'class="window"' not in key([Passing(None, UNKNOWN)])
    assert 'class="window"' in key([drawn])
    assert "whole dial" not in key([drawn])
    both = key([drawn, Passing(None, ANYWHERE)])
    assert 'class="window"' in both
    assert "passes about as well on the whole dial" in both


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
