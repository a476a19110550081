"""Controls that were moved together, and the swatch that tells them apart."""

from dataclasses import replace

import numpy as np
import pytest

from recommender.advice.confused import confused
from recommender.advice.model import fitted
from recommender.advice.seam import Seam
from recommender.swatches.trial import Trial
from recommender.trade.machine import Dial, Machine
from recommender.trade.stitch import stitch
from recommender.trade.thread import ORDINARY
from tests.advice.conftest import BENCH, JERSEY

PAIR = ("tension: upper looper", "tension: lower looper")


def log_of(seam: Seam, *moves: dict[str, float], reading: float = 1.0) -> list[Trial]:
    """One swatch for each set of moves away from the baseline, each of a cloth of its own."""
    start = seam.baseline.settings
    return [
        Trial(
            fabric=replace(seam.fabric, name=f"cloth {number}"),
            stitch=seam.stitch.name,
            machine=seam.machine.name,
            settings=start.having({control: start.controls()[control] + by for control, by in moved.items()}),
            passed=False,
            readings={"looper_balance": reading},
        )
        for number, moved in enumerate(moves)
    ]


def together(*amounts: float, ratio: float = 1.0) -> list[dict[str, float]]:
    return [{PAIR[0]: by, PAIR[1]: ratio * by} for by in amounts]


def found_in(log, machine=BENCH):
    machines = {machine.name: machine}
    return confused(fitted(log, machines), log, machines)


@pytest.mark.parametrize("ratio", [1.0, -1.0, 0.5])
def test_controls_that_were_always_moved_together_are_named(seam, ratio):
    (found,) = found_in(log_of(seam(), *together(1, -1, 2, -2, 1, -1, 2, ratio=ratio)))
    assert (found.one, found.other) == PAIR
    assert found.own == pytest.approx(0, abs=1e-9)
    assert "Upper looper tension and lower looper tension were always moved together (7 swatches)" in found.sentence
    assert all(move.sentence in found.sentence for move in found.moves)


def test_controls_that_were_moved_one_at_a_time_are_not(seam):
    assert found_in(log_of(seam(), *({control: by} for control in PAIR for by in (1, -1, 2)))) == ()


def test_two_swatches_with_both_moved_by_one_are_too_few_to_say(seam):
    assert found_in(log_of(seam(), *together(1, -1))) == ()
    assert found_in(log_of(seam(), *together(1, -1, 1, -1)))


def test_a_control_that_never_moved_is_not_taken_for_another(seam):
    assert found_in(log_of(seam(), *({PAIR[0]: by} for by in (1, -1, 2, -2)))) == ()


def test_two_needles_that_are_always_moved_alike_are_named(seam):
    needles = ("tension: left needle", "tension: right needle")
    (found,) = found_in(log_of(seam(), *(dict.fromkeys(needles, by) for by in (1, -1, 1, -1, 2))))
    assert (found.one, found.other) == needles


def test_three_controls_moved_as_one_make_three_pairs(seam):
    found = found_in(log_of(seam(), *(dict.fromkeys((*PAIR, "width"), by) for by in (1, -1, 1, -1, 0.5))))
    assert len(found) == 3


@pytest.mark.parametrize("ratio", [1.0, -1.0, 0.5])
@pytest.mark.parametrize(
    ("name", "one", "other"),
    [
        ("four-thread overlock", *PAIR),
        ("rolled hem", *PAIR),
        ("two-thread overlock", "length", "width"),
        ("three-thread flatlock wide", "tension: lower looper", "width"),
    ],
)
def test_the_named_swatch_can_be_sewn_and_tells_them_apart(name, one, other, ratio):
    here = Seam(JERSEY, stitch(name), BENCH, ORDINARY, ORDINARY)
    log = log_of(here, *({one: 2 * by, other: 2 * ratio * by} for by in (0.5, -0.5, 0.5, -0.5) * 4))
    (found,) = found_in(log)
    assert (found.one, found.other) == (one, other)
    for control, value in found.settings.controls().items():
        dial = BENCH.dial(control)
        assert dial.low <= value <= dial.high
        if control in (one, other):
            assert dial.nearest(value) == value
        else:
            assert value == log[-1].settings.controls()[control]
    last = log[-1].settings
    assert last.having({move.control: move.end for move in found.moves}) == found.settings
    for outcome in (-2.0, 2.0):
        sewn = replace(log[-1], id="the swatch", settings=found.settings, readings={"looper_balance": outcome})
        assert found_in([*log, sewn]) == ()


def test_the_readings_then_say_what_each_does_alone(seam):
    """The model's own doubt of one lever less the other, which nothing but the named swatch can lift."""
    here = seam()
    log = log_of(here, *together(1, -1, 2, -2, 1, -1))
    (found,) = found_in(log)
    sewn = replace(log[-1], id="the swatch", settings=found.settings)
    scales = fitted((), {"bench": BENCH})
    known = scales.scales, scales.standard

    def doubt(trials, way):
        cov = fitted(trials, {"bench": BENCH}, known).outlook(here).cov[1]
        contrast = np.zeros(len(cov))
        contrast[[1 + here.controls.index(control) for control in PAIR]] = 1, way
        return np.sqrt(contrast @ cov @ contrast)

    assert doubt(log, 1) < 0.5 * doubt((), 1), "what both do together is known"
    assert doubt(log, -1) == pytest.approx(doubt((), -1), rel=1e-6), "six swatches have told nothing of what each does alone"
    assert doubt([*log, sewn], -1) < 0.95 * doubt(log, -1), "the one that is named does"


def test_on_a_dial_with_two_marks_the_best_that_can_be_done_is_named(seam):
    """Where no swatch reaches far enough, the one that comes nearest."""
    coarse = Machine(name="coarse", tension={p: Dial(3.8, 4.2, 0.4, 3.8) if "looper" in p else d for p, d in BENCH.tension.items()})
    here = Seam(JERSEY, stitch("four-thread overlock"), coarse, ORDINARY, ORDINARY)
    ways = [dict.fromkeys(PAIR, 4.2)] * 30
    log = log_of(here, *[{control: end - here.baseline.settings.controls()[control] for control, end in way.items()} for way in ways])
    (found,) = found_in(log, coarse)
    assert sorted(found.settings.controls()[control] for control in PAIR) == [3.8, 4.2]


def test_a_log_without_a_reading_names_nothing(seam):
    log = [replace(trial, readings={}) for trial in log_of(seam(), *together(1, -1, 2, -2, 2))]
    assert found_in(log) == ()


def test_settings_spread_at_random_are_not_confused(shop, log, taught):
    assert confused(taught, log, shop.machines) == ()
