"""The log keeps everything, in order, and says so."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy.exc import IntegrityError

from recommender.errors import InvalidValue, StudioError, UnknownName
from recommender.swatches.events import trial_values
from recommender.swatches.rows import trial_of
from recommender.swatches.store import Store
from recommender.swatches.tables import events
from recommender.swatches.trial import Trial, new_id
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Dial, Machine


@pytest.fixture(params=["sqlite", "postgresql"])
def log(request: pytest.FixtureRequest, tmp_path: Path) -> Any:
    """An open log on either database, with one machine."""
    where = request.getfixturevalue("postgresql_url") if request.param == "postgresql" else tmp_path / "studio.sqlite"
    with Store.open(where) as opened:
        opened.add_machine(Machine.generic("bench"))
        yield opened


def another(trial: Trial, **changes: Any) -> Trial:
    return replace(trial, id=new_id(), **changes)


def test_what_was_logged_comes_back_in_the_order_in_which_it_was_first_logged(log: Store, trial: Trial) -> None:
    logged = [another(trial, note=str(number)) for number in range(5)]
    for one in logged:
        log.record(one)
    log.correct(logged[1].id, lambda one: replace(one, passed=True))
    assert [one.note for one in log.trials()] == ["0", "1", "2", "3", "4"]
    assert log.trials()[0] == logged[0]
    assert log.trials()[1] == replace(logged[1], passed=True)


def test_every_value_that_a_trial_can_hold_comes_back_the_same(log: Store, trial: Trial) -> None:
    full = another(
        trial,
        fabric=replace(trial.fabric, name='Crêpe 🧵 "x"; DROP TABLE --', thickness=0.1 + 0.2, stretch_along=1 / 3, plies=3),
        readings={"edge_lie": -0.5, "edge_wrap": 2},
        flags={"jam", "needle_holes"},
        seam_change=-3.7,
        needle_size=80,
        needle_hours=1.5,
        who="Ann O'Neil",
        note="a\nb\t%s",
    )
    log.record(full)
    assert log.trials() == (full,)
    assert log.trials() == (full,)


def test_the_version_grows_with_each_event_and_a_reader_can_follow(log: Store, trial: Trial) -> None:
    versions = [log.version]
    log.record(trial)
    versions.append(log.version)
    log.correct(trial.id, lambda one: replace(one, note="x"), "typing mistake")
    versions.append(log.version)
    log.withdraw(trial.id, "wrong cloth")
    versions.append(log.version)
    log.add_machine(Machine.generic("other"))
    versions.append(log.version)
    assert versions == sorted(set(versions))
    assert [event.kind for event in log.events(versions[0])] == ["recorded", "corrected", "withdrawn", "machine"]
    assert log.events(log.version) == ()


def test_history_tells_every_event_with_its_reason(log: Store, trial: Trial) -> None:
    log.record(trial)
    log.correct(trial.id, lambda one: replace(one, note="x"), "typing mistake")
    log.withdraw(trial.id, " wrong cloth ")
    told = [(event.kind, event.why, event.trial and event.trial.note) for event in log.history(trial.id)]
    assert told == [("recorded", "", ""), ("corrected", "typing mistake", "x"), ("withdrawn", "wrong cloth", None)]
    assert log.trials() == ()


def test_a_correction_brings_a_withdrawn_trial_back_to_its_place(log: Store, trial: Trial) -> None:
    first, second = another(trial), another(trial)
    log.record_new([first, second])
    log.withdraw(first.id, "wrong cloth")
    assert log.trials() == (second,)
    log.correct(first.id, lambda one: one, "it was the right cloth")
    assert log.trials() == (first, second)


def test_a_correction_that_changes_nothing_adds_nothing(log: Store, trial: Trial) -> None:
    log.record(trial)
    before = log.version
    log.correct(trial.id, lambda one: one)
    assert log.version == before


def test_trials_corrected_along_with_one_are_corrected_all_or_none_and_stay_withdrawn(log: Store, trial: Trial) -> None:
    first, second, gone, other = another(trial), another(trial), another(trial), another(trial, fabric=replace(trial.fabric, name="other"))
    log.record_new([first, second, gone, other])
    log.withdraw(gone.id, "wrong cloth")

    def named(name: str) -> Callable[[Fabric], Fabric]:
        return lambda cloth: cloth if cloth.name == "other" else replace(cloth, name=name)

    def mine(one: Trial) -> Trial:
        return replace(one, fabric=replace(one.fabric, name="mine"))

    assert log.correct(first.id, mine, "typed wrongly", "Ada", named("along")).fabric.name == "mine"
    assert [(one.id, one.fabric.name) for one in log.trials()] == [(first.id, "mine"), (second.id, "along"), (other.id, "other")]
    assert len(log.history(other.id)) == 1
    assert [(log.history(one.id)[-1].why, log.history(one.id)[-1].by) for one in (first, second)] == [("typed wrongly", "Ada")] * 2
    before = log.version
    with pytest.raises(InvalidValue):
        log.correct(first.id, lambda one: replace(one, note="again"), along=named("x" * 5000))
    assert log.version == before


def test_a_change_that_fails_leaves_the_log_as_it_was(log: Store, trial: Trial) -> None:
    log.record(trial)
    before = log.version
    with pytest.raises(InvalidValue):
        log.correct(trial.id, lambda one: replace(one, machine=""))
    with pytest.raises(InvalidValue, match="keeps its id"):
        log.correct(trial.id, lambda one: replace(one, id="other"))
    with pytest.raises(UnknownName, match="did you mean 'bench'"):
        log.correct(trial.id, lambda one: replace(one, machine="bensh"))
    assert (log.version, log.trials()) == (before, (trial,))


def test_a_batch_goes_in_whole_or_not_at_all(log: Store, trial: Trial) -> None:
    before = log.version
    with pytest.raises(UnknownName):
        log.record_new([another(trial), another(trial, machine="nobody's")])
    assert (log.version, log.trials()) == (before, ())


def test_a_trial_goes_in_once(log: Store, trial: Trial) -> None:
    log.record(trial)
    with pytest.raises(InvalidValue, match="is in the log"):
        log.record(trial)
    log.withdraw(trial.id, "wrong cloth")
    assert log.record_new([trial, another(trial)])[0].id != trial.id
    assert len(log.trials()) == 1


def test_the_log_tells_which_ids_it_has_ever_held(log: Store, trial: Trial) -> None:
    log.record(trial)
    log.withdraw(trial.id, "wrong cloth")
    assert log.known([trial.id, "other", *(str(number) for number in range(1200))]) == {trial.id}


@pytest.mark.parametrize("why", [None, "", "  ", 5, "x" * 501])
def test_a_withdrawal_needs_a_reason(log: Store, trial: Trial, why: object) -> None:
    log.record(trial)
    with pytest.raises(InvalidValue, match="why"):
        log.withdraw(trial.id, why)
    assert log.trials() == (trial,)


def test_a_trial_is_withdrawn_once(log: Store, trial: Trial) -> None:
    log.record(trial)
    log.withdraw(trial.id, "wrong cloth")
    with pytest.raises(InvalidValue, match="before \\(wrong cloth\\)"):
        log.withdraw(trial.id, "again")


@pytest.mark.parametrize(
    "deed",
    [
        lambda log: log.history("x"),
        lambda log: log.history("' OR 1=1"),
        lambda log: log.withdraw("", "x"),
        lambda log: log.history("\ud800"),
        lambda log: log.withdraw(None, "x"),
    ],
)
def test_an_unknown_trial_is_told(log: Store, deed: Callable[[Store], object]) -> None:
    with pytest.raises(UnknownName, match="expected the id of a logged swatch"):
        deed(log)


def test_a_machine_must_be_there_before_its_trials(tmp_path: Path, trial: Trial) -> None:
    with Store.open(tmp_path / "new.sqlite") as log, pytest.raises(UnknownName, match="no machine yet"):
        log.record(trial)


def test_machines_are_kept_as_last_described(log: Store) -> None:
    before = log.version
    log.add_machine(Machine.generic("bench"))
    assert log.version == before
    dials = {"left needle": Dial(0, 5, 0.25, 3), "lower looper": Dial(0, 9, 0.5, 4)}
    odd = Machine(name="bench", tension=dials, foot_pressure=Dial(0, 6, 1, 2), converter=False, rolled_position=True)
    log.add_machine(Machine.generic("Größe 2"))
    log.add_machine(odd)
    assert list(log.machines()) == ["bench", "Größe 2"]
    assert log.machines()["bench"] == odd


def test_a_machine_that_should_be_new_or_change_a_known_profile_overwrites_nobody(log: Store) -> None:
    first, other = Machine.generic("bench"), Machine(name="bench", converter=False)
    for late in (first, other):
        with pytest.raises(InvalidValue, match="'bench', which is in this studio"):
            log.add_machine(late, new=True)
    log.add_machine(other, former=first)
    with pytest.raises(InvalidValue, match="described anew elsewhere meanwhile"):
        log.add_machine(Machine(name="bench", rolled_position=True), former=first)
    with pytest.raises(InvalidValue, match="described anew elsewhere meanwhile"):
        log.add_machine(Machine.generic("stove"), former=first)
    log.add_machine(Machine.generic("stove"), new=True)
    assert log.machines() == {"bench": other, "stove": Machine.generic("stove")}


def test_the_log_is_there_when_it_is_opened_again(tmp_path: Path, trial: Trial) -> None:
    for number in range(3):
        with Store.open(tmp_path) as log:
            log.add_machine(Machine.generic("bench"))
            log.record(another(trial, note=str(number)))
    with Store.open(tmp_path / "studio.sqlite") as log:
        assert [one.note for one in log.trials()] == ["0", "1", "2"]
        assert log.path == tmp_path / "studio.sqlite"


def test_two_that_are_open_at_once_see_each_other(tmp_path: Path, trial: Trial) -> None:
    with Store.open(tmp_path) as one, Store.open(tmp_path) as other:
        one.add_machine(Machine.generic("bench"))
        other.record(trial)
        assert one.trials() == other.trials() == (trial,)
        other.withdraw(trial.id, "wrong cloth")
        assert one.trials() == ()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE overedge_events SET note = 'changed'",
        "DELETE FROM overedge_events",
        "INSERT OR REPLACE INTO overedge_events (event, at, kind, machine, profile) VALUES (1, '', 'machine', 'a', '{}')",
        "REPLACE INTO overedge_events SELECT * FROM overedge_events",
    ],
)
def test_no_other_program_can_overwrite_a_log_in_a_file(store: Store, trial: Trial, statement: str) -> None:
    store.record(trial)
    with closing(sqlite3.connect(str(store.path))) as outside, pytest.raises(sqlite3.IntegrityError, match="append only"):
        outside.execute(statement)
    assert store.trials() == (trial,)


@pytest.mark.parametrize("statement", ["UPDATE overedge_events SET note = 'x'", "DELETE FROM overedge_events", "TRUNCATE overedge_events"])
def test_no_other_program_can_overwrite_a_log_on_a_server(postgresql_url: str, trial: Trial, statement: str) -> None:
    import psycopg

    with Store.open(postgresql_url) as log:
        log.add_machine(Machine.generic("bench"))
        log.record(trial)
        with psycopg.connect(postgresql_url.replace("+psycopg", "")) as outside, pytest.raises(psycopg.Error, match="append only"):
            outside.execute(statement)
        assert log.trials() == (trial,)


BAD = [
    {"gsm": 5},
    {"gsm": None},
    {"construction": "felted"},
    {"edge_lie": 0.3},
    {"edge_lie": 3},
    {"plies": 7},
    {"fabric": ""},
    {"fabric": "x" * 81},
    {"passed": None},
    {"tension_left_needle": 31},
    {"kind": "erased"},
    {"trial": None},
    {"machine": None},
]


@pytest.mark.parametrize("change", BAD, ids=str)
def test_the_database_itself_refuses_what_breaks_a_rule(log: Store, trial: Trial, change: dict[str, Any]) -> None:
    values = trial_values("recorded", trial) | change
    with pytest.raises(IntegrityError), log._writer.begin() as connection:  # the way in that checks nothing
        connection.execute(events.insert(), values)
    assert log.trials() == ()


def test_a_file_refuses_text_in_a_number_column(store: Store, trial: Trial) -> None:
    with pytest.raises(IntegrityError), store._writer.begin() as connection:
        connection.exec_driver_sql("INSERT INTO overedge_events (at, kind, gsm) VALUES ('', 'withdrawn', 'heavy')")


def test_a_row_that_another_program_wrote_wrongly_is_told(store: Store, trial: Trial) -> None:
    values = trial_values("recorded", trial) | {"when": "last Tuesday"}
    with store._writer.begin() as connection:
        connection.execute(events.insert(), values)
    with pytest.raises(StudioError, match="log entry 2: when: got 'last Tuesday'"):
        store.trials()


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(st.lists(st.tuples(st.sampled_from(["record", "correct", "withdraw"]), st.integers(0, 5)), max_size=20))
def test_whatever_is_done_the_log_is_what_a_plain_list_of_deeds_says(
    tmp_path_factory: pytest.TempPathFactory, row: dict[str, Any], deeds: list[tuple[str, int]]
) -> None:
    kept: dict[str, Trial | None] = {}
    with Store.open(tmp_path_factory.mktemp("log")) as log:
        log.add_machine(Machine.generic("bench"))
        for step, (deed, place) in enumerate(deeds):
            trial_id = list(kept)[place] if place < len(kept) else ""
            if deed == "record" or not trial_id:
                new = trial_of(row)
                log.record(new)
                kept[new.id] = new
            elif deed == "correct":
                kept[trial_id] = log.correct(trial_id, lambda one, step=step: replace(one, note=str(step)))
            elif kept[trial_id] is not None:
                log.withdraw(trial_id, "tried")
                kept[trial_id] = None
        expected = tuple(one for one in kept.values() if one is not None)
        assert log.trials() == expected
    with Store.open(Path(log.where)) as again:
        assert again.trials() == expected
