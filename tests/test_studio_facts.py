"""What a studio says of itself, and what it refuses to keep."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from recommender import Dial, Fabric, Machine, Studio
from recommender.errors import InvalidValue, StudioError, UnsuitableMachine

JERSEY = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)
SEAM = {"fabric": JERSEY, "stitch": "two-thread overlock", "machine": "bench"}


@pytest.fixture
def studio(tmp_path):
    with Studio.open(tmp_path / "studio.sqlite") as opened:
        yield opened


def test_an_empty_studio_has_nothing_to_copy(studio):
    facts = studio.facts()
    assert (facts.entries, facts.last, facts.swatches, facts.machines) == (0, None, 0, 0)
    assert "nothing to copy" in facts.backup


def test_the_facts_count_what_is_there_and_what_the_model_knows(studio):
    studio.add_machine(Machine.generic("bench"))
    settings = studio.propose(**SEAM).settings
    studio.record(**SEAM, settings=settings, passed=True)
    studio.record(**SEAM | {"fabric": replace(JERSEY, name="crepe")}, settings=settings, passed=False)
    facts = studio.facts()
    assert (facts.swatches, facts.passed, facts.fabrics, facts.machines, facts.learned) == (2, 1, 2, 1, 2)
    assert facts.entries == studio.version == 3
    assert facts.last is not None
    assert abs(datetime.now(UTC) - facts.last) < timedelta(minutes=5)
    assert facts.is_file
    assert "studio.sqlite" in facts.backup
    studio.add_machine(Machine(name="bench", converter=False))
    facts = studio.facts()
    assert (facts.swatches, facts.learned) == (2, 0)


def test_the_copy_for_safety_is_told_of_in_the_time_of_the_studio(studio, far_east):
    studio.add_machine(Machine.generic("bench"))
    last = studio.facts().last
    assert f"before {last + timedelta(hours=14):%Y-%m-%d %H:%M} lacks" in studio.facts().backup
    assert "UTC" not in studio.facts().backup


def test_a_swatch_that_is_yet_to_be_sewn_is_not_kept(studio):
    studio.add_machine(Machine.generic("bench"))
    settings, now = studio.propose(**SEAM).settings, datetime.now(UTC)
    with pytest.raises(InvalidValue, match=r"swatch when: got .*, expected a day until tomorrow"):
        studio.record(**SEAM, settings=settings, passed=True, when=now + timedelta(days=1, hours=1))
    assert not studio.trials()
    kept = studio.record(**SEAM, settings=settings, passed=True, when=now + timedelta(hours=23))
    with pytest.raises(InvalidValue, match="until tomorrow"):
        studio.correct(kept.id, when=now + timedelta(days=400))
    assert studio.trials() == (kept,)


def test_what_a_machine_can_do_is_asked_only_of_what_a_correction_changes(studio):
    studio.add_machine(Machine.generic("bench"))
    settings = studio.propose(**SEAM).settings
    old, new = (studio.record(**SEAM, settings=settings, passed=True) for _ in range(2))
    high = replace(settings, tension={**settings.tension, "lower looper": 9})
    old = studio.correct(old.id, settings=high)
    bench = studio.machines["bench"]
    studio.add_machine(replace(bench, tension={**bench.tension, "lower looper": Dial(0, 8, 0.5, 4)}))
    studio.correct_columns(new.id, {"gsm": 230}, along=lambda cloth: cloth == JERSEY)
    studio.correct(old.id, passed=False)
    assert [(one.fabric.gsm, one.passed) for one in studio.trials()] == [(230, False), (230, True)]
    day_before = old.when - timedelta(days=1)
    assert studio.correct(old.id, when=day_before, settings=replace(high, length=3)).when == day_before
    with pytest.raises(InvalidValue, match=r"lower looper: got 8.5, .* goes from 0 to 8"):
        studio.correct(old.id, settings=high.having({"tension: lower looper": 8.5}))
    studio.add_machine(replace(bench, name="other", tension={**bench.tension, "lower looper": Dial(0, 8, 0.5, 4)}))
    with pytest.raises(InvalidValue, match=r"lower looper: got 9, but on 'other'"):
        studio.correct(old.id, machine="other")
    studio.add_machine(replace(bench, converter=False))
    studio.correct(old.id, when=old.when)
    with pytest.raises(UnsuitableMachine, match="two-thread converter"):
        studio.correct(old.id, stitch="two-thread rolled hem", settings=replace(high, tension={"right needle": 4, "lower looper": 9}))
    assert (studio.trials()[0].when, studio.trials()[0].stitch) == (old.when, old.stitch)


def test_a_log_with_a_day_yet_to_come_opens_all_the_same(studio):
    """A clock may be set back; the check tells, and the studio works."""
    from recommender.swatches.store import Store

    studio.add_machine(Machine.generic("bench"))
    kept = studio.record(**SEAM, settings=studio.propose(**SEAM).settings, passed=True)
    with Store.open(studio.where) as log:
        log.record(replace(kept, id="later", when=datetime.now(UTC) + timedelta(days=30)))
    assert len(studio.trials()) == 2
    assert [fault.column for fault in studio.check().faults] == ["when"]


def test_a_closed_studio_answers_nothing(studio):
    studio.add_machine(Machine.generic("bench"))
    studio.propose(**SEAM)
    studio.close()
    for ask in (lambda: studio.propose(**SEAM), studio.matters, studio.trials, studio.facts, lambda: studio.drift("bench")):
        with pytest.raises(StudioError, match="it was closed"):
            ask()
