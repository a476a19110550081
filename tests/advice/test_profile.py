"""What describing a machine anew does to its log, and how old its needles are."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from recommender import Dial, Fabric, Machine, Settings
from recommender.advice.watching.needle import needle_age
from recommender.advice.watching.profile import consequences
from recommender.swatches.care import Care
from recommender.swatches.trial import Trial

BENCH = Machine.generic("bench")
JERSEY = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)
FOUR = {"left needle": 4, "right needle": 4, "upper looper": 4, "lower looper": 4}
START = datetime(2026, 3, 1, tzinfo=UTC)


def swatch(stitch="four-thread overlock", tension=FOUR, machine="bench", **more):
    settings = Settings(tension=tension, differential=1, length=3, width=6)
    return Trial(fabric=JERSEY, stitch=stitch, machine=machine, settings=settings, passed=True, **more)


def with_dial(position, **marks):
    return replace(BENCH, tension={**BENCH.tension, position: replace(BENCH.tension[position], **marks)})


def test_another_home_mark_of_the_foot_pressure_is_told():
    pressed = replace(BENCH, foot_pressure=Dial(1, 6, 0.5, 3))
    one = swatch()
    log = [replace(one, settings=replace(one.settings, foot_pressure=5)), swatch()]
    (told,) = consequences(pressed, replace(pressed, foot_pressure=Dial(1, 6, 0.5, 4)), log)
    assert told.startswith("The home mark of the foot pressure would go from 3 to 4: 1 swatch would be read as set 1 lower")


def test_the_same_profile_changes_nothing():
    assert consequences(BENCH, BENCH, [swatch()]) == ()


def test_another_home_mark_reads_the_swatches_that_ran_that_thread_anew():
    hem = swatch("rolled hem", {"right needle": 4, "upper looper": 4, "lower looper": 7})
    log = [swatch(), hem, swatch(machine="other")]
    (left,) = consequences(BENCH, with_dial("left needle", home=5), log)
    assert left.startswith("The home mark of the left needle tension would go from 4 to 5: 1 swatch would be read as set 1 lower than now")
    (right,) = consequences(BENCH, with_dial("right needle", home=3.5), log)
    assert "2 swatches would be read as set 0.5 higher" in right
    (feed,) = consequences(BENCH, replace(BENCH, differential=Dial(0.7, 2, 0.1, 1.1)), log)
    assert "differential feed" in feed


def test_a_part_that_goes_takes_its_stitches_along_and_one_that_comes_brings_them_back():
    pair = swatch("two-thread overlock", {"left needle": 1, "lower looper": 4})
    without = replace(BENCH, converter=False)
    assert consequences(BENCH, without, [pair, swatch()]) == (
        "1 swatch of the two-thread overlock would no longer count: it needs a two-thread converter.",
    )
    assert consequences(without, BENCH, [pair, swatch()]) == ("1 swatch of the two-thread overlock would count again.",)


def test_swatches_beyond_the_new_dials_and_another_way_to_roll_are_told():
    hem = swatch("rolled hem", {"right needle": 4, "upper looper": 4, "lower looper": 8})
    assert "stands beyond the new dials" in consequences(BENCH, with_dial("lower looper", high=7), [hem, swatch()])[0]
    assert "2 swatches stand beyond" in consequences(BENCH, with_dial("lower looper", high=7), [hem, replace(hem, id="b")])[0]
    (rolled,) = consequences(BENCH, replace(BENCH, rolled_position=True), [hem, swatch()])
    assert "1 swatch would be held against another baseline" in rolled


def test_finer_steps_or_wider_ranges_change_no_swatch():
    assert consequences(BENCH, with_dial("left needle", step=0.25, high=12), [swatch()]) == ()


def test_the_age_of_a_needle_counts_from_its_last_change_on_its_own_machine():
    care = [
        Care(machine="bench", deed="needle changed", when=START),
        Care(machine="bench", deed="needle changed", when=START + timedelta(days=5)),
        Care(machine="other", deed="needle changed", when=START + timedelta(days=8)),
        Care(machine="bench", deed="cleaned", when=START + timedelta(days=9)),
    ]
    days = [4, 5, 6, 7]
    log = [swatch(when=START + timedelta(days=day), needle_hours=hours) for day, hours in zip(days, (9, None, 1, 2.5), strict=True)]
    found = needle_age([*log, swatch(machine="other", when=START + timedelta(days=9))], care, "bench")
    assert found is not None
    assert (found.since, found.swatches, found.hours) == (START + timedelta(days=5), 3, 2.5)
    assert found.sentence == "Needles changed on 2026-03-06; 3 swatches since then, 2.5 hours by what was noted with them."


@pytest.mark.parametrize(("days", "told"), [((), "no swatch since then."), ((1,), "1 swatch since then.")])
def test_a_fresh_needle_says_so(days, told):
    care = [Care(machine="bench", deed="needle changed", when=START)]
    found = needle_age([swatch(when=START + timedelta(days=day)) for day in days], care, "bench")
    assert found is not None
    assert found.sentence.endswith(told)


def test_without_a_noted_change_nothing_is_said():
    assert needle_age([swatch()], [Care(machine="bench", deed="oiled", when=START)], "bench") is None
