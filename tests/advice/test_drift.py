"""The running sum against what it is defined as, and what it says of a machine whose dial has slipped."""

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import numpy as np
import pytest

from data.demo.workshop import Workshop
from recommender.advice.calibration import foreseen
from recommender.advice.levers import RATIO
from recommender.advice.model import Model, fitted, swatches
from recommender.advice.moves import best_settings
from recommender.advice.seam import Seam
from recommender.advice.watching.answered import drift_after_care
from recommender.advice.watching.drift import ALARM, SOON, Drift, Suspect, drift
from recommender.advice.watching.residuals import residuals
from recommender.advice.watching.running import BACK, CUT, SHIFTS, by_cause, signature
from recommender.errors import InvalidValue, UnknownName
from recommender.swatches.care import Care
from recommender.trade.care import DEEDS, MENDING, SERVICED
from recommender.trade.upkeep import upkeep
from tests.advice.conftest import logged, trial_of

START = datetime(2026, 1, 1, tzinfo=UTC)
SLIPPED = "tension: upper looper"


def dated(trials):
    return [replace(trial, when=START + timedelta(hours=n)) for n, trial in enumerate(trials)]


def on(shop: Workshop, machine: str, model: Model, log, n: int, rng, slip=0.0):
    """n more swatches as proposed, each of another cloth, on one machine whose upper looper's dial has slipped."""
    log, able = list(log), shop.machines[machine]
    while n:
        piece = shop.fabric()
        if piece.stitch.lacking(able) or "upper looper" not in piece.stitch.positions:
            continue
        piece, n = piece._replace(machine=able), n - 1
        seam = Seam(*piece)
        settings = best_settings(model.outlook(seam), seam, None)
        came_out = shop.sew(*piece, settings.having({SLIPPED: max(settings.controls()[SLIPPED] + slip, 0.0)}), rng)
        log.append(trial_of(piece, settings, came_out.passed, dict(came_out.readings), len(log)))
        model = model.adding(swatches(log[-1:], shop.machines, model.terms))
    return dated(log), model


@pytest.fixture(scope="module")
def story():
    """A log of 120 swatches, then 24 on one machine: as it was, and with its upper looper two dial numbers tighter."""
    shop = Workshop(seed=47)
    log = logged(shop, 40)
    model, machine = fitted(log, shop.machines), "stove table"
    steady = on(shop, machine, model, log, 24, np.random.default_rng(1))
    slipped = on(shop, machine, model, log, 24, np.random.default_rng(1), slip=2.0)
    return shop, machine, steady, slipped


def test_residuals_are_those_of_refitting_before_every_swatch(shop, log, taught):
    """Each swatch against a model that was fitted to all before it, by the formulas of one swatch."""
    known = taught.scales, taught.standard
    first = len(log) - 12
    stretch = swatches(log[first:], shop.machines, taught.terms)
    found = residuals(taught.removing(stretch), stretch)
    for k, one in enumerate(found):
        for place, left in zip(one.seen.tolist(), one.left.tolist(), strict=True):
            before = fitted(log[: first + place], shop.machines, known)
            mean, cov = before.posterior.linear(stretch.rows[place : place + 1], stretch.cloths[place])
            deviation = math.sqrt(cov[k, 0, 0] + taught.scales.noise[k] ** 2 / stretch.weights[place, k])
            assert left == pytest.approx((stretch.readings[place, k] - mean[k, 0]) / deviation, rel=1e-6, abs=1e-8)


def test_residuals_of_one_cloth_are_those_of_the_calibration(shop, log, taught):
    """Where one cloth is the whole stretch, leaving it out and foreseeing it one by one is the same thing."""
    name = log[-1].fabric.name
    others, own = [t for t in log if t.fabric.name != name], [t for t in log if t.fabric.name == name]
    rows, stretch = (swatches(part, shop.machines, taught.terms) for part in ([*others, *own], own))
    mean, variance = foreseen(taught.posterior, rows.rows, rows.readings, rows.weights, rows.cloths)
    for k, one in enumerate(residuals(taught.removing(stretch), stretch)):
        last = slice(len(others), None)
        deviation = np.sqrt(variance[last, k] + taught.scales.noise[k] ** 2 / np.where(stretch.weights[:, k] > 0, stretch.weights[:, k], 1))
        expected = (stretch.readings[:, k] - mean[last, k]) / deviation
        assert one.left == pytest.approx(expected[one.seen], rel=1e-6, abs=1e-8)


def test_the_sum_is_that_of_the_likelihoods(story):
    """Equations (12) and (13), cause by cause and onset by onset, as they are written."""
    shop, machine, _, (log, model) = story
    stretch = log[-20:]
    found = signature(model, stretch, shop.machines, machine)
    running = drift(model, log, shop.machines, machine, since=stretch[0].when).running
    for n in (0, 4, 11):
        total = 0.0
        for c in range(len(SHIFTS)):
            for sign in (1.0, -1.0):
                for onset in range(n + 1):
                    shown = sign * found.shown[c, :, : found.mine[n] + 1, onset]
                    total += math.exp((shown * found.left[:, : found.mine[n] + 1] - shown**2 / 2).sum())
        assert running[n] == pytest.approx(math.log(total / (2 * len(SHIFTS))))


def test_a_shift_of_the_readings_shows_as_it_is_said_to(story):
    """The residuals are linear in the readings: what is added to these by a shift is what `shown` adds to those."""
    shop, _, _, (log, model) = story
    rows = swatches(log[-20:], shop.machines, model.terms)
    before = model.removing(rows)
    effect = np.random.default_rng(0).normal(size=rows.readings.shape)
    for k, (one, other) in enumerate(
        zip(residuals(before, rows), residuals(before, replace(rows, readings=rows.readings + effect)), strict=True)
    ):
        assert other.left - one.left == pytest.approx(one.shown(effect[:, k : k + 1])[:, 0], abs=1e-9)


def test_the_sum_grows_by_one_a_swatch_on_standard_normal_residuals(story):
    """What the threshold rests on; cut-off residuals make it a little less."""
    shop, machine, (log, model), _ = story
    found = signature(model, log[-12:], shop.machines, machine)
    rng = np.random.default_rng(3)
    values = [np.exp(by_cause(found.sums(rng.normal(size=found.left.shape)))).sum(axis=0) for _ in range(4000)]
    mean, error = np.mean(values, axis=0), np.std(values, axis=0) / math.sqrt(len(values))
    n = np.arange(1, len(mean) + 1)
    assert (mean <= n + 3 * error).all()
    assert (mean >= 0.75 * n - 3 * error).all()


def test_a_machine_that_has_not_changed_is_left_in_peace(story):
    shop, machine, (log, model), _ = story
    found = drift(model, log, shop.machines, machine)
    assert not found.told
    assert found.look == ()
    assert found.begun is None
    assert "behaves as its log says" in found.sentence


def test_a_slipped_dial_is_told_with_its_position_direction_time_and_where_to_look(story):
    shop, machine, _, (log, model) = story
    found = drift(model, log, shop.machines, machine)
    assert found.told
    assert (found.suspects[0].control, found.suspects[0].up) == (SLIPPED, True)
    assert found.suspects[0].chance > 0.5
    assert abs((found.begun - log[120].when) / timedelta(hours=1)) <= 8
    assert "upper looper tension pulls tighter" in found.sentence
    assert [word in step.text for word, step in zip(("unplug", "Lint", "Needle", "Thread path"), found.look, strict=False)] == [True] * 4
    assert found.look[-1].text.startswith("Service")
    assert all(step.caution for step in found.look)


def test_a_drift_warns_of_a_swatch_that_runs_its_thread_on_its_machine_and_of_no_other(story):
    shop, machine, (still, calm), (log, model) = story
    found = drift(model, log, shop.machines, machine)
    runs = next(trial for trial in log if trial.machine == machine and SLIPPED in trial.settings.controls())
    without = replace(runs.settings, tension={p: v for p, v in runs.settings.tension.items() if f"tension: {p}" != SLIPPED})
    elsewhere = replace(runs, machine=next(name for name in shop.machines if name != machine))
    other_stitch = SimpleNamespace(machine=machine, settings=without)
    assert found.warns([elsewhere, runs])
    assert not found.warns([elsewhere, other_stitch])
    assert not drift(calm, still, shop.machines, machine).warns([runs])


def test_chances_of_all_suspects_come_to_one(story):
    shop, machine, *both = story
    for log, model in both:
        suspects = drift(model, log, shop.machines, machine).suspects
        assert sum(one.chance for one in suspects) == pytest.approx(1.0)
        assert [one.chance for one in suspects] == sorted((one.chance for one in suspects), reverse=True)
        assert {(one.control, one.up) for one in suspects} == {(control, up) for control in SHIFTS for up in (True, False)}


def test_the_other_machine_is_not_blamed(story):
    """What is sewn on the one that has slipped says next to nothing of it, for or against."""
    shop, machine, *both = story
    other = next(name for name in shop.machines if name != machine)
    before, after = (drift(model, log, shop.machines, other).running[-1] for log, model in both)
    assert abs(after - before) < 0.2


def test_after_a_service_the_sum_starts_anew(story):
    shop, machine, _, (log, model) = story
    serviced = log[-1].when + timedelta(minutes=1)
    assert drift(model, log, shop.machines, machine, serviced) == Drift(
        machine=machine, swatches=0, since=serviced, running=(), suspects=(), begun=None
    )
    none = f"{machine}: no swatch since {serviced.astimezone():%Y-%m-%d} to look at yet."
    assert drift(model, log, shop.machines, machine, serviced).sentence == none
    later = drift(model, log, shop.machines, machine, log[-3].when)
    assert f"3 swatches since {log[-3].when.astimezone():%Y-%m-%d}" in later.sentence
    assert later.swatches == 3
    assert not later.told


def told_from(found, trials, machine):
    """When the alarm first stood: just after the swatch that brought it there."""
    first = next(place for place, value in enumerate(found.running) if value >= ALARM)
    return [trial.when for trial in trials if trial.machine == machine][first] + timedelta(minutes=1)


@pytest.mark.parametrize("deed", DEEDS)
def test_care_begins_the_watch_anew_where_it_answers_an_alarm_and_can_mend_it(story, deed):
    shop, machine, _, (log, model) = story
    plain = drift(model, log, shop.machines, machine)
    when = told_from(plain, log, machine)
    found = drift_after_care(model, log, shop.machines, machine, [Care(machine=machine, deed=deed, when=when)])
    if deed in (*MENDING, SERVICED):
        assert (found.since, found.swatches) == (when, sum(trial.machine == machine and trial.when >= when for trial in log))
        assert not found.told
        assert deed != SERVICED or found.look == ()
    else:
        assert replace(found, noted=()) == plain
    if deed != SERVICED:
        assert found.look == plain.look, "one deed need not have mended it"
        assert found.noted_since == f"Noted meanwhile: {deed} on {when.astimezone():%Y-%m-%d}."


def test_what_is_noted_after_the_deed_that_answered_an_alarm_is_told_with_it_and_older_care_is_not(story):
    shop, machine, _, (log, model) = story
    when = told_from(drift(model, log, shop.machines, machine), log, machine)
    deeds = (("oiled", -60), ("cleaned", 0), ("oiled", 1), ("needle changed", 2))
    care = [Care(machine=machine, deed=deed, when=when + timedelta(days=days)) for deed, days in deeds]
    found = drift_after_care(model, log, shop.machines, machine, [*care, Care(machine="bench", deed="cleaned", when=when)])
    assert [one.deed for one in found.noted] == ["cleaned", "oiled", "needle changed"]
    assert found.answered.deed == "cleaned"
    assert (replace(found, swatches=SOON).look, replace(found, swatches=SOON).noted_since) == ((), "")


def test_what_stood_before_the_care_is_told_until_swatches_enough_were_seen_since(story):
    shop, machine, _, (log, model) = story
    plain = drift(model, log, shop.machines, machine)
    when = told_from(plain, log, machine)
    care = [Care(machine=machine, deed="needle changed", when=when)]
    found = drift_after_care(model, log, shop.machines, machine, care)
    assert 0 < found.swatches < SOON
    assert (found.answered.deed, found.answered.suspect.control, found.answered.suspect.up) == ("needle changed", SLIPPED, True)
    was = f"Before the needle was changed on {when.astimezone():%Y-%m-%d} you were told: the upper looper tension pulls tighter than its "
    assert found.stood_before.startswith(was)
    assert f"{found.swatches} swatches so far" in found.stood_before
    assert found.warning == f"{machine}: {found.stood_before}"
    assert found.doubted == (SLIPPED,)
    assert (replace(found, swatches=SOON).warning, replace(found, swatches=SOON).doubted) == ("", ())
    assert replace(found, swatches=SOON).stood_before == ""
    assert replace(found, begun=when).stood_before == ""
    assert plain.stood_before == ""
    serviced = [*care, Care(machine=machine, deed=SERVICED, when=when)]
    told = drift_after_care(model, log, shop.machines, machine, serviced)
    assert told.stood_before.startswith(was.replace("the needle was changed", "it was serviced"))
    assert (told.look, told.doubted, told.doubts(when)) == ((), (SLIPPED,), ())


def test_a_service_after_care_that_nobody_has_seen_to_help_carries_on_what_stood(story):
    shop, machine, _, (log, model) = story
    when = told_from(drift(model, log, shop.machines, machine), log, machine)
    later = next(trial.when for trial in log if trial.machine == machine and trial.when > when) + timedelta(minutes=1)
    care = [Care(machine=machine, deed="cleaned", when=when), Care(machine=machine, deed=SERVICED, when=later)]
    found = drift_after_care(model, log, shop.machines, machine, care)
    assert (found.answered.deed, found.answered.when, found.doubted) == (SERVICED, later, (SLIPPED,))
    assert replace(found, swatches=SOON).doubted == ()


def test_what_was_found_before_a_drift_or_while_it_lasted_and_was_then_answered_is_not_trusted(story):
    shop, machine, _, (log, model) = story
    told = drift(model, log, shop.machines, machine)
    when, moment = told_from(told, log, machine), timedelta(minutes=1)
    assert (told.doubts(told.begun - moment), told.doubts(told.begun)) == (told.doubted, ())
    mended = drift_after_care(model, log, shop.machines, machine, [Care(machine=machine, deed="needle changed", when=when)])
    begun = mended.answered.begun
    assert begun < when
    times = begun - moment, begun, when - moment, when
    assert [mended.doubts(one) for one in times] == [(SLIPPED,), (SLIPPED,), (SLIPPED,), ()]
    assert [replace(mended, swatches=SOON).doubts(one) for one in times] == [(), (SLIPPED,), (SLIPPED,), ()]
    steady, known = story[2]
    assert drift(known, steady, shop.machines, machine).doubts(when) == ()


def test_a_warning_names_the_likeliest_control_and_the_first_places_in_the_order_of_upkeep(story):
    shop, machine, *both = story
    calm, told = (drift(model, log, shop.machines, machine) for log, model in both)
    assert calm.warning == ""
    assert told.warning.startswith(f"{machine}: the upper looper tension most likely pulls tighter than its number says")
    for suspect in told.suspects:
        places = [step.text.partition(":")[0].lower() for step in upkeep(suspect.control)]
        assert [places.index(place) for place in ("lint", "needle", "thread path")] == [1, 2, 3]
    assert told.warning.index("unplug it") < told.warning.index("lint") < told.warning.index("needle") < told.warning.index("thread path")


@pytest.mark.parametrize(
    ("chances", "doubted"),
    [
        (((SLIPPED, True, 0.85), ("differential", True, 0.15)), (SLIPPED,)),
        (((SLIPPED, True, 0.5), ("differential", True, 0.3), (SLIPPED, False, 0.2)), (SLIPPED, "differential")),
        ((("differential", True, 0.45), (SLIPPED, True, 0.41), ("differential", False, 0.14)), ("differential", SLIPPED)),
        ((("differential", True, 0.5), ("differential", False, 0.35), (SLIPPED, True, 0.15)), ("differential",)),
    ],
)
def test_doubted_are_the_fewest_controls_that_hold_the_drift_with_four_in_five(chances, doubted):
    suspects = tuple(Suspect(*one) for one in chances)
    told = Drift(machine="bench", swatches=1, since=None, running=(ALARM,), suspects=suspects, begun=START)
    assert told.doubted == doubted
    assert replace(told, begun=None).doubted == ()


def test_a_warning_names_each_control_that_is_doubted_and_how_likely_it_is():
    left, right = (Suspect(f"tension: {side} needle", False, chance) for side, chance in (("left", 0.42), ("right", 0.4)))
    told = Drift(machine="bench", swatches=1, since=None, running=(ALARM,), suspects=(left, right), begun=START)
    blank = "\N{NO-BREAK SPACE}"
    both = (
        f"bench: the left needle tension (42{blank}%) or the right needle tension (40{blank}%) most likely no longer does what its number"
    )
    assert told.warning.startswith(both)
    alone = "bench: the left needle tension most likely pulls looser than its number says; unplug it"
    assert replace(told, suspects=(replace(left, chance=0.9),)).warning.startswith(alone)


def test_a_needle_changed_in_good_order_does_not_blind_the_watch(story):
    """Needles are changed more often than a drift takes to show."""
    shop, machine, _, (log, model) = story
    plain = drift(model, log, shop.machines, machine)
    changes = [log[place].when + timedelta(minutes=1) for place in range(0, len(log), 10)]
    early = [Care(machine=machine, deed="needle changed", when=when) for when in changes if when < told_from(plain, log, machine)]
    assert len(early) > 5
    assert replace(drift_after_care(model, log, shop.machines, machine, early), noted=()) == plain


def test_a_service_begins_the_watch_anew_whatever_stood(story):
    shop, machine, (log, model), _ = story
    when = log[-4].when - timedelta(minutes=1)
    care = [Care(machine=machine, deed=SERVICED, when=when - timedelta(days=back)) for back in (0, 2)]
    assert drift_after_care(model, log, shop.machines, machine, care) == drift(model, log, shop.machines, machine, when)
    elsewhere = [replace(one, machine="bench") for one in care]
    assert drift_after_care(model, log, shop.machines, machine, elsewhere) == drift(model, log, shop.machines, machine)


@pytest.mark.parametrize(("slip", "helped"), [(0.0, True), (2.0, False)])
def test_care_that_helped_ends_the_alarm_and_care_that_did_not_lets_it_come_again(story, slip, helped):
    """The machine is held against what it was before it drifted, not against what it was while it did."""
    shop, machine, _, (log, model) = story
    when = log[-1].when + timedelta(minutes=1)
    care = [Care(machine=machine, deed="cleaned", when=when)]
    log, model = on(shop, machine, model, log, 40, np.random.default_rng(2), slip=slip)
    found = drift_after_care(model, log, shop.machines, machine, care)
    assert (found.since, found.swatches, found.told) == (when, 40, not helped)
    if not helped:
        assert (found.suspects[0].control, found.suspects[0].up) == (SLIPPED, True)
        again = Care(machine=machine, deed="serviced", when=log[-1].when + timedelta(minutes=1))
        assert not drift_after_care(model, log, shop.machines, machine, [*care, again]).told


def test_no_more_than_the_last_swatches_are_looked_at(story):
    shop, machine, (log, model), _ = story
    assert drift(model, log, shop.machines, machine).swatches == sum(trial.machine == machine for trial in log) <= BACK


def test_the_order_of_the_log_is_that_of_sewing(story):
    shop, machine, _, (log, model) = story
    assert drift(model, log[::-1], shop.machines, machine).running == pytest.approx(drift(model, log, shop.machines, machine).running)


def test_one_wild_reading_raises_no_alarm(story):
    shop, machine, (log, model), _ = story
    wild = replace(log[-1], readings={"looper_balance": 2.0, "edge_wrap": -2.0, "needle_line": 2.0, "edge_lie": -2.0})
    model = model.removing(swatches(log[-1:], shop.machines, model.terms)).adding(swatches([wild], shop.machines, model.terms))
    assert CUT < 3
    assert not drift(model, [*log[:-1], wild], shop.machines, machine).told


def test_what_the_words_call_an_eighth_is_one():
    assert RATIO ** SHIFTS["differential"] == pytest.approx(1.125, abs=0.01)
    assert "tighter" in Suspect("tension: left needle", True, 1.0).sentence


def test_days_are_those_of_the_studio_and_not_of_utc(far_east):
    late = datetime(2026, 3, 1, 18, tzinfo=UTC)  # the next morning there
    suspects = (Suspect(SLIPPED, True, 0.8),)
    told = Drift(machine="bench", swatches=3, since=late, running=(ALARM,), suspects=suspects, begun=late)
    assert "Most likely since 2026-03-02; 80\N{NO-BREAK SPACE}% likely to be this one." in told.sentence
    assert "as far as 3 swatches since 2026-03-02 can tell" in replace(told, begun=None).sentence


def test_what_cannot_be_asked_is_said(story):
    shop, machine, (log, model), _ = story
    with pytest.raises(UnknownName, match="did you mean 'stove table'"):
        drift(model, log, shop.machines, "stove tabel")
    with pytest.raises(InvalidValue, match="with its zone"):
        drift(model, log, shop.machines, machine, datetime(2026, 1, 1))  # noqa: DTZ001  # the fault that is tested
