"""What typed text means, and what is said of text that means nothing."""

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.cli.options import read_readings, read_settings, read_thread
from recommender.errors import AmbiguousUnit, InvalidValue, OveredgeError, UnknownName
from recommender.trade.settings import Settings
from recommender.trade.thread import Thread

START = Settings(tension={"left needle": 4, "lower looper": 4}, differential=1, length=2.5, width=5)


def test_a_thread_is_read_with_its_fibre_and_kind_in_any_order() -> None:
    assert read_thread("27 tex") == Thread(tex=27)
    assert read_thread("27 tex, textured, polyamide") == Thread(tex=27, fibre="polyamide", kind="textured")


def test_a_bare_thread_number_is_asked_about() -> None:
    with pytest.raises(AmbiguousUnit, match="40"):
        read_thread("40")


def test_an_unknown_thread_word_gets_the_likeliest_right_one() -> None:
    with pytest.raises(UnknownName, match="did you mean 'polyamide'"):
        read_thread("27 tex, polyamid")


def test_a_tension_may_be_named_by_its_thread_alone() -> None:
    moved = read_settings(START, ["lower looper=5", "tension: left needle = 3.5", "foot pressure=2"])
    assert dict(moved.tension) == {"left needle": 3.5, "lower looper": 5.0}
    assert moved.foot_pressure == 2.0


def test_a_length_may_be_given_in_stitches_per_inch() -> None:
    assert read_settings(START, ["length=10 spi"]).length == pytest.approx(2.54)


@pytest.mark.parametrize(
    ("pairs", "told"),
    [
        (["differential"], "expected a name and a number"),
        (["differential=fast"], "expected a number"),
        (["differential=nan"], "expected a number from"),
        (["differential=1", "differential=2"], "twice"),
        (["upper looper=4"], "expected one of: tension: left needle"),
        (["=4"], "expected a name and a number"),
    ],
)
def test_a_setting_that_means_nothing_is_refused_in_a_sentence(pairs: list[str], told: str) -> None:
    with pytest.raises(OveredgeError, match=told):
        read_settings(START, pairs)


@pytest.mark.parametrize(("pairs", "told"), [(["edge_li=1"], "did you mean 'edge_lie'"), (["edge_lie=high"], "expected a number")])
def test_a_reading_that_means_nothing_is_refused_in_a_sentence(pairs: list[str], told: str) -> None:
    with pytest.raises((InvalidValue, UnknownName), match=told):
        read_readings(pairs)


@given(st.text())
def test_any_text_is_understood_or_refused_in_a_sentence(text: str) -> None:
    for reader in (read_thread, lambda t: read_settings(START, [t]), lambda t: read_readings([t])):
        with suppress(OveredgeError):
            reader(text)
