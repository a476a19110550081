"""A long log: what is known of it is kept in a file, and nobody waits while it is learned."""

import time

import numpy as np
import pytest

from data.demo.workshop import Workshop
from recommender import Studio
from recommender.errors import StudioError
from recommender.studio import follower, knowledge, later, snapshot
from recommender.swatches.store import Store
from recommender.swatches.trial import Trial
from recommender.trade.baseline import baseline
from recommender.trade.machine import Machine
from recommender.trade.stitch import stitch
from tests.benchmarks.bench_studio import seam_of, swatches_of

SHORT = 30


@pytest.fixture
def shop():
    return Workshop(seed=5)


@pytest.fixture
def log(tmp_path, shop, monkeypatch):
    """A log that counts as long, and swatches that may still come in."""
    monkeypatch.setattr(knowledge, "LONG", SHORT)
    monkeypatch.setattr(snapshot, "LONG", SHORT)
    monkeypatch.setattr(knowledge, "AT_ONCE", SHORT)
    to_come = swatches_of(shop, np.random.default_rng(5))
    with Studio.open(tmp_path / "studio.sqlite") as studio:
        for machine in shop.machines.values():
            studio.add_machine(machine)
        for _ in range(40):
            studio.record(**next(to_come))
    return tmp_path / "studio.sqlite", to_come


def proposal(studio, shop):
    seam = seam_of(Workshop(seed=shop.seed).fabric())  # the same cloth every time
    return studio.propose(**seam)


def same_model(one, other):
    """The same settings and chances; sums that were reached on another way differ in the last bits."""
    assert (one.settings, one.ratings) == (other.settings, other.ratings)
    assert one.pass_chance == pytest.approx(other.pass_chance, abs=1e-9)


def alike(one, other):
    """The same words as well, which follow from what was said of each swatch when it came in."""
    same_model(one, other)
    assert (one.lead, one.lead_why) == (other.lead, other.lead_why)


def no_fit(*_, **__):
    raise AssertionError("a model was built from nothing")


def settled(studio):
    for _ in range(600):
        if not studio.learning:
            return studio
        time.sleep(0.05)
    raise AssertionError("it learned for more than half a minute")


def test_a_studio_that_is_opened_again_goes_on_from_what_it_knew(log, shop, monkeypatch):
    where, to_come = log
    with Studio.open(where) as studio:
        first = proposal(studio, shop)
    with monkeypatch.context() as patch, Studio.open(where) as studio:
        patch.setattr(knowledge, "fitted", no_fit)
        alike(proposal(studio, shop), first)
        studio.record(**next(to_come))
        grown, logged = proposal(studio, shop), len(studio.trials())
    assert (first.ratings, grown.ratings) == (logged - 1, logged), "not only those on which it was tuned"
    for file in where.parent.glob("studio-known.*"):
        file.unlink()
    with Studio.open(where) as studio:
        alike(proposal(studio, shop), grown)


@pytest.mark.parametrize("deed", ["a correction", "another log", "another model", "a damaged file"])
def test_what_was_known_is_not_taken_for_what_is(log, shop, monkeypatch, deed):
    where, _ = log
    with Studio.open(where) as studio:
        first, last = proposal(studio, shop), studio.trials()[-1]
    files = {file: file.read_bytes() for file in where.parent.glob("studio-known.*")}
    match deed:
        case "a correction":
            with Studio.open(where) as studio:
                studio.correct(last.id, passed=not last.passed)
            for file, content in files.items():
                file.write_bytes(content)  # as if the program had been stopped before it could write what it knew
        case "another log":
            with Studio.open(where.parent / "other.sqlite") as studio:
                for machine in shop.machines.values():
                    studio.add_machine(machine)
                for swatch, _ in zip(swatches_of(Workshop(seed=6), np.random.default_rng(6)), range(40), strict=False):
                    studio.record(**swatch)
            for file, content in files.items():
                file.with_name(file.name.replace("studio-", "other-")).write_bytes(content)
            where = where.parent / "other.sqlite"
        case "another model":
            monkeypatch.setattr(snapshot, "model_version", lambda: "another")
        case "a damaged file":
            (where.parent / "studio-known.npz").write_bytes(b"no arrays")
    built = []
    monkeypatch.setattr(knowledge, "fitted", lambda *given, whole=knowledge.fitted: built.append(1) or whole(*given))
    with Studio.open(where) as studio:
        found = proposal(studio, shop)
    assert built
    if deed in ("another model", "a damaged file"):
        alike(found, first)


def test_nobody_waits_while_a_long_log_is_learned_from_nothing(log, shop):
    where, _ = log
    with Studio.open(where) as studio:
        whole = proposal(studio, shop)
    for file in (*where.parent.glob("studio-known.*"), *where.parent.glob("studio-model.*")):
        file.unlink()
    with Studio.open(where, waits=False) as studio:
        assert "is learning from 40 swatches" in studio.learning
        assert not proposal(studio, shop).chance_known, "the trade's rules alone until then"
        assert not studio.matters().trials
        assert not studio.effect("edge_lie", "differential").points
        assert not any(found.told for found in studio.drift())
        alike(proposal(settled(studio), shop), whole)
        assert studio.learning == ""


def test_a_rating_does_not_wait_for_scales_that_are_due_and_the_same_log_gives_the_same_model(log, shop):
    where, to_come = log
    with Studio.open(where, waits=False) as studio:
        settled(studio)
        for _ in range(12):
            studio.record(**next(to_come))
            if "is being tuned on" in studio.learning:
                break  # what was put off must be done though nothing more comes in
        assert "is being tuned on" in studio.learning
        settled(studio)
        found = proposal(studio, shop)
    for file in (*where.parent.glob("studio-known.*"), *where.parent.glob("studio-model.*")):
        file.unlink()
    with Studio.open(where) as studio:
        same_model(proposal(studio, shop), found)


def test_a_machine_that_comes_in_with_its_first_swatch_while_the_log_is_followed_disturbs_nothing(log, shop, monkeypatch):
    where, _ = log
    window, whole = Machine.generic("window"), Store.trials
    with Studio.open(where) as studio, Store.open(where) as other:
        seam = seam_of(shop.fabric()) | {"machine": "window"}
        proposal(studio, shop)

        def meanwhile(store):
            monkeypatch.setattr(Store, "trials", whole)
            other.add_machine(window)
            start = baseline(seam["fabric"], stitch(seam["stitch"]), window, seam["needle_thread"], seam["looper_thread"])
            other.record(Trial(**seam, settings=start.settings, passed=True))
            return whole(store)

        monkeypatch.setattr(Store, "trials", meanwhile)
        studio.add_machine(Machine.generic("yet another"))
        assert proposal(studio, shop).settings
        assert len(studio.trials()) == 41


@pytest.fixture
def clock(monkeypatch):
    """A clock of the background that stands still until it is set."""
    now = [1000.0]
    monkeypatch.setattr(later, "monotonic", lambda: now[0])
    return now


def test_learning_that_fails_is_not_tried_again_at_once_and_is_said_and_logged_once(log, monkeypatch, caplog, clock):
    where, _ = log
    tries, whole = [], follower.caught_up

    def fails(*given, tell=None, **more):
        if tell is None:
            return whole(*given, **more)
        tries.append(1)
        raise StudioError("studio: the disk is full")

    def asked_often(studio):
        begun = len(tries)
        for _ in range(40):
            said = studio.learning
            time.sleep(0.01)
        return len(tries) - begun, said

    monkeypatch.setattr(follower, "caught_up", fails)
    for file in (*where.parent.glob("studio-known.*"), *where.parent.glob("studio-model.*")):
        file.unlink()
    with Studio.open(where, waits=False) as studio:
        number, said = asked_often(studio)
        assert number == 1
        assert "learning from 40 swatches (which failed: studio: the disk is full; it is tried again by and by). Until then" in said
        for rest in (later.FIRST, 2 * later.FIRST, 4 * later.FIRST):
            clock[0] += rest - 0.1
            assert asked_often(studio)[0] == 0
            clock[0] += 0.2
            assert asked_often(studio)[0] == 1
        assert [record.getMessage() for record in caplog.records] == ["overedge learns: studio: the disk is full"]
        monkeypatch.setattr(follower, "caught_up", whole)
        clock[0] += later.LONGEST
        assert settled(studio).learning == ""


def test_a_rest_ends_with_the_first_success_and_is_never_longer_than_the_longest(clock):
    work, done = later.Later("test"), []

    def deed(tell):
        done.append(clock[0])
        if len(done) < 15:
            raise ZeroDivisionError

    def once():
        begun = len(done)
        work.do(deed)
        for _ in range(200):
            if len(done) > begun and not work._at_work:
                return
            time.sleep(0.01)

    for _ in range(15):
        once()
        clock[0] += later.LONGEST
    once()
    once()
    assert len(done) == 17
    assert work.doing == ""
