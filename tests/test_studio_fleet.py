"""The studio's machines through its public names: a drift told, settings handed on, a new machine made known."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from data.demo.workshop import Workshop
from recommender import Dial, Machine, Studio
from recommender.errors import InvalidValue, UnknownName, UnsuitableMachine
from recommender.trade.stitch import stitch
from tests.advice.conftest import logged

PLAIN = Machine(name="plain", tension={position: Dial(0, 9, 0.5, 4) for position in ("right needle", "lower looper")})
START = datetime(2026, 1, 1, tzinfo=UTC)


@pytest.fixture(scope="module")
def studio(tmp_path_factory):
    """Two machines and 45 swatches of 15 pieces; the tests only look."""
    shop = Workshop(seed=43)
    with Studio.open(tmp_path_factory.mktemp("fleet") / "studio.sqlite") as opened:
        for machine in (*shop.machines.values(), Machine.generic("new"), PLAIN):
            opened.add_machine(machine)
        for number, trial in enumerate(logged(shop, 15)):
            opened.record(
                fabric=trial.fabric,
                stitch=trial.stitch,
                machine=trial.machine,
                needle_thread=trial.needle_thread,
                looper_thread=trial.looper_thread,
                settings=trial.settings,
                passed=trial.passed,
                readings=trial.readings,
                when=START + timedelta(minutes=10 * number),
            )
        yield opened


def test_every_machine_is_watched_and_one_can_be_asked_for(studio):
    found = studio.drift()
    assert [one.machine for one in found] == list(studio.machines)
    assert sum(one.swatches for one in found) == len(studio.trials())
    assert all(np.isfinite(one.running).all() for one in found)
    (one,) = studio.drift("stove table")
    assert one == next(other for other in found if other.machine == "stove table")
    assert studio.drift("new")[0].swatches == 0


def test_looking_changes_nothing(studio):
    trial = studio.trials()[0]
    seam = {"fabric": trial.fabric, "stitch": trial.stitch, "machine": trial.machine}
    before = studio.propose(**seam)
    studio.drift()
    studio.translate(trial=trial.id, to="new")
    assert studio.propose(**seam) == before


def test_only_what_was_sewn_since_the_service_is_looked_at(studio):
    since = START + timedelta(minutes=300)
    later = [trial for trial in studio.trials(machine="stove table") if trial.when >= since]
    assert studio.drift("stove table", since)[0].swatches == len(later) > 0


def test_the_watch_counts_from_the_service_that_the_care_log_tells_unless_another_moment_is_given(tmp_path):
    shop = Workshop(seed=43)
    with Studio.open(tmp_path) as opened:
        for machine in shop.machines.values():
            opened.add_machine(machine)
        for number, one in enumerate(logged(shop, 4)):
            seam = {name: getattr(one, name) for name in ("fabric", "stitch", "machine", "needle_thread", "looper_thread")}
            opened.record(**seam, settings=one.settings, passed=one.passed, readings=one.readings, when=START + timedelta(hours=number))
        name = opened.trials()[-1].machine
        mine = [trial.when for trial in opened.trials(machine=name)]
        opened.note_care(name, "serviced", when=mine[-2])
        assert (opened.drift(name)[0].swatches, opened.drift(name)[0].since) == (2, mine[-2])
        assert opened.drift(name, START)[0].swatches == len(mine) > 2


def test_a_logged_swatch_and_the_same_seam_described_translate_alike(studio):
    trial = next(t for t in studio.trials() if t.passed and not stitch(t.stitch).lacking(studio.machines["new"]))
    seam = {"fabric": trial.fabric, "stitch": trial.stitch, "machine": trial.machine}
    threads = {"needle_thread": trial.needle_thread, "looper_thread": trial.looper_thread}
    by_id = studio.translate(trial=trial.id, to="new")
    assert studio.translate(**seam, **threads, settings=trial.settings, to="new") == by_id
    assert by_id.given == trial.settings
    assert by_id.to == "new"
    assert all(studio.machines["new"].dial(c).holds(value) for c, value in by_id.settings.controls().items())


def test_what_cannot_be_translated_is_said_and_why(studio):
    trial = next(t for t in studio.trials() if stitch(t.stitch).lacking(studio.machines["plain"]))
    with pytest.raises(UnsuitableMachine, match="'plain' lacks"):
        studio.translate(trial=trial.id, to="plain")
    with pytest.raises(UnknownName, match="machine"):
        studio.translate(trial=trial.id, to="none")
    with pytest.raises(UnknownName, match="swatch"):
        studio.translate(trial="none", to="new")
    with pytest.raises(InvalidValue, match="either the id of a swatch"):
        studio.translate(trial=trial.id, fabric=trial.fabric, to="new")
    with pytest.raises(InvalidValue, match="either the id of a swatch"):
        studio.translate(fabric=trial.fabric, to="new")
    with pytest.raises(InvalidValue, match="expected Settings"):
        studio.translate(fabric=trial.fabric, stitch=trial.stitch, machine=trial.machine, settings={"length": 2}, to="new")
    with pytest.raises(InvalidValue, match="has passed"):
        studio.translate(fabric=trial.fabric, stitch="four-thread overlock", machine="new", to="plain")


def test_a_new_machine_is_made_known_by_swatches_on_it_alone(studio):
    planned = studio.next(2, machine="new")
    assert [one.machine for one in planned] == ["new", "new"]
    with pytest.raises(UnknownName, match="machine"):
        studio.next(2, machine="none")
