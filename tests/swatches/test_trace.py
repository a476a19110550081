"""The trace of a trial: what it was before, who changed it, when and why."""

import pytest

from recommender.advice.model import same_cloth
from recommender.errors import InvalidValue, UnknownName
from recommender.swatches.store import Store
from recommender.swatches.trace import CLOTH, CORRECTABLE, Change, changes_between, corrected, is_withdrawn, last_state, trace
from recommender.trade.words import Units


def test_a_trace_tells_what_it_was_before_who_changed_it_when_and_why(store: Store, trial):
    store.record(trial)
    store.correct(trial.id, lambda before: corrected(before, {"edge_lie": -1.0, "gsm": 240.0}), " read upside down ", " Ada ")
    first, second = trace(store.history(trial.id))
    assert (first.kind, first.changes, first.by) == ("recorded", (), "")
    assert (second.kind, second.why, second.by) == ("corrected", "read upside down", "Ada")
    assert second.changes == (
        Change("gsm", trial.fabric.gsm, 240.0),
        Change("edge_lie", trial.readings.get("edge_lie"), -1.0),
    )
    assert second.at >= first.at


def test_a_withdrawal_and_its_taking_back_stand_in_the_trace(store: Store, trial):
    store.record(trial)
    store.withdraw(trial.id, "bent needle", "Ben")
    gone = store.history(trial.id)
    assert is_withdrawn(gone)
    assert last_state(gone) == trial
    assert store.withdrawn() == (trial,)
    store.correct(trial.id, lambda before: before, "the needle was right")
    steps = trace(store.history(trial.id))
    assert [(step.kind, step.by, step.why) for step in steps[1:]] == [
        ("withdrawn", "Ben", "bent needle"),
        ("brought back", "", "the needle was right"),
    ]
    assert store.withdrawn() == ()
    assert not is_withdrawn(store.history(trial.id))


def test_another_reader_of_the_log_sees_the_withdrawn_trials(store: Store, trial):
    store.record(trial)
    store.withdraw(trial.id, "bent needle")
    with Store.open(store.where) as other:
        assert other.withdrawn() == (trial,)
        assert other.trials() == ()


def test_a_correction_changes_the_named_columns_and_no_others(trial):
    after = corrected(trial, {"passed": not trial.passed, "note": "a *note*", "needle_tex": 18.0})
    assert {change.column for change in changes_between(trial, after)} == {"passed", "note", "needle_tex"}
    assert after.id == trial.id


def test_none_takes_a_value_out(trial):
    with_hours = corrected(trial, {"needle_hours": 3.0})
    assert corrected(with_hours, {"needle_hours": None}).needle_hours is None


def test_every_column_but_the_id_can_be_corrected(trial):
    assert "id" not in CORRECTABLE
    with pytest.raises(UnknownName, match="'id'"):
        corrected(trial, {"id": "other"})
    with pytest.raises(UnknownName, match="did you mean 'gsm'"):
        corrected(trial, {"gsmm": 5})


def test_a_correction_that_cannot_be_tells_every_fault(trial):
    with pytest.raises(InvalidValue, match=r"weight: got 5.*how the edge lies: got 7"):
        corrected(trial, {"gsm": 5, "edge_lie": 7})


@pytest.mark.parametrize(("why", "by"), [("x" * 501, ""), ("a\x07b", ""), ("", "y" * 61)])
def test_a_reason_or_a_name_that_cannot_be_kept_is_refused_and_nothing_is_logged(store: Store, trial, why, by):
    store.record(trial)
    with pytest.raises(InvalidValue):
        store.correct(trial.id, lambda before: corrected(before, {"gsm": 240.0}), why, by)
    with pytest.raises(InvalidValue):
        store.withdraw(trial.id, why or "a reason", by)
    assert len(store.history(trial.id)) == 1


def test_a_moment_is_read_in_the_time_of_the_studio_and_an_amount_in_the_units_of_its_reader(far_east: None) -> None:
    assert Change("when", "2026-03-01T18:00:00+00:00", None).sentence("rolled hem") == "when it was sewn: 2026-03-02 08:00, now nothing"
    assert Change("length", 2.5, 2.54).sentence("rolled hem", Units("imperial")) == "stitch length: 2.5 mm, now 2.54 mm"
    assert Change("looper_tex", 20.0, 25.0).sentence("rolled hem", Units(thread="Nm")) == "looper thread: 50 Nm, now 40 Nm"


def test_what_tells_one_cloth_from_another_is_what_its_columns_say(trial):
    told = {"fabric": "another", "construction": "nonwoven", "fibre": "silk", "gsm": 999.0, "stretch": 7.0}
    told |= {"stretch_along": 3.0, "elastane": 9.0, "thickness": 5.0, "plies": 5, "grain": "bias"}
    parts = {name for name, value in told.items() if not same_cloth(corrected(trial, {name: value}).fabric, trial.fabric)}
    assert parts == set(CLOTH)
