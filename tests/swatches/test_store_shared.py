"""One log used by many: threads, processes, a process that is killed."""

import os
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from recommender.errors import InvalidValue
from recommender.swatches.store import Store
from recommender.swatches.trial import Trial, new_id
from recommender.trade.machine import Machine

WRITER = """
import sys
from dataclasses import replace
from recommender.swatches.rows import trial_of
from recommender.swatches.store import Store
from recommender.swatches.trial import new_id
from recommender.trade.machine import Machine
where, who, number, row = sys.argv[1], sys.argv[2], int(sys.argv[3]), eval(sys.argv[4])
trial = trial_of(row)
with Store.open(where) as log:
    log.add_machine(Machine.generic("bench"))
    for step in range(number):
        log.record(replace(trial, id=new_id(), who=who, needle_hours=float(step)))
        log.correct("shared", lambda one: replace(one, needle_hours=one.needle_hours + 1))
        print(step, flush=True)
"""


def start(where: str, who: str, number: int, row: dict[str, Any]) -> subprocess.Popen[str]:
    arguments = [sys.executable, "-c", WRITER, where, who, str(number), repr(row)]
    return subprocess.Popen(arguments, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


@pytest.fixture(params=["sqlite", "postgresql"])
def where(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    return str(request.getfixturevalue("postgresql_url") if request.param == "postgresql" else tmp_path / "studio.sqlite")


def test_processes_that_write_at_once_lose_nothing(where: str, trial: Trial, row: dict[str, Any]) -> None:
    with Store.open(where) as log:
        log.add_machine(Machine.generic("bench"))
        log.record(replace(trial, id="shared", needle_hours=0))
        writers = [start(where, f"writer {number}", 25, row) for number in range(4)]
        for writer in writers:
            said = writer.communicate(timeout=120)[1]
            assert writer.returncode == 0, said
        trials = log.trials()
        assert len(trials) == 101
        for number in range(4):
            hours = [one.needle_hours for one in trials if one.who == f"writer {number}"]
            assert hours == [float(step) for step in range(25)]
        assert trials[0].needle_hours == 100  # every correction saw the one before
        assert [event.number for event in log.events()] == sorted({event.number for event in log.events()})


def test_processes_that_open_a_new_log_at_once_make_one(where: str, row: dict[str, Any]) -> None:
    writers = [start(where, "", 0, row) for _ in range(4)]
    for writer in writers:
        said = writer.communicate(timeout=120)[1]
        assert writer.returncode == 0, said
    with Store.open(where) as log:
        assert [event.kind for event in log.events()] == ["machine"]


def test_a_killed_process_leaves_every_trial_that_it_was_told_is_kept(tmp_path: Path, trial: Trial, row: dict[str, Any]) -> None:
    where = tmp_path / "studio.sqlite"
    with Store.open(where) as log:
        log.add_machine(Machine.generic("bench"))
        log.record(replace(trial, id="shared", needle_hours=0))
    writer = start(str(where), "killed", 100_000, row)
    assert writer.stdout is not None
    for _ in range(10):
        last = writer.stdout.readline()
    os.kill(writer.pid, signal.SIGKILL)
    rest, _ = writer.communicate(timeout=60)
    told = int((rest.split() or [last])[-1]) + 1  # each step is printed after it is kept
    with Store.open(where) as log:
        kept = [one.needle_hours for one in log.trials() if one.who == "killed"]
        assert len(kept) >= told >= 10
        assert kept == [float(step) for step in range(len(kept))]
        log.record(replace(trial, id=new_id()))  # and it can be written again


def test_threads_that_share_one_store_lose_nothing(where: str, trial: Trial) -> None:
    with Store.open(where) as log:
        log.add_machine(Machine.generic("bench"))
        log.record(replace(trial, id="shared", needle_hours=0))

        def work(number: int) -> bool:
            for _ in range(10):
                log.record(replace(trial, id=new_id(), who=f"thread {number}"))
                log.correct("shared", lambda one: replace(one, needle_hours=(one.needle_hours or 0) + 1))
                seen = log.trials()
                log.version  # noqa: B018  # read beside the writers
                if seen[0].id != "shared" or len({one.id for one in seen}) != len(seen):
                    return False
            return True

        with ThreadPoolExecutor(8) as pool:
            assert all(pool.map(work, range(8)))
        assert len(log.trials()) == 81
        assert log.trials()[0].needle_hours == 80


def test_of_many_who_add_one_new_machine_at_once_one_succeeds(where: str) -> None:
    with Store.open(where) as log:

        def add(number: int) -> bool:
            try:
                log.add_machine(Machine.generic("stove") if number % 2 else Machine(name="stove", converter=False), new=True)
            except InvalidValue:
                return False
            return True

        before = log.version
        with ThreadPoolExecutor(8) as pool:
            assert sum(pool.map(add, range(16))) == 1
        assert log.version == before + 1


def test_a_reader_does_not_wait_for_a_writer(tmp_path: Path, trial: Trial) -> None:
    with Store.open(tmp_path) as log:
        log.add_machine(Machine.generic("bench"))
        log.record(trial)
        with log._writer.begin():
            began = time.monotonic()
            assert log.trials() == (trial,)
            assert log.version == 2
            assert time.monotonic() - began < 5


def test_what_was_read_once_is_not_read_again(tmp_path: Path, trial: Trial) -> None:
    with Store.open(tmp_path) as log:
        log.add_machine(Machine.generic("bench"))
        log.record_new([replace(trial, id=new_id()) for _ in range(200)])
        first, again = log.trials(), log.trials()
        assert all(one is other for one, other in zip(first, again, strict=True))
