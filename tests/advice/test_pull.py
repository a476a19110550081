"""What one step of a dial does, held to what the outlook of a seam says of two settings a step apart, and to the trade."""

from dataclasses import replace
from datetime import UTC, datetime
from itertools import islice

import pytest

from recommender.advice.model import fitted
from recommender.advice.pull import LAST, pulls
from recommender.advice.seam import Seam
from recommender.trade.machine import Dial, Machine
from recommender.trade.readings import READINGS
from tests.advice.conftest import trial_of

EXPECTED = {
    ("edge_lie", "differential"): -1,
    ("needle_line", "tension: left needle"): 1,
    ("stitch_cover", "length"): -1,
}
"""Which way the trade says a step up goes (common practice, no source)."""


def by_control(found, reading):
    return {pull.control: pull for pull in found[reading]}


def test_a_pull_is_the_difference_between_two_settings_a_step_apart(shop):
    piece = next(piece for piece in iter(shop.fabric, None) if len(piece.stitch.positions) == 4)
    seam = Seam(*piece)
    readings = {reading: 0.5 * place - 1 for place, reading in enumerate(READINGS)}
    log = [trial_of(piece, seam.baseline.settings, passed=False, readings=readings, number=1)]
    model = fitted(log, shop.machines)
    found = pulls(model, log, piece.machine)
    for control, dial in zip(seam.controls, seam.dials, strict=True):
        start = min(dial.home, dial.high - dial.step)
        two = seam.amounts_of([seam.settings({control: value}) for value in (start, start + dial.step)])
        means, _ = model.outlook(seam).readings(two)
        for k, reading in enumerate(READINGS):
            assert by_control(found, reading)[control].mean == pytest.approx(means[1, k] - means[0, k], abs=1e-9)


def test_the_strongest_stands_first_and_every_dial_of_the_machine_is_there(shop, log, taught):
    for machine in shop.machines.values():
        for ranked in pulls(taught, log, machine).values():
            sizes = [abs(pull.mean) for pull in ranked]
            assert sizes == sorted(sizes, reverse=True)
            assert {pull.control for pull in ranked} == set(machine.dials) - {"foot pressure"}
            assert all(pull.low < pull.mean < pull.high for pull in ranked)


def test_a_step_goes_the_way_that_the_trade_expects_before_and_after_a_log(shop, log, taught):
    before = fitted((), shop.machines)
    for machine in shop.machines.values():
        for (reading, control), way in EXPECTED.items():
            known, believed = (by_control(found, reading)[control] for found in (pulls(taught, log, machine), pulls(before, (), machine)))
            assert known.mean * way > 0
            assert believed.mean * way > 0
            assert known.high - known.low < believed.high - believed.low


def test_what_was_sewn_often_and_of_late_weighs_more(shop, taught):
    """The lever is the mean over the last swatches by day, each counting once, in whatever order they came into the log."""
    pieces = [piece for piece in islice(iter(shop.fabric, None), 40) if piece.machine.name == "stove table"]
    heavy, light = max(pieces, key=lambda piece: piece.fabric.gsm), min(pieces, key=lambda piece: piece.fabric.gsm)

    def sewn(piece, count, year):
        start = Seam(*piece).baseline.settings
        many = (trial_of(piece, start, True, {}, number) for number in range(count))
        return [replace(trial, when=datetime(year, 3, 1, tzinfo=UTC)) for trial in many]

    def pull(*trials):
        return by_control(pulls(taught, trials, heavy.machine), "edge_lie")["differential"].mean

    ends = pull(*sewn(heavy, 1, 2025)), pull(*sewn(light, 1, 2025))
    assert pull(*sewn(heavy, 3, 2025), *sewn(light, 1, 2025)) == pytest.approx((3 * ends[0] + ends[1]) / 4)
    assert pull(*sewn(heavy, LAST, 2026), *sewn(light, LAST, 2024)) == pytest.approx(ends[0])


def test_a_finer_dial_pulls_less_a_step():
    coarse = Machine.generic("bench")
    fine = replace(coarse, tension={position: Dial(0, 9, 0.25, 4) for position in coarse.tension})
    by = [by_control(pulls(fitted((), {"bench": each}), (), each), "needle_line")["tension: left needle"].mean for each in (coarse, fine)]
    assert by[0] == pytest.approx(2 * by[1])
