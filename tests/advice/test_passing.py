"""When a pass window tells something, and in which words."""

from dataclasses import replace
from types import MappingProxyType

import pytest

from recommender import Dial, Fabric, Machine
from recommender.advice.bands import Band
from recommender.advice.model import fitted
from recommender.advice.passing import ANYWHERE, UNKNOWN, Passing, passing
from recommender.advice.proposal import ENOUGH_RATINGS, propose
from recommender.advice.seam import Seam
from recommender.trade.stitch import stitch
from recommender.trade.thread import ORDINARY

BENCH = Machine.generic("bench")
DIAL = BENCH.dial("length")


@pytest.fixture(scope="module")
def proposal():
    cloth = Fabric(name="poplin", construction="woven", fibre="cotton", gsm=120)
    return propose(fitted((), {}), Seam(cloth, stitch("four-thread overlock"), BENCH, ORDINARY, ORDINARY))


def known(proposal, low, high):
    return replace(proposal, ratings=ENOUGH_RATINGS, windows=MappingProxyType({**proposal.windows, "length": Band(low, high)}))


def test_before_there_are_ratings_enough_no_window_is_known(proposal):
    assert passing(proposal, "length", DIAL) == Passing(None, UNKNOWN)


@pytest.mark.parametrize(
    ("low", "high", "window", "said"),
    [
        (2.0, 3.25, Band(2.0, 3.25), "2 to 3.25"),
        (DIAL.low, 3.0, Band(DIAL.low, 3.0), "1 to 3"),
        (2.0, DIAL.high, Band(2.0, DIAL.high), "2 to 5"),
        (DIAL.low, DIAL.high, None, ANYWHERE),
    ],
)
def test_a_window_that_leaves_a_step_out_is_told_and_one_that_leaves_none_out_is_the_dial(proposal, low, high, window, said):
    assert passing(known(proposal, low, high), "length", DIAL) == Passing(window, said)


def test_the_whole_dial_ends_at_its_last_step(proposal):
    """From 1 in steps of 0.75 the last below 5 is 4.75."""
    assert passing(known(proposal, 1.0, 4.75), "length", Dial(1.0, 5.0, 0.75, 2.5)) == Passing(None, ANYWHERE)
