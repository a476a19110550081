"""A trial is checked when it is built."""

import copy
import pickle
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import pytest

from recommender.errors import InvalidValue, OveredgeError, UnknownName
from recommender.swatches.trial import Trial, machine_faults
from recommender.trade.machine import Dial, Machine
from recommender.trade.settings import Settings


def test_trials_get_ids_of_their_own(trial: Trial) -> None:
    ids = {Trial(fabric=trial.fabric, stitch=trial.stitch, machine="bench", settings=trial.settings, passed=True).id for _ in range(100)}
    assert len(ids) == 100


def test_a_trial_is_copied_and_pickled_by_value(trial: Trial) -> None:
    assert copy.deepcopy(trial) == trial == pickle.loads(pickle.dumps(trial))
    assert replace(trial, passed=True) != trial


def test_a_moment_is_kept_in_utc(trial: Trial) -> None:
    there = datetime(2025, 3, 14, 1, 0, tzinfo=timezone(timedelta(hours=2)))
    kept = replace(trial, when=there).when
    assert (kept, kept.tzinfo) == (there, UTC)


NO_ZONE = datetime(2025, 3, 14, tzinfo=UTC).replace(tzinfo=None)


@pytest.mark.parametrize("when", [NO_ZONE, datetime(1, 1, 1, tzinfo=UTC), datetime.max.replace(tzinfo=UTC), "2025-03-14", None])
def test_a_moment_without_a_zone_or_of_another_age_is_refused(trial: Trial, when: object) -> None:
    with pytest.raises(InvalidValue, match="swatch when"):
        replace(trial, when=when)


def test_a_wrong_stitch_is_told_with_the_likeliest_right_one(trial: Trial) -> None:
    with pytest.raises(UnknownName, match="did you mean 'rolled hem'"):
        replace(trial, stitch="roled hem")


def test_a_thread_that_runs_must_have_its_tension(trial: Trial) -> None:
    settings = replace(trial.settings, tension={"right needle": 4, "lower looper": 7})
    with pytest.raises(InvalidValue, match="upper looper: nothing given, but the rolled hem runs a thread there"):
        replace(trial, settings=settings)


def test_a_thread_that_does_not_run_must_have_none(trial: Trial) -> None:
    settings = replace(trial.settings, tension={**trial.settings.tension, "left needle": 4})
    with pytest.raises(InvalidValue, match="left needle: got a dial number, but the rolled hem runs no thread there"):
        replace(trial, settings=settings)


@pytest.mark.parametrize(
    "change",
    [
        {"fabric": "jersey"},
        {"settings": {}},
        {"needle_thread": 27},
        {"stitch": None},
        {"stitch": ["rolled hem"]},
        {"machine": ""},
        {"machine": "a\x00b"},
        {"passed": 1},
        {"passed": "yes"},
        {"readings": {"edge_lie": float("nan")}},
        {"readings": {"edge_lie": 0.3}},
        {"readings": {"edge lie": 1}},
        {"readings": "edge_lie"},
        {"flags": "jam"},
        {"flags": ["jamm"]},
        {"flags": [["jam"]]},
        {"flags": 3},
        {"seam_change": float("inf")},
        {"needle_size": 12},
        {"needle_hours": -1},
        {"who": "x" * 61},
        {"note": "\ud800"},
        {"id": ""},
        {"id": None},
        {"id": 5},
    ],
    ids=str,
)
def test_what_no_swatch_can_be_is_refused_in_a_sentence(trial: Trial, change: dict[str, object]) -> None:
    with pytest.raises(OveredgeError) as told:
        replace(trial, **change)
    assert "expected" in str(told.value).lower()
    assert "\n" not in str(told.value)


def test_flags_may_come_in_any_collection(trial: Trial) -> None:
    assert replace(trial, flags=["jam", "jam", "needle_holes"]).flags == {"jam", "needle_holes"}
    assert replace(trial, flags=None).flags == frozenset()


def test_a_machine_tells_what_it_cannot_have_sewn(trial: Trial) -> None:
    assert machine_faults(trial, Machine.generic("bench")) == ()
    short = Machine(name="short", tension={"right needle": Dial(0, 9, 0.5, 4), "lower looper": Dial(0, 5, 0.5, 3)}, removable_finger=False)
    assert machine_faults(trial, short) == (
        "stitch: the rolled hem needs the upper looper, which 'short' has not",
        "stitch: the rolled hem needs a stitch finger that can be taken out, which 'short' has not",
        "tension: lower looper: got 7, but on 'short' it goes from 0 to 5",
    )


@pytest.mark.parametrize(
    ("dial", "pressure", "faults"),
    [
        (None, None, ()),
        (Dial(1, 5, 0.5, 3), None, ()),
        (Dial(1, 5, 0.5, 3), 5, ()),
        (Dial(1, 5, 0.5, 3), 6, ("foot pressure: got 6, but on 'bench' it goes from 1 to 5",)),
        (None, 3, ("foot pressure: got 3, but 'bench' has no such dial; leave it out",)),
    ],
)
def test_a_machine_tells_a_foot_pressure_that_it_has_not(trial: Trial, dial: Dial | None, pressure: float | None, faults: object) -> None:
    sewn = replace(trial, settings=replace(trial.settings, foot_pressure=pressure))
    assert machine_faults(sewn, Machine(name="bench", foot_pressure=dial)) == faults


def test_settings_as_given_are_the_settings_kept(trial: Trial) -> None:
    tension = {"right needle": 4, "upper looper": 4, "lower looper": 7}
    assert trial.settings == Settings(tension=tension, differential=1.2, length=1.5, width=4.5)
