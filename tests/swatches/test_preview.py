"""A file looked at before it goes in: the preview says what the import then does, and writes nothing."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from recommender.errors import FileFault
from recommender.swatches.importing import import_csv
from recommender.swatches.preview import preview_csv
from recommender.swatches.store import Store

from .test_importing import HEADER, NOTEBOOK, ROW, file, with_cell


def test_the_preview_of_the_example_notebook_is_what_its_import_does(store: Store, tmp_path: Path) -> None:
    version = store.version
    seen = preview_csv(store, NOTEBOOK)
    assert store.version == version
    done = import_csv(store, NOTEBOOK, tmp_path / "rejects.csv")
    assert (len(seen.new), len(seen.known), seen.rows) == (done.added, done.known, done.rows)
    assert {row.trial.id for row in seen.new} == {trial.id for trial in store.trials()}


def test_what_is_in_the_log_already_is_told_with_its_line(store: Store, tmp_path: Path) -> None:
    import_csv(store, file(tmp_path, [ROW]))
    seen = preview_csv(store, file(tmp_path, [with_cell("fabric", "linen"), ROW]))
    assert ([row.line for row in seen.new], [row.line for row in seen.known]) == ([2], [3])
    assert seen.sentence == "1 would go in, 1 known already, 0 would be refused"


def test_a_row_that_stands_twice_under_one_id_goes_in_once(store: Store, tmp_path: Path) -> None:
    rows, header = [[*ROW, "a1"], [*ROW, "a1"]], [*HEADER, "id"]
    seen = preview_csv(store, file(tmp_path, rows, header))
    assert ([row.line for row in seen.new], [row.line for row in seen.known]) == ([2], [3])
    assert import_csv(store, file(tmp_path, rows, header)).added == 1


def test_every_column_says_what_it_was_taken_for(store: Store, tmp_path: Path) -> None:
    header = ["Line", *("Thread" if name == "note" else "Drawer" if name == "edge_lie" else name.title() for name in HEADER)]
    seen = preview_csv(store, file(tmp_path, [["7", *with_cell("note", "Nm 80/2")[:-2], "", "Nm 80/2"]], header))
    by_heading = {column.heading: column for column in seen.columns}
    assert list(by_heading) == header
    assert by_heading["Tension_Right_Needle"].columns == ("tension_right_needle",)
    assert by_heading["Thread"].columns == ("needle_tex", "looper_tex")
    assert by_heading["Thread"].example == "Nm 80/2"
    assert by_heading["Drawer"].columns == by_heading["Line"].columns == ()
    assert by_heading["Drawer"].meaning == "No column of the log."
    assert "edge_lie" in seen.left_out
    assert not {"gsm", "needle_tex", "plies", "id"} & set(seen.left_out)


@pytest.mark.parametrize(
    ("delimiter", "encoding", "layout"),
    [
        (",", "utf-8", "commas between cells, numbers such as 4.5, letters in UTF-8"),
        (";", "cp1252", "semicolons between cells, numbers such as 4,5 or 4.5, letters in Windows' western letters"),
    ],
)
def test_it_is_told_how_the_file_was_read(store: Store, tmp_path: Path, delimiter: str, encoding: str, layout: str) -> None:
    assert preview_csv(store, file(tmp_path, [with_cell("fibre", "Köper")], HEADER, delimiter, encoding)).layout == layout


def test_bytes_do_as_well_as_a_path(store: Store, tmp_path: Path) -> None:
    path = file(tmp_path, [ROW, with_cell("gsm", "5")])
    assert preview_csv(store, path.read_bytes()).rows == preview_csv(store, path).rows
    report = import_csv(store, path.read_bytes())
    assert (report.added, report.rejected, report.rejects) == (1, 1, None)
    again = import_csv(store, path.read_bytes(), tmp_path / "bad.csv")
    assert again.rejects == tmp_path / "bad.csv"
    assert again.rejects.read_bytes() == preview_csv(store, path).rejects


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "it is empty"),
        (b"\xff\xfef\x00a\x00", "UTF-16"),
        (b"%PDF-1.7", "a PDF"),
        (b"\x00\x01\x02\x81", "no text"),
        (b"a,b\n1,2\n", "no column of the first line is known"),
    ],
)
def test_bytes_that_are_no_such_file_are_refused_in_a_sentence(store: Store, data: bytes, told: str) -> None:
    with pytest.raises(FileFault, match=told):
        preview_csv(store, data)


def test_a_thread_that_gives_both_columns_is_told_once(store: Store, tmp_path: Path) -> None:
    header = [*HEADER, "thread"]
    rows = [[*ROW, "nonsense"], [*ROW, "1 tex"]]
    unread, beyond = preview_csv(store, file(tmp_path, rows, header)).rows
    assert len(unread.faults) == 1
    assert beyond.faults == (
        "thread '1 tex' is needle_tex (needle thread) and looper_tex (looper thread): got 1, expected a number from 5 to 300 tex",
    )


def test_a_row_dated_more_than_a_day_ahead_is_refused(store: Store, tmp_path: Path) -> None:
    days = [datetime.now(UTC) + timedelta(hours=hours) for hours in (-1, 23, 25, 24 * 400)]
    rows = [[*with_cell("fabric", f"cloth {place}"), day.isoformat()] for place, day in enumerate(days)]
    report = import_csv(store, file(tmp_path, rows, [*HEADER, "when"]), tmp_path / "rejects.csv")
    assert (report.added, [row.line for row in report.rows]) == (2, [4, 5])
    assert "until tomorrow" in report.rows[0].faults[0]


def test_progress_rises_and_an_error_in_it_keeps_the_log_as_it_was(store: Store, tmp_path: Path) -> None:
    shares: list[float] = []
    preview_csv(store, file(tmp_path, [with_cell("gsm", "5")] * 1200), lambda doing, share: shares.append(share))
    assert len(shares) >= 5
    assert shares == sorted(shares)

    def stop(doing: str, share: float) -> None:
        if doing == "Writing to the log":
            raise InterruptedError

    with pytest.raises(InterruptedError):
        import_csv(store, file(tmp_path, [ROW]), tmp_path / "rejects.csv", stop)
    assert not store.trials()
