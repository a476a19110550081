"""Photos of swatches and the care of machines are kept as the trials are."""

import sqlite3
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy.exc import IntegrityError

from recommender.errors import InvalidValue, UnknownName
from recommender.swatches.care import Care
from recommender.swatches.events import care_values, care_withdrawal_values
from recommender.swatches.store import Store
from recommender.swatches.tables import events
from recommender.swatches.trial import Trial, new_id
from recommender.trade.care import DEEDS
from recommender.trade.machine import Machine


@pytest.fixture(params=["sqlite", "postgresql"])
def log(request: pytest.FixtureRequest, tmp_path: Path) -> Any:
    """An open log on either database, with one machine."""
    where = request.getfixturevalue("postgresql_url") if request.param == "postgresql" else tmp_path / "studio.sqlite"
    with Store.open(where) as opened:
        opened.add_machine(Machine.generic("bench"))
        yield opened


def test_every_deed_comes_back_as_it_was_noted(log: Store) -> None:
    zone = timezone(timedelta(hours=2))
    noted = [
        log.note_care(
            Care(machine="bench", deed=deed, when=datetime(2026, 3, 1, 10, place, tzinfo=zone), who="Ann O'Neil", note="a\n%s 🧵")
        )
        for place, deed in enumerate(DEEDS)
    ]
    assert log.care() == tuple(noted)
    assert [one.number for one in noted] == list(range(2, 2 + len(DEEDS)))
    assert noted[0].when == datetime(2026, 3, 1, 8, tzinfo=UTC)
    assert [event.care for event in log.events(1)] == noted
    assert log.trials() == ()


@pytest.mark.parametrize(
    ("given", "error", "told"),
    [
        ({"deed": "neddle changed"}, UnknownName, "did you mean 'needle changed'"),
        ({"deed": None}, UnknownName, "expected one of"),
        ({"who": "x" * 61}, InvalidValue, "care who"),
        ({"note": "x" * 2001}, InvalidValue, "care note"),
        ({"machine": ""}, InvalidValue, "care machine"),
        ({"when": datetime(2026, 3, 1)}, InvalidValue, "care when: .* with its zone"),  # noqa: DTZ001  # the zone is what is missing
    ],
)
def test_a_deed_that_cannot_be_is_refused(given: dict[str, Any], error: type[Exception], told: str) -> None:
    with pytest.raises(error, match=told):
        Care(**{"machine": "bench", "deed": "cleaned"} | given)


def test_a_deed_on_an_unknown_machine_is_refused(log: Store) -> None:
    with pytest.raises(UnknownName, match="did you mean 'bench'"):
        log.note_care(Care(machine="bensh", deed="cleaned"))
    assert log.care() == ()


def test_what_was_noted_by_mistake_is_taken_back_once_and_both_stay_in_the_log(log: Store) -> None:
    right, wrong = (log.note_care(Care(machine="bench", deed=deed)) for deed in ("cleaned", "needle changed"))
    log.withdraw_care(wrong.number, " another machine ", "Ann")
    assert log.care() == (right,)
    with Store.open(log._reader.url.render_as_string(hide_password=False)) as other:
        assert other.care() == (right,)
    *_, noted, taken = log.events()
    assert (noted.care, taken.kind, taken.care_number, taken.why, taken.by) == (
        wrong,
        "care withdrawn",
        wrong.number,
        "another machine",
        "Ann",
    )
    with pytest.raises(InvalidValue, match="withdrawn before \\(another machine\\)"):
        log.withdraw_care(wrong.number, "again")
    with pytest.raises(InvalidValue, match="why: got ''"):
        log.withdraw_care(right.number, " ")
    for strange in (1, 0, -1, 99, 2**63, True, "2", None):  # the first event of the log is a machine
        with pytest.raises(UnknownName, match="expected the number of an entry"):
            log.withdraw_care(strange, "x")  # type: ignore[arg-type]  # what is no number is the point
    assert log.care() == (right,)


@pytest.mark.parametrize("change", [{"care": None}, {"why": None}], ids=str)
def test_the_database_itself_refuses_a_withdrawal_of_care_that_cannot_be(log: Store, change: dict[str, Any]) -> None:
    noted = log.note_care(Care(machine="bench", deed="oiled"))
    with pytest.raises(IntegrityError), log._writer.begin() as connection:
        connection.execute(events.insert(), care_withdrawal_values(noted.number, "x") | change)
    log.withdraw_care(noted.number, "x")
    with pytest.raises(IntegrityError), log._writer.begin() as connection:
        connection.execute(events.insert(), care_withdrawal_values(noted.number, "twice"))


@pytest.mark.parametrize("change", [{"deed": None}, {"deed": "polished"}, {"machine": None}, {"when": None}], ids=str)
def test_the_database_itself_refuses_a_deed_that_cannot_be(log: Store, change: dict[str, Any]) -> None:
    with pytest.raises(IntegrityError), log._writer.begin() as connection:
        connection.execute(events.insert(), care_values(Care(machine="bench", deed="oiled")) | change)


def test_the_last_photo_is_shown_and_the_one_before_is_kept(log: Store, trial: Trial) -> None:
    log.record(trial)
    other = replace(trial, id=new_id())
    log.record(other)
    assert log.photo(trial.id) is None
    log.add_photo(trial.id, b"\xff\xd8 first \x00")
    log.add_photo(trial.id, b"\xff\xd8 second \x00")
    log.add_photo(other.id, b"\xff\xd8 other \x00")
    assert log.photo(trial.id) == b"\xff\xd8 second \x00"
    assert log.photographed() == {trial.id, other.id}
    assert [event.kind for event in log.history(trial.id)] == ["recorded", "photo", "photo"]
    with log._reader.connect() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM overedge_photos").scalar() == 3


def test_a_photo_changes_nothing_of_its_trial(log: Store, trial: Trial) -> None:
    log.record(trial)
    log.add_photo(trial.id, b"x")
    assert log.trials() == (trial,)
    log.correct(trial.id, lambda one: replace(one, note="y"))
    log.add_photo(trial.id, b"x")
    assert log.trials() == (replace(trial, note="y"),)
    log.withdraw(trial.id, "wrong cloth")
    assert log.trials() == ()
    assert log.photo(trial.id) == b"x"
    with pytest.raises(InvalidValue, match="withdrawn before"):
        log.withdraw(trial.id, "again")


def test_a_photo_needs_a_trial_that_counts(log: Store, trial: Trial) -> None:
    for strange in (trial.id, "", "\ud800"):
        with pytest.raises(UnknownName, match="expected the id of a logged swatch"):
            log.add_photo(strange, b"x")
        assert log.photo(strange) is None
    log.record(trial)
    log.withdraw(trial.id, "wrong cloth")
    with pytest.raises(UnknownName, match="withdrawn \\(wrong cloth\\)"):
        log.add_photo(trial.id, b"x")
    assert log.photographed() == frozenset()


def test_threads_that_add_photos_and_deeds_at_once_lose_none(log: Store, trial: Trial) -> None:
    log.record(trial)

    def work(number: int) -> None:
        for step in range(5):
            log.add_photo(trial.id, f"{number} {step}".encode())
            log.note_care(Care(machine="bench", deed="cleaned", note=f"{number} {step}"))
            assert log.photo(trial.id) is not None

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(work, range(4)))
    assert len(log.care()) == 20
    assert len({one.number for one in log.care()}) == 20
    assert [event.kind for event in log.history(trial.id)].count("photo") == 20
    with log._reader.connect() as connection:
        kept = connection.exec_driver_sql(
            "SELECT count(*) FROM overedge_photos JOIN overedge_events USING (event) WHERE kind = 'photo'"
        ).scalar()
    assert kept == 20


OVERWRITING = [
    "UPDATE overedge_photos SET jpeg = jpeg",
    "DELETE FROM overedge_photos",
    "UPDATE overedge_events SET note = 'never' WHERE kind = 'care'",
    "DELETE FROM overedge_events WHERE kind IN ('care', 'photo')",
]


@pytest.mark.parametrize("statement", [*OVERWRITING, "REPLACE INTO overedge_photos SELECT * FROM overedge_photos"])
def test_no_other_program_can_overwrite_photos_or_care_in_a_file(store: Store, trial: Trial, statement: str) -> None:
    store.record(trial)
    store.add_photo(trial.id, b"x")
    noted = store.note_care(Care(machine="bench", deed="cleaned"))
    with closing(sqlite3.connect(str(store.path))) as outside, pytest.raises(sqlite3.IntegrityError, match="append only"):
        outside.execute(statement)
    assert (store.photo(trial.id), store.care()) == (b"x", (noted,))


@pytest.mark.parametrize("statement", [*OVERWRITING, "TRUNCATE overedge_photos", "TRUNCATE overedge_photos, overedge_events"])
def test_no_other_program_can_overwrite_photos_or_care_on_a_server(postgresql_url: str, trial: Trial, statement: str) -> None:
    import psycopg

    with Store.open(postgresql_url) as log:
        log.add_machine(Machine.generic("bench"))
        log.record(trial)
        log.add_photo(trial.id, b"x")
        noted = log.note_care(Care(machine="bench", deed="cleaned"))
        with psycopg.connect(postgresql_url.replace("+psycopg", "")) as outside, pytest.raises(psycopg.Error, match="append only"):
            outside.execute(statement)
        assert (log.photo(trial.id), log.care()) == (b"x", (noted,))


def test_whoever_follows_the_log_does_not_read_the_photos(store: Store, trial: Trial) -> None:
    store.record(trial)
    store.add_photo(trial.id, b"x")
    with store._reader.connect() as connection:
        plan = [row[-1] for row in connection.exec_driver_sql("EXPLAIN QUERY PLAN SELECT * FROM overedge_events WHERE event > 0")]
        names = {row[1] for row in connection.exec_driver_sql("PRAGMA table_info(overedge_events)")}
    assert "jpeg" not in names
    assert not any("photos" in step for step in plan)
