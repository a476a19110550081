"""How soon a shift of one dial number is told, and how often one is told that never was, on the simulated workshop.

Every swatch is judged by the model as it was when that swatch had just been logged. The rooms are others than those on which the
running sum was built.
"""

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import islice

import numpy as np
import pytest
from scipy.special import logsumexp

from recommender.advice.watching.drift import ALARM, drift
from recommender.advice.watching.running import SHIFTS, by_cause, signature
from tests.slow.room import Room

pytestmark = [pytest.mark.slow, pytest.mark.timeout(3600)]

ROOMS = range(570, 586)
LOGGED, WATCHED = 300, 45


@dataclass(frozen=True)
class Watch:
    """What the watch on one drift came to."""

    control: str
    delay: int  # swatches on the machine until it was told, one more than were sewn where it never was
    control_right: bool
    direction_right: bool


@dataclass(frozen=True)
class Tally:
    alarms: int  # on machines that had not changed
    swatches: int
    normal_alarms: int  # the same on standard normal residuals
    normal_swatches: int
    watches: tuple[Watch, ...]


def watched(room: Room) -> tuple[int, dict[str, datetime | None]]:
    """Alarms while nothing drifts, the watch on a machine starting anew after each, and when it last did."""
    alarms, since = 0, dict.fromkeys(room.shop.machines)
    for trial in islice(room.sewing(), LOGGED):
        if drift(room.model, room.log, room.shop.machines, trial.machine, since[trial.machine]).told:
            alarms, since[trial.machine] = alarms + 1, trial.when + timedelta(seconds=1)
    return alarms, since


def normal_alarms(room: Room, machine: str, rng: np.random.Generator) -> tuple[int, int]:
    """The same with the residuals of one machine replaced by standard normal numbers."""
    found = signature(room.model, room.log, room.shop.machines, machine)
    sums, alarms, start = found.sums(rng.normal(size=found.left.shape)), 0, 0
    while (told := np.flatnonzero(logsumexp(by_cause(sums[:, start:, start:]), axis=0) >= ALARM)).size:
        alarms, start = alarms + 1, start + int(told[0]) + 1
        if start >= len(found.mine):
            break
    return alarms, len(found.mine)


def watch(room: Room, machine: str, control: str, since: datetime | None) -> Watch:
    """Swatches on one machine, one of whose controls has slipped, until that is told."""
    up = bool(room.rng.random() < 0.5)
    by = (1.0 if up else -1.0) if control != "differential" else 1.125 if up else 1 / 1.125
    for delay, _ in enumerate(room.sewing(machine, (control, by)), start=1):
        found = drift(room.model, room.log, room.shop.machines, machine, since)
        if found.told or delay == WATCHED:
            first = found.suspects[0]
            return Watch(control, delay if found.told else WATCHED + 1, first.control == control, first.up == up)
    raise AssertionError("sewing never ends")


@pytest.fixture(scope="module")
def tally() -> Tally:
    alarms, normal, watches = 0, [], []
    for seed in ROOMS:
        room = Room(seed)
        told, since = watched(room)
        alarms += told
        normal += [normal_alarms(room, machine, room.rng) for machine in room.shop.machines for _ in range(5)]
        watches += [watch(room.copy(), machine, control, since[machine]) for machine in room.shop.machines for control in SHIFTS]
    return Tally(alarms, LOGGED * len(ROOMS), *np.sum(normal, axis=0).tolist(), tuple(watches))


def median_delay(tally: Tally, *words: str) -> float:
    """Median over the drifts of the controls in whose names one of the words stands; of all where none is given."""
    own = np.array([one.delay for one in tally.watches if not words or any(word in one.control for word in words)])
    drawn = np.median(np.random.default_rng(0).choice(own, size=(500, len(own))), axis=1)
    print(f"{' and '.join(words) or 'all'}: median {np.median(own):.1f} +- {drawn.std():.1f} of {len(own)}, ", end="")
    print(f"quarters {np.quantile(own, [0.25, 0.75])}, not within {WATCHED}: {np.mean(own > WATCHED):.2f}")
    return float(np.median(own))


def test_a_shift_of_one_dial_number_is_told_within_fifteen_swatches(tally):
    """Of any thread position, or of the feed by an eighth, either way, each on both machines of 16 rooms with 300 swatches logged."""
    for control in SHIFTS:
        median_delay(tally, control)
    assert median_delay(tally) <= 15


def test_a_shift_of_a_looper_or_of_the_feed_is_told_within_fifteen_swatches(tally):
    assert median_delay(tally, "looper", "differential") <= 15


def test_a_shift_of_a_needle_is_told_within_thirty_swatches(tally):
    """Where two needles sew, each holds half of the one reading that tells of them: twice the swatches, and fifteen are not enough."""
    assert median_delay(tally, "needle") <= 30


def test_what_is_told_is_what_has_drifted(tally):
    """Control and direction; where two needles sew, the one may be taken for the other."""
    told = [one for one in tally.watches if one.delay <= WATCHED]
    right = np.mean([one.control_right and one.direction_right for one in told])
    print(f"right control and direction: {right:.2f} of {len(told)}")
    assert right >= 0.75


def test_false_alarms_come_no_more_than_once_in_two_hundred_swatches(tally):
    """Two machines in 16 rooms from an empty log to 300 swatches."""
    print(f"false alarms: {tally.alarms} in {tally.swatches} swatches, ", end="")
    print(f"on standard normal residuals {tally.normal_alarms} in {tally.normal_swatches}")
    assert tally.alarms <= tally.swatches / 200
    assert tally.normal_alarms <= tally.normal_swatches / math.exp(ALARM)
