"""Thread for a seam, held to published numbers."""

from dataclasses import replace

import pytest

from recommender import Fabric, Settings, stitches
from recommender.trade.consumption import thread_ratio
from recommender.trade.stitch import stitch

INCH = 25.4
CLOTH = Fabric(name="cloth", construction="woven", fibre="cotton", gsm=200, thickness=0.050 * INCH / 2)


def settings(name, per_inch, width):
    tension = dict.fromkeys(stitch(name).positions, 4.0)
    return Settings(tension=tension, differential=1, length=INCH / per_inch, width=width * INCH)


def test_the_published_example_of_the_three_thread_overlock():
    """10 stitches an inch, a quarter inch wide, 0.050 inch thick: 15 inches an inch, 274.32 m for 20 yards (pages of 2015)."""
    name = "three-thread overlock wide"
    ratio = thread_ratio(stitch(name), settings(name, 10, 0.25), CLOTH)
    assert ratio == pytest.approx(15)
    assert ratio * 20 * 36 * INCH / 1000 == pytest.approx(274.32)


def test_the_four_thread_overlock_follows_its_own_equation():
    name = "four-thread overlock"
    expected = 5 + 2 * 10 * (3 * 0.050 + 2 * 0.25)
    assert thread_ratio(stitch(name), settings(name, 10, 0.25), CLOTH) == pytest.approx(expected)


def test_closer_stitches_wider_seams_and_more_layers_take_more_thread():
    name = "four-thread overlock"
    plain = thread_ratio(stitch(name), settings(name, 10, 0.25), CLOTH)
    assert thread_ratio(stitch(name), settings(name, 12, 0.25), CLOTH) > plain
    assert thread_ratio(stitch(name), settings(name, 10, 0.27), CLOTH) > plain
    assert thread_ratio(stitch(name), settings(name, 10, 0.25), replace(CLOTH, plies=3)) > plain
    assert thread_ratio(stitch(name), settings(name, 10, 0.25), replace(CLOTH, thickness=None)) > 5


def test_a_stitch_without_a_published_rule_has_no_number():
    told = [name for name in stitches() if thread_ratio(stitch(name), settings(name, 10, 0.25), CLOTH) is not None]
    assert told == ["four-thread overlock", "three-thread overlock wide", "three-thread overlock narrow"]
