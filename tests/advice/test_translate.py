"""One machine's settings as another's: exact where nothing is known, there and back again, and nearer with a log."""

from dataclasses import replace

import numpy as np
import pytest

from data.demo.workshop import Piece
from recommender.advice.model import fitted, seam_of
from recommender.advice.seam import Seam
from recommender.advice.translate import carried_over, translate
from recommender.trade.machine import Dial, Machine
from recommender.trade.stitch import stitch
from recommender.trade.thread import ORDINARY
from tests.advice.conftest import BENCH, JERSEY, trial_of

TWIN = replace(BENCH, name="twin")
HIGHER = replace(BENCH, name="higher", tension={p: Dial(1, 10, 0.5, 5) for p in BENCH.tension})
MACHINES = {machine.name: machine for machine in (BENCH, TWIN, HIGHER)}


def seams(other: Machine, name="four-thread overlock", here: Machine = BENCH):
    return tuple(Seam(JERSEY, stitch(name), machine, ORDINARY, ORDINARY) for machine in (here, other))


def moved(seam: Seam, **tensions):
    start = seam.baseline.settings
    by = {"tension: " + name.replace("_", " "): amount for name, amount in tensions.items()}
    stood = start.controls()
    return start.having({control: stood[control] + by[control] for control in by if control in stood} | {"differential": 1.3})


@pytest.fixture(scope="module")
def blank():
    return fitted((), MACHINES)


@pytest.fixture(scope="module")
def pairs(shop, log):
    """Every third swatch of the log, on its own machine and on the other one, where that can sew it."""
    found = []
    for trial in log[::3]:
        seam = seam_of(trial, shop.machines)
        other = next(machine for machine in shop.machines.values() if machine is not seam.machine)
        if not seam.stitch.lacking(other):
            found.append((seam, trial.settings, Seam(seam.fabric, seam.stitch, other, seam.needle_thread, seam.looper_thread)))
    return found


@pytest.mark.parametrize("name", ["four-thread overlock", "rolled hem", "three-thread flatlock wide"])
def test_to_a_machine_of_the_same_profile_everything_carries_over_when_nothing_is_logged(blank, name):
    seam, there = seams(TWIN, name)
    given = moved(seam, upper_looper=1.5, lower_looper=-1.0, right_needle=0.5)
    found = translate(blank, seam, given, there)
    assert found.settings == found.plain == given
    assert all(band.low < given.controls()[control] < band.high for control, band in found.bands.items())
    assert all(band.low < 0 < band.high for band in found.apart.values())


def test_to_another_home_mark_the_tensions_carry_over_shifted_by_it(blank):
    seam, there = seams(HIGHER)
    given = moved(seam, upper_looper=1.5, left_needle=-1.0)
    found = translate(blank, seam, given, there)
    assert found.settings.tension == {position: value + 1 for position, value in given.tension.items()}
    assert (found.settings.differential, found.settings.length, found.settings.width) == (given.differential, given.length, given.width)
    assert found.settings == found.plain


def test_a_machine_whose_rolled_position_sets_the_tension_has_its_dials_left_at_home(blank):
    seam, there = seams(replace(TWIN, rolled_position=True), "rolled hem")
    assert carried_over(seam, seam.baseline.settings, there).tension == {p: there.machine.tension[p].home for p in seam.stitch.positions}


def test_foot_pressure_carries_over_where_both_machines_have_it(blank):
    pressed = Dial(1, 5, 0.5, 3)
    seam, there = seams(replace(TWIN, foot_pressure=Dial(2, 8, 1, 4)), here=replace(BENCH, foot_pressure=pressed))
    given = replace(seam.baseline.settings, foot_pressure=4.0)
    assert translate(blank, seam, given, there).settings.foot_pressure == 5.0
    assert translate(blank, there, replace(there.baseline.settings, foot_pressure=8.0), seam).settings.foot_pressure == 5.0
    assert translate(blank, seam, given, seams(TWIN)[1]).settings.foot_pressure is None


def test_what_another_machine_cannot_reach_is_held_inside_its_range(blank):
    short = replace(TWIN, tension={p: Dial(3, 5, 0.5, 4) for p in BENCH.tension})
    seam, there = seams(short)
    found = translate(blank, seam, moved(seam, upper_looper=3.0), there)
    for control, band in found.bands.items():
        dial = short.dial(control)
        assert dial.low <= band.low <= found.settings.controls()[control] <= band.high <= dial.high
        assert dial.nearest(found.settings.controls()[control]) == pytest.approx(found.settings.controls()[control])


def test_there_and_back_again_is_nearly_where_it_began(taught, pairs):
    """On the log's two machines, whose dials have different steps: within a step of the coarser one for 9 of 10 controls."""
    off = []
    for seam, given, there in pairs:
        back = translate(taught, there, translate(taught, seam, given, there).settings, seam).settings.controls()
        for control, value in given.controls().items():
            off.append(abs(back[control] - value) / max(seam.machine.dial(control).step, there.machine.dial(control).step))
    assert np.mean(np.array(off) <= 1 + 1e-9) >= 0.9
    assert np.mean(off) < 0.6


def test_a_machine_to_itself_changes_nothing(taught, pairs):
    for seam, given, _ in pairs[:6]:
        assert translate(taught, seam, given, seam).settings == given


def test_with_a_log_the_other_machine_sews_nearer_to_the_same_than_by_the_home_marks(shop, taught, pairs):
    """True readings on both machines, which only the simulator knows."""

    def apart(seam, given, there, settings):
        one, other = (shop.truth(_piece(sewn), at).readings for sewn, at in ((seam, given), (there, settings)))
        return np.sqrt(np.mean([(other[name] - one[name]) ** 2 for name in one]))

    both = []
    for seam, given, there in pairs:
        found = translate(taught, seam, given, there)
        both.append((apart(seam, given, there, found.settings), apart(seam, given, there, found.plain)))
    ours, plain = np.mean(both, axis=0)
    assert ours < 0.85 * plain


def test_what_is_peculiar_to_the_cloth_does_not_matter(taught, pairs):
    """It falls out of the difference: a cloth of another name translates the same way."""
    seam, given, there = pairs[0]
    stranger = replace(seam.fabric, name="never logged")
    other = [Seam(stranger, s.stitch, s.machine, s.needle_thread, s.looper_thread) for s in (seam, there)]
    one, two = translate(taught, seam, given, there), translate(taught, other[0], given, other[1])
    assert one.settings == two.settings
    assert one.bands == two.bands


def test_it_says_what_becomes_of_every_control(taught, pairs):
    seam, given, there = pairs[0]
    found = translate(taught, seam, given, there)
    assert [one.control for one in found.carried] == list(there.controls)
    assert len(found.sentences) == len(there.controls)
    assert all("becomes" in sentence and "by the home marks alone" in sentence for sentence in found.sentences)
    assert 0 < found.pass_chance < 1


def test_what_failed_on_the_other_machine_counts_in_the_chance(taught, pairs):
    for seam, given, there in pairs[:5]:
        fresh = translate(taught, seam, given, there)
        fail = trial_of(_piece(there), fresh.settings, False, {}, 0)
        again = translate(taught, seam, given, there, [fail])
        assert again.settings == fresh.settings
        assert again.pass_chance < fresh.pass_chance
        assert again.pass_chance == pytest.approx(float(taught.outlook(there, [fail]).pass_chance(there.amounts(again.settings))))


def _piece(seam: Seam) -> Piece:
    return Piece(seam.fabric, seam.stitch, seam.machine, seam.needle_thread, seam.looper_thread)
