"""The next swatches through the studio."""

import pytest

from recommender import Fabric, Machine, Studio, Thread
from recommender.errors import InvalidValue, UnknownName, UnsuitableMachine

JERSEY = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)
POPLIN = Fabric(name="poplin", construction="woven", fibre="cotton", gsm=120)
SEAM = {"stitch": "four-thread overlock", "machine": "bench", "needle_thread": Thread(tex=27), "looper_thread": Thread(tex=27)}


@pytest.fixture
def studio(tmp_path):
    with Studio.open(tmp_path / "my-studio.sqlite") as opened:
        opened.add_machine(Machine.generic("bench"))
        yield opened


def test_a_planned_swatch_can_be_recorded_as_it_is(studio):
    first = studio.next(1, fabric=JERSEY, **SEAM)[0]
    studio.record(fabric=first.fabric, **SEAM, settings=first.settings, passed=False, readings={"edge_lie": 1})
    assert studio.trials()[0].settings == first.settings
    second = studio.next(1, fabric=JERSEY, **SEAM)[0]
    assert second.proposal == studio.propose(fabric=JERSEY, **SEAM).settings
    assert second.proposal != first.proposal


def test_what_failed_counts_in_a_plan_as_it_does_in_a_proposal(studio):
    """It starts from the same settings, is no surer of a pass, and sends nobody back to what failed."""
    failed, hoped = [], studio.propose(fabric=JERSEY, **SEAM).pass_chance
    for _ in range(3):
        failed.append(studio.propose(fabric=JERSEY, **SEAM).settings)
        studio.record(fabric=JERSEY, **SEAM, settings=failed[-1], passed=False)
    proposal = studio.propose(fabric=JERSEY, **SEAM)
    planned = studio.next(8, fabric=JERSEY, **SEAM, learning=0)
    assert all(swatch.proposal == proposal.settings for swatch in planned)
    assert max(swatch.pass_chance for swatch in planned) < hoped / 2
    assert planned[0].pass_chance >= 0.95 * proposal.pass_chance
    assert not [swatch for swatch in planned if swatch.settings in failed]


def set_aside(studio, swatch, **changes):
    names = ("fabric", "stitch", "machine", "needle_thread", "looper_thread", "settings")
    return studio.set_aside(**{name: getattr(swatch, name) for name in names} | changes)


def test_swatches_that_are_set_aside_count_as_sewn(studio):
    both = studio.next(2, fabric=JERSEY, **SEAM)
    waiting = set_aside(studio, both[0], reason=both[0].sentence)
    assert studio.next(1, fabric=JERSEY, **SEAM) == both[1:]
    studio.drop(waiting.id)
    assert studio.next(2, fabric=JERSEY, **SEAM) == both
    set_aside(studio, studio.propose(fabric=JERSEY, **SEAM))
    assert studio.next(1, fabric=JERSEY, **SEAM)[0].gain < both[0].gain


def test_a_swatch_whose_machine_has_lost_what_it_needs_waits_and_holds_nothing_up(studio):
    seam = SEAM | {"stitch": "two-thread overlock"}
    waiting = set_aside(studio, studio.propose(fabric=POPLIN, **seam))
    before = studio.next(1, fabric=JERSEY, **SEAM)
    studio.add_machine(Machine(name="bench", converter=False))
    assert studio.pending() == (waiting,)
    assert studio.next(1, fabric=JERSEY, **SEAM)[0].settings == before[0].settings


def test_a_free_hour_needs_a_cloth(studio):
    with pytest.raises(InvalidValue, match="no cloth"):
        studio.next()
    assert {swatch.fabric for swatch in studio.next(fabrics=[JERSEY, POPLIN])} == {JERSEY, POPLIN}


def test_a_free_hour_goes_to_the_cloth_of_which_least_is_known(studio):
    settings = studio.propose(fabric=JERSEY, **SEAM).settings
    for passed in (False, False, True, True):
        studio.record(fabric=JERSEY, **SEAM, settings=settings, passed=passed, readings={"edge_lie": 0})
    assert studio.next(1, fabrics=[JERSEY, POPLIN])[0].fabric == POPLIN
    assert {swatch.fabric for swatch in studio.next(3)} == {JERSEY}, "the only one that was logged"


@pytest.mark.parametrize("given", [{"fabric": JERSEY}, {"stitch": "rolled hem"}, {"fabric": JERSEY, "machine": "bench"}])
def test_half_a_seam_is_refused(studio, given):
    with pytest.raises(InvalidValue, match="expected cloth, stitch and machine"):
        studio.next(**given)


def test_a_free_hour_may_be_one_machines(studio):
    studio.add_machine(Machine.generic("window"))
    assert {swatch.machine for swatch in studio.next(3, fabrics=[JERSEY, POPLIN], machine="window")} == {"window"}
    with pytest.raises(UnknownName, match="windw"):
        studio.next(fabrics=[JERSEY], machine="windw")


def test_a_seam_that_cannot_be_is_refused(studio):
    studio.add_machine(Machine(name="plain", converter=False))
    with pytest.raises(UnknownName, match="bensh"):
        studio.next(fabric=JERSEY, stitch="rolled hem", machine="bensh")
    with pytest.raises(UnsuitableMachine):
        studio.next(fabric=JERSEY, stitch="two-thread overlock", machine="plain")
    with pytest.raises(UnknownName, match="rolled hem"):
        studio.next(fabrics=[JERSEY], stitches=["roled hem"])


def test_planning_logs_nothing(studio):
    version = studio.version
    studio.next(2, fabrics=[JERSEY])
    assert studio.version == version
    assert studio.trials() == ()


def test_a_name_in_place_of_a_cloth_is_told(studio):
    with pytest.raises(InvalidValue, match="fabrics: got 'rib jersey', expected each a Fabric"):
        studio.next(fabrics=["rib jersey"])
