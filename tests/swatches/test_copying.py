"""A copy of a log, taken while others write: a log of its own that holds all that the first one held."""

from dataclasses import replace
from pathlib import Path
from threading import Event, Thread

import pytest

from recommender.errors import FileFault, StudioError
from recommender.swatches.care import Care
from recommender.swatches.copying import copy_log
from recommender.swatches.store import Store
from recommender.swatches.trial import Trial, new_id


def test_a_copy_is_the_same_log_with_its_histories_photos_and_care(store: Store, trial: Trial, tmp_path: Path) -> None:
    gone = replace(trial, id=new_id())
    for each in (trial, gone):
        store.record(each)
    store.withdraw(gone.id, "sewn with a bent needle")
    store.add_photo(trial.id, b"\xff\xd8 photo \x00")
    store.note_care(Care(machine="bench", deed="needle changed"))
    copy_log(store, tmp_path / "copy")
    with Store.open(tmp_path / "copy") as other:
        assert other.events() == store.events()
        assert other.photo(trial.id) == b"\xff\xd8 photo \x00"
        assert (other.trials(), other.withdrawn(), other.care()) == (store.trials(), store.withdrawn(), store.care())
        other.record(replace(trial, id=new_id()))
        assert len(store.trials()) == len(other.trials()) - 1


def test_a_copy_that_is_taken_while_others_write_is_whole(store: Store, trial: Trial, tmp_path: Path) -> None:
    stop = Event()

    def write() -> None:
        while not stop.is_set():
            store.record(replace(trial, id=new_id()))

    writer = Thread(target=write)
    writer.start()
    try:
        copies = [tmp_path / f"copy {number}" for number in range(5)]
        for copy in copies:
            copy_log(store, copy)
    finally:
        stop.set()
        writer.join()
    all_of_it, sizes = store.events(), []
    for copy in copies:
        with Store.open(copy) as other:
            kept = other.events()
            assert kept == all_of_it[: len(kept)]
            sizes.append(len(kept))
    assert sizes[0] > 0
    assert sizes == sorted(sizes)
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []


def test_an_older_copy_is_replaced_whole_or_not_at_all(store: Store, trial: Trial, tmp_path: Path) -> None:
    copy = tmp_path / "copy"
    copy_log(store, copy)
    store.record(trial)
    copy_log(store, copy)
    with Store.open(copy) as other:
        assert other.trials() == (trial,)


def test_an_older_copy_stays_where_the_log_cannot_be_read(store: Store, trial: Trial, tmp_path: Path) -> None:
    copy, log = tmp_path / "copy", tmp_path / "studio.sqlite"
    copy_log(store, copy)
    before = copy.read_bytes()
    store.record(trial)
    store.close()
    log.write_bytes(log.read_bytes()[:4096] + b"\xff" * 8192)
    with pytest.raises(StudioError, match="cannot be read"):
        copy_log(store, copy)
    assert copy.read_bytes() == before
    log.unlink()
    with pytest.raises(StudioError, match="cannot be read"):
        copy_log(store, copy)
    assert not log.exists()
    assert copy.read_bytes() == before


def test_a_copy_that_somebody_has_open_is_not_written_over(store: Store, trial: Trial, tmp_path: Path) -> None:
    """SQLite would play what was last written to the old file into the new one."""
    copy = tmp_path / "copy"
    copy_log(store, copy)
    with Store.open(copy) as other:
        other.record(trial)
        with pytest.raises(FileFault, match="a log that is open"):
            copy_log(store, copy)
        assert other.trials() == (trial,)


def test_the_log_itself_is_never_written_over(store: Store, tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to(tmp_path / "studio.sqlite")
    for path in (tmp_path / "studio.sqlite", tmp_path / "link"):
        with pytest.raises(FileFault, match="it is the log itself"):
            copy_log(store, path)
    assert list(store.machines()) == ["bench"]


def test_a_copy_that_cannot_be_written_is_a_sentence_and_leaves_nothing(store: Store, tmp_path: Path) -> None:
    for path in (tmp_path / "nowhere" / "copy", tmp_path):
        with pytest.raises(FileFault, match="the copy cannot be written"):
            copy_log(store, path)
    assert [path for path in tmp_path.iterdir() if not path.name.startswith("studio.sqlite")] == []


def test_the_log_of_a_server_is_for_the_server_to_copy(postgresql_url: str, tmp_path: Path) -> None:
    with Store.open(postgresql_url) as log, pytest.raises(StudioError, match="pg_dump"):
        copy_log(log, tmp_path / "copy")
