"""Planned swatches wait on a list until they are sewn or dropped, whoever looks at it."""

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy.exc import IntegrityError

from recommender.errors import InvalidValue, UnknownName
from recommender.swatches.events import planned_values
from recommender.swatches.pending import Pending
from recommender.swatches.store import Store
from recommender.swatches.tables import events
from recommender.swatches.trial import Trial, new_id
from recommender.trade.asked import Asked
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Machine
from recommender.trade.settings import Settings
from recommender.trade.thread import Thread

SEWER = """
import sys
from dataclasses import replace
from recommender.swatches.rows import trial_of
from recommender.swatches.store import Store
from recommender.swatches.trial import new_id
where, who, row = sys.argv[1], sys.argv[2], eval(sys.argv[3])
with Store.open(where) as log:
    waiting = log.pending()
    print(len(waiting), flush=True)
    sys.stdin.readline()
    for one in waiting:
        log.record(replace(trial_of(row), id=new_id(), who=who), pending=one.id)
    print(len(log.pending()))
"""


@pytest.fixture(params=["sqlite", "postgresql"])
def where(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    return str(request.getfixturevalue("postgresql_url") if request.param == "postgresql" else tmp_path / "studio.sqlite")


@pytest.fixture
def log(where: str) -> Any:
    """An open log on either database, with one machine."""
    with Store.open(where) as opened:
        opened.add_machine(Machine.generic("bench"))
        yield opened


def planned(trial: Trial, **changes: Any) -> Pending:
    names = ("fabric", "stitch", "machine", "needle_thread", "looper_thread", "settings")
    return Pending(**{name: getattr(trial, name) for name in names} | changes)


def test_what_is_set_aside_comes_back_the_same_the_oldest_first(log: Store, trial: Trial) -> None:
    odd = replace(trial.fabric, name='Crêpe 🧵 "x"; DROP TABLE --', thickness=0.1 + 0.2, plies=3)
    both = (planned(trial, reason="tells of the\nlower looper"), planned(trial, fabric=odd, looper_thread=Thread(tex=1 / 3 + 9)))
    for one in both:
        log.set_aside(one)
    assert log.pending() == both
    assert log.trials() == ()
    assert [event.pending for event in log.events()[1:]] == list(both)


def test_a_swatch_that_is_sewn_leaves_the_list_with_its_trial(log: Store, trial: Trial) -> None:
    first, second = planned(trial), planned(trial)
    log.set_aside(first)
    log.set_aside(second)
    log.record(trial, pending=first.id)
    assert log.pending() == (second,)
    assert (log.sewn_as(first.id), log.sewn_as(second.id)) == (trial, None)
    assert log.trials() == (trial,)
    assert log.history(trial.id)[0].pending_id == first.id


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"machine": "window"}, "on window"),
        ({"stitch": "three-thread overlock narrow"}, "three-thread overlock narrow"),
        ({"fabric": Fabric(name="rib jersey", construction="woven", fibre="wool", gsm=400)}, "of another weight, stretch or make"),
    ],
)
def test_a_swatch_of_another_cloth_stitch_or_machine_leaves_the_planned_one_on_the_list(log: Store, trial: Trial, change, sentence) -> None:
    log.add_machine(Machine.generic("window"))
    trial = replace(trial, fabric=replace(trial.fabric, name="rib jersey"))
    one = planned(trial)
    log.set_aside(one)
    with pytest.raises(InvalidValue, match=sentence):
        log.record(replace(trial, id=new_id(), **change), pending=one.id)
    assert log.pending() == (one,)
    assert not log.trials()


def test_a_swatch_whose_trial_was_withdrawn_waits_again_until_the_trial_is_brought_back(log: Store, trial: Trial) -> None:
    one = planned(trial)
    log.set_aside(one)
    log.record(trial, pending=one.id)
    log.correct(trial.id, lambda before: replace(before, note="x"))
    assert log.pending() == ()
    log.withdraw(trial.id, "wrong cloth")
    assert log.pending() == (one,)
    log.correct(trial.id, lambda before: before)
    assert log.pending() == ()


def test_a_dropped_swatch_leaves_the_list_for_good_and_says_why(log: Store, trial: Trial) -> None:
    one = planned(trial)
    log.set_aside(one)
    log.drop(one.id, " no cloth left ")
    assert log.pending() == ()
    assert (log.events()[-1].kind, log.events()[-1].pending_id, log.events()[-1].why) == ("dropped", one.id, "no cloth left")
    with pytest.raises(InvalidValue, match="dropped before \\(no cloth left\\)"):
        log.drop(one.id)
    log.record(trial, pending=one.id)  # sewn all the same: what was sewn is kept
    log.withdraw(trial.id, "wrong cloth")
    assert log.pending() == ()


def test_planned_swatches_are_corrected_with_their_cloth_in_their_place_and_sewn_ones_too(log: Store, trial: Trial) -> None:
    denim = replace(trial.fabric, name="denim")
    mine = [planned(trial, reason="tells most"), planned(trial, fabric=denim), planned(trial), planned(trial)]
    for one in mine:
        log.set_aside(one)
    log.drop(mine[3].id)
    log.record(trial)
    log.record(other := replace(trial, id=new_id()), pending=mine[2].id)

    def named(cloth: Fabric) -> Fabric:
        return cloth if cloth == denim else replace(cloth, name="rib")

    before = log.version
    log.correct(trial.id, lambda one: replace(one, fabric=named(one.fabric)), "typed wrongly", "Ada", named)
    log.withdraw(other.id, "bent needle")
    assert log.pending() == (replace(mine[0], fabric=named(trial.fabric)), mine[1], replace(mine[2], fabric=named(trial.fabric)))
    entered = log.events(before)[2:4]
    assert [(one.kind, one.pending_id, one.why, one.by) for one in entered] == [
        ("plan corrected", one.id, "typed wrongly", "Ada") for one in (mine[0], mine[2])
    ]
    assert [event.pending for event in log.events() if event.kind == "planned"] == mine


def test_a_planned_swatch_is_sewn_also_where_it_was_taken_from_the_list_before_its_cloth_was_corrected(log: Store, trial: Trial) -> None:
    one = planned(trial)
    log.set_aside(one)
    log.record(first := replace(trial, id=new_id()))
    log.correct(first.id, lambda old: old, along=lambda cloth: replace(cloth, name="rib"))
    sewn = log.record(trial, pending=one.id)
    assert log.pending() == ()
    assert sewn == replace(trial, fabric=replace(trial.fabric, name="rib")) == log.trials()[-1], "of its cloth as it is called now"


def test_what_is_corrected_along_may_be_asked_of_the_log_itself(log: Store, trial: Trial) -> None:
    log.set_aside(planned(trial))
    log.record(trial)

    def named(cloth: Fabric) -> Fabric:
        return replace(cloth, name="rib") if any(one.fabric == cloth for one in log.trials()) else cloth

    log.correct(trial.id, lambda old: replace(old, fabric=named(old.fabric)), along=named)
    assert [one.fabric.name for one in (*log.trials(), *log.pending())] == ["rib", "rib"]


def test_a_swatch_that_was_never_set_aside_is_told(log: Store, trial: Trial) -> None:
    before, strangers = log.version, ("", "x", "' OR 1=1", "\ud800")
    for strange in strangers:
        with pytest.raises(UnknownName, match="planned swatch: got"):
            log.drop(strange)
        with pytest.raises(UnknownName, match="planned swatch: got"):
            log.record(trial, pending=strange)
    assert (log.version, log.trials()) == (before, ())


def test_a_trial_of_another_seam_is_not_that_swatch(log: Store, trial: Trial) -> None:
    one = planned(trial)
    log.set_aside(one)
    other = replace(trial, fabric=replace(trial.fabric, name="denim"))
    with pytest.raises(InvalidValue, match="got one of rib jersey, rolled hem on bench for a swatch of denim, rolled hem on bench"):
        log.record(other, pending=one.id)
    assert (log.pending(), log.trials()) == ((one,), ())


def test_a_machine_must_be_there_and_a_reason_may_not_be_endless(log: Store, trial: Trial) -> None:
    with pytest.raises(UnknownName, match="did you mean 'bench'"):
        log.set_aside(planned(trial, machine="bensh"))
    with pytest.raises(InvalidValue, match="planned swatch reason"):
        planned(trial, reason="x" * 2001)
    one = planned(trial)
    log.set_aside(one)
    with pytest.raises(InvalidValue, match="why"):
        log.drop(one.id, "x" * 2001)
    with pytest.raises(InvalidValue, match="upper looper: nothing given"):
        planned(trial, settings=replace(trial.settings, tension={"right needle": 4, "lower looper": 7}))


@pytest.mark.parametrize("change", [{"gsm": 5}, {"pending": None}, {"stitch": None}, {"differential": None}, {"when": None}], ids=str)
def test_the_database_itself_refuses_what_breaks_a_rule(log: Store, trial: Trial, change: dict[str, Any]) -> None:
    with pytest.raises(IntegrityError), log._writer.begin() as connection:
        connection.execute(events.insert(), planned_values(planned(trial)) | change)
    assert log.pending() == ()


def test_a_swatch_is_set_aside_once_under_one_id(log: Store, trial: Trial) -> None:
    one = planned(trial)
    log.set_aside(one)
    with pytest.raises(IntegrityError), log._writer.begin() as connection:
        connection.execute(events.insert(), planned_values(one))
    assert log.pending() == (one,)


def test_two_tablets_that_record_one_swatch_at_once_keep_both_trials_and_it_leaves_the_list_once(
    where: str, log: Store, trial: Trial, row: dict[str, Any]
) -> None:
    mine = [planned(trial) for _ in range(5)]
    for one in mine:
        log.set_aside(one)
    tablets = [
        subprocess.Popen(
            [sys.executable, "-c", SEWER, where, f"tablet {number}", repr(row)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for number in range(2)
    ]
    for tablet in tablets:
        assert tablet.stdout is not None
        assert tablet.stdout.readline() == "5\n"  # both have seen the list before either records
    for tablet in tablets:
        left, said = tablet.communicate("go\n", timeout=120)
        assert tablet.returncode == 0, said
        assert left == "0\n"
    assert log.pending() == ()
    assert len(log.trials()) == 10
    sewn = [event.pending_id for event in log.events() if event.kind == "recorded"]
    assert sorted(sewn) == sorted([one.id for one in mine] * 2)


def test_threads_that_drop_one_swatch_at_once_drop_it_once(log: Store, trial: Trial) -> None:
    one = planned(trial)
    log.set_aside(one)

    def drop(_: int) -> bool:
        try:
            log.drop(one.id)
        except InvalidValue:
            return False
        return True

    with ThreadPoolExecutor(4) as pool:
        assert sum(pool.map(drop, range(4))) == 1
    assert [event.kind for event in log.events()].count("dropped") == 1


def test_the_list_is_there_when_the_log_is_opened_again(where: str, log: Store, trial: Trial) -> None:
    one, other = planned(trial), planned(trial)
    log.set_aside(one)
    log.set_aside(other)
    log.record(replace(trial, id=new_id()), pending=one.id)
    with Store.open(where) as again:
        assert again.pending() == (other,)


@pytest.mark.parametrize(
    "other",
    [{"stitch": "two-thread flatlock"}, {"machine": "window"}, {"needle_thread": Thread(tex=40)}, {"looper_thread": Thread(tex=40)}],
)
def test_a_planned_swatch_is_known_by_its_whole_seam_and_its_settings(other: dict[str, Any]) -> None:
    jersey = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)
    start = Settings(tension={"left needle": 4, "upper looper": 4, "lower looper": 4}, differential=1.2, length=2.5, width=6)
    seam: Asked = {
        "fabric": jersey,
        "stitch": "three-thread overlock wide",
        "machine": "bench",
        "needle_thread": Thread(tex=27),
        "looper_thread": Thread(tex=27),
    }
    one = Pending(**seam, settings=start)
    assert one.asks_for(seam, start)
    assert not one.asks_for(seam, replace(start, width=5.5))
    assert not one.asks_for({**seam, **other}, start)
