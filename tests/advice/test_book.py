"""The swatch book: one entry a cloth, the best setting of each stitch and machine, and what is found in it."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from recommender import Fabric, Machine, Settings, Studio, Thread
from recommender.advice.book import Wanted, best_of, book, entry_of, entry_titled, find
from recommender.errors import InvalidValue, UnknownName
from recommender.swatches.trial import Trial

RIB = Fabric(name="rib", construction="knit", fibre="cotton", gsm=220, stretch=60)
VOILE = Fabric(name="voile", construction="woven", fibre="polyester", gsm=60)
FOUR = Settings(tension={"left needle": 4, "right needle": 4, "upper looper": 4, "lower looper": 4}, differential=1.2, length=2.5, width=6)
SPRING = datetime(2026, 3, 14, tzinfo=UTC)


def sewn(passed=True, upper=4.0, day=0, fabric=RIB, **more):
    given = {"stitch": "four-thread overlock", "machine": "bench"} | more
    settings = FOUR.having({"tension: upper looper": upper})
    return Trial(fabric=fabric, settings=settings, passed=passed, when=SPRING + timedelta(days=day), **given)


def best_upper(*trials):
    return best_of(trials).trial.settings.tension["upper looper"]


def test_nothing_is_best_where_nothing_passed():
    assert best_of([sewn(passed=False), sewn(passed=False)]) is None


def test_a_setting_that_always_passed_is_better_than_one_that_failed_too():
    assert best_upper(sewn(upper=4), sewn(upper=5), sewn(passed=False, upper=5), sewn(upper=5)) == 4


def test_of_equals_the_one_with_the_fewest_faults_is_better():
    clean, faulty = sewn(upper=4, readings={"edge_lie": 1}), sewn(upper=5, readings={"edge_lie": 0}, flags=["needle_holes"])
    assert best_upper(clean, faulty) == 4


@pytest.mark.parametrize(
    ("nearer", "farther"),
    [
        ({"edge_lie": 0}, {}),
        ({}, {"edge_lie": 0.5}),
        ({"edge_lie": 0.5, "edge_wrap": -0.5, "needle_line": 0.5}, {"edge_lie": 1.5}),
        ({"edge_lie": -0.5}, {"edge_lie": 1}),
    ],
)
def test_then_the_one_whose_readings_lie_nearer_to_nought(nearer, farther):
    assert best_upper(sewn(upper=4, readings=nearer), sewn(upper=5, readings=farther)) == 4
    assert best_upper(sewn(upper=5, readings=farther), sewn(upper=4, readings=nearer)) == 4


def test_then_the_one_that_passed_most_often_and_then_the_last():
    assert best_upper(sewn(upper=4), sewn(upper=4), sewn(upper=5)) == 4
    assert best_upper(sewn(upper=4), sewn(upper=5)) == 5


def test_the_same_dials_with_another_thread_are_another_setting():
    found = best_of([sewn(), sewn(looper_thread=Thread(tex=18)), sewn(passed=False, looper_thread=Thread(tex=18))])
    assert found.trial.looper_thread.tex == 27
    assert (found.passes, len(found.swatches)) == (1, 1)


def test_the_swatch_to_sew_again_is_the_last_that_passed_with_the_best_setting():
    first, last, failed = sewn(day=1), sewn(day=2), sewn(day=3, passed=False)
    assert best_of([first, last, failed]).trial == last


def test_each_stitch_and_machine_has_its_own_best_the_last_sewn_first():
    rolled = Settings(tension={"right needle": 4, "upper looper": 4, "lower looper": 7}, differential=1, length=1.5, width=4)
    hem = Trial(fabric=RIB, stitch="rolled hem", machine="bench", settings=rolled, passed=True, when=SPRING + timedelta(days=9))
    [entry] = book([sewn(day=1), hem, sewn(day=2, machine="other", passed=False)])
    assert [(one.stitch, one.machine) for one in entry.sewn] == [
        ("rolled hem", "bench"),
        ("four-thread overlock", "other"),
        ("four-thread overlock", "bench"),
    ]
    assert [one.best is not None for one in entry.sewn] == [True, False, True]
    assert entry.best.trial == hem
    assert (entry.count, entry.passes) == (3, 2)


def test_the_cloth_sewn_last_stands_first():
    assert [entry.title for entry in book([sewn(day=5), sewn(day=9, fabric=VOILE), sewn(day=1)])] == ["voile", "rib"]


def test_two_cloths_of_one_name_are_two_entries_and_how_it_lies_in_the_seam_makes_no_difference():
    heavy, across = replace(RIB, gsm=300), replace(RIB, grain="crosswise", plies=3)
    entries = book([sewn(day=3), sewn(day=2, fabric=heavy), sewn(day=1, fabric=across), sewn(day=0, fabric=replace(VOILE, name="rib (2)"))])
    assert [(entry.title, entry.fabric.gsm, entry.count) for entry in entries] == [
        ("rib", 220, 2),
        ("rib (2)", 300, 1),
        ("rib (2) (2)", 60, 1),
    ]


def test_every_trial_stands_in_the_book_once():
    trials = [sewn(day=day, fabric=replace(RIB, gsm=200 + day % 3), machine=f"m{day % 2}") for day in range(20)]
    assert sorted(trial.id for entry in book(trials) for trial in entry.trials) == sorted(trial.id for trial in trials)


@pytest.mark.parametrize(
    ("wanted", "titles"),
    [
        (Wanted(), ["voile", "rib"]),
        (Wanted(text="RI"), ["rib"]),
        (Wanted(text="poly wov"), ["voile"]),
        (Wanted(text="tape noor"), ["rib"]),
        (Wanted(text="rib voile"), []),
        (Wanted(fibres=frozenset({"cotton", "silk"})), ["rib"]),
        (Wanted(gsm_low=60, gsm_high=219), ["voile"]),
        (Wanted(gsm_low=61), ["rib"]),
        (Wanted(machine="other"), ["voile"]),
        (Wanted(stitch="rolled hem"), []),
        (Wanted(passed=True), ["rib"]),
        (Wanted(passed=False), ["voile"]),
        (Wanted(passed=True, machine="other"), []),
    ],
)
def test_what_is_wanted_is_found(wanted, titles):
    entries = book([sewn(day=1, note="use tape", who="Noor"), sewn(day=2, fabric=VOILE, machine="other", passed=False)])
    assert [entry.title for entry in find(entries, wanted)] == titles


def test_what_is_found_shows_the_wanted_machine_and_no_other():
    entries = book([sewn(day=1), sewn(day=2, machine="other", passed=False)])
    [entry] = find(entries, Wanted(machine="bench"))
    assert (entry.count, entry.passes, len(entry.sewn)) == (1, 1, 1)


def test_an_entry_is_opened_by_its_title_whatever_its_capitals():
    entries = book([sewn()])
    assert entry_titled(entries, " RIB ") == entry_titled(entries, "rib") == entries[0] == entry_of(entries, sewn(day=7))
    assert entry_of(entries, sewn(fabric=VOILE)) is None
    with pytest.raises(UnknownName, match="did you mean 'rib'"):
        entry_titled(entries, "ribb")
    with pytest.raises(UnknownName, match="no swatch is logged"):
        entry_titled([], "rib")


def test_a_studio_corrects_by_columns_and_the_book_follows(tmp_path):
    with Studio.open(tmp_path / "studio.sqlite") as studio:
        studio.add_machine(Machine.generic("bench"))
        seam = {"fabric": RIB, "stitch": "four-thread overlock", "machine": "bench"}
        trial = studio.record(**seam, settings=FOUR, passed=False, readings={"edge_lie": 1})
        studio.correct_columns(trial.id, {"passed": True, "edge_lie": None}, "wrong strip", "Ada")
        [entry] = book(studio.trials())
        assert entry.best.trial.id == trial.id
        assert not entry.best.trial.readings
        with pytest.raises(InvalidValue, match="from 0 to 9"):
            studio.correct_columns(trial.id, {"tension_upper_looper": 12.0})
        studio.withdraw(trial.id, "lost", "Ada")
        assert book(studio.trials()) == ()
        assert [one.id for one in studio.withdrawn()] == [trial.id]
        assert studio.history(trial.id)[-1].by == "Ada"
