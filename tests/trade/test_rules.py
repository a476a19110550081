"""What one value may be."""

import math
import re
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.errors import InvalidValue
from recommender.trade.fabric import Fabric
from recommender.trade.rules import Rule, rules_of

GSM = rules_of(Fabric)["gsm"]
PLIES = rules_of(Fabric)["plies"]
NAME = rules_of(Fabric)["name"]
FLAG = Rule(kind="flag")


@pytest.mark.parametrize("value", [15, 1000, 15.0, np.float64(200), np.int64(200), Decimal(200)])
def test_a_number_inside_its_range_is_taken_whatever_its_type(value):
    assert GSM.fault("gsm", value) is None
    assert type(GSM.check("gsm", value)) is float


@pytest.mark.parametrize("value", [14.99, 1000.01, math.nan, math.inf, -math.inf, True, np.True_, "200", b"200", [200], {}, 10**400, 1j])
def test_what_is_no_number_in_range_is_refused_with_what_was_expected(value):
    fault = GSM.fault("gsm", value)
    assert fault is not None
    assert fault.startswith("gsm: got ")
    assert fault.endswith("expected a number from 15 to 1000 g/m2")
    with pytest.raises(InvalidValue, match="gsm: got"):
        GSM.check("gsm", value)


def test_none_is_refused_only_where_a_value_is_required():
    assert GSM.fault("gsm", None) == "gsm: nothing given, expected a number from 15 to 1000 g/m2"
    assert rules_of(Fabric)["thickness"].fault("thickness", None) is None
    assert rules_of(Fabric)["thickness"].check("thickness", None) is None


@pytest.mark.parametrize(("value", "good"), [(1, True), (6.0, True), (2.5, False), (0, False), (7, False), (True, False)])
def test_a_whole_number_is_whole(value, good):
    assert (PLIES.fault("plies", value) is None) == good


@pytest.mark.parametrize(("value", "good"), [("a", True), ("a" * 80, True), ("", False), ("a" * 81, False), ("a\x00b", False), (5, False)])
def test_text_has_its_length_and_no_control_characters(value, good):
    assert (NAME.fault("name", value) is None) == good


@pytest.mark.parametrize(("value", "good"), [(True, True), (False, True), (np.True_, True), (1, False), ("yes", False)])
def test_yes_and_no_are_no_numbers(value, good):
    assert (FLAG.fault("flag", value) is None) == good


def test_a_choice_lists_its_words():
    assert rules_of(Fabric)["construction"].fault("construction", "felted") == (
        "construction: got 'felted', expected one of: woven, knit, nonwoven"
    )


def test_a_long_value_is_cut_short_in_the_message():
    assert len(GSM.fault("gsm", "9" * 10_000) or "") < 150


@given(st.integers(-40, 40))
def test_a_step_takes_its_multiples_and_nothing_between(halves):
    rule = Rule(kind="number", low=-20, high=20, step=0.5)
    assert rule.fault("x", halves / 2) is None
    assert (rule.fault("x", halves / 2 + 0.25) or "").endswith("in steps of 0.5")


NUMBERS = (Rule(kind="number", low=-2, high=2), Rule(kind="number"), Rule(kind="number", low=0, high=3, step=0.5))


@given(st.floats(), st.sampled_from(NUMBERS))
def test_a_number_is_checked_and_explained_alike(value, rule):
    if (fault := rule.fault("x", value)) is None:
        assert rule.check("x", value) == value
    else:
        with pytest.raises(InvalidValue, match=re.escape(fault)):
            rule.check("x", value)
