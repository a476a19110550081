"""A file typed by hand: good rows go in, bad rows come back, nothing is lost."""

import csv
import io
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from recommender.errors import FileFault, InvalidValue, StudioError, UnknownName
from recommender.swatches.importing import ImportReport, import_csv
from recommender.swatches.preview import preview_csv
from recommender.swatches.store import Store
from recommender.trade.machine import Machine
from recommender.trade.tables import share

NOTEBOOK = share("data") / "examples" / "notebook.csv"
HEADER = [
    *("fabric", "construction", "fibre", "gsm", "stitch", "machine", "tension_right_needle", "tension_upper_looper"),
    *("tension_lower_looper", "differential", "length", "width", "passed", "edge_lie", "note"),
]
ROW = ["rib jersey", "knit", "cotton", "220", "rolled hem", "bench", "4", "4", "7", "1.2", "1.5", "4.5", "fail", "1", ""]


def file(
    folder: Path, rows: Sequence[Sequence[str]], header: Sequence[str] = HEADER, delimiter: str = ",", encoding: str = "utf-8"
) -> Path:
    made = io.StringIO(newline="")
    csv.writer(made, delimiter=delimiter).writerows([header, *rows])
    path = folder / "typed.csv"
    path.write_bytes(made.getvalue().encode(encoding))
    return path


def with_cell(name: str, cell: str) -> list[str]:
    return [cell if heading == name else old for heading, old in zip(HEADER, ROW, strict=True)]


def rejected(path: Path | None, delimiter: str = ",") -> list[list[str]]:
    assert path is not None
    return list(csv.reader(io.StringIO(path.read_bytes().decode("utf-8-sig"), newline=""), delimiter=delimiter))


def counts(report: ImportReport) -> tuple[int, int, int]:
    return report.added, report.known, report.rejected


def test_the_example_notebook_goes_in_and_its_bad_rows_come_back_as_typed(store: Store, tmp_path: Path) -> None:
    report = import_csv(store, NOTEBOOK, tmp_path / "rejects.csv")
    assert counts(report) == (36, 0, 13)
    assert report.unread == ("Drawer",)
    assert len(store.trials()) == 36
    typed = list(csv.reader(io.StringIO(NOTEBOOK.read_text(encoding="utf-8"), newline="")))
    header, *rows = rejected(report.rejects)
    assert header == ["line", "fault", *typed[0]]
    for row in rows:
        assert row[2:] == typed[int(row[0]) - 1]
        assert row[1]


def test_the_example_notebook_is_in_the_log_s_units(store: Store, tmp_path: Path) -> None:
    import_csv(store, NOTEBOOK, tmp_path / "rejects.csv")
    by_cloth = {trial.fabric.name: trial for trial in store.trials()}
    assert by_cloth["blue denim 12 oz"].fabric.gsm == pytest.approx(12 * 33.9057, rel=1e-5)  # factor: textile pages
    assert by_cloth["blue denim 12 oz"].needle_thread.tex == pytest.approx(40)  # metric ticket 75: a thread maker's technical bulletin
    assert by_cloth["T-shirt jersey remnant"].fabric.gsm == pytest.approx(5.5 * 33.9057, rel=1e-5)
    rib = by_cloth["navy rib 1x1"]
    assert (rib.needle_thread.tex, rib.looper_thread.tex) == (pytest.approx(25), pytest.approx(18.75))
    lengths = [trial.settings.length for trial in store.trials() if trial.fabric.name == "pink chiffon"]
    assert lengths[:3] == pytest.approx([25.4 / 10, 25.4 / 12, 25.4 / 12])
    assert by_cloth["white T-shirt jersey"].needle_size == 75
    assert by_cloth["grey sweatshirt fleece"].when.isoformat() == "2025-01-25T00:00:00+00:00"


def test_the_same_file_twice_adds_nothing_however_a_spreadsheet_writes_it(store: Store, tmp_path: Path) -> None:
    rows = [ROW, with_cell("gsm", "180.5"), with_cell("note", "à la main")]
    assert counts(import_csv(store, file(tmp_path, rows))) == (3, 0, 0)
    assert counts(import_csv(store, file(tmp_path, rows))) == (0, 3, 0)
    comma = [[cell.replace("180.5", "180,50") for cell in row] for row in rows]
    assert counts(import_csv(store, file(tmp_path, comma, delimiter=";", encoding="cp1252"))) == (0, 3, 0)
    assert counts(import_csv(store, file(tmp_path, rows, delimiter="\t", encoding="utf-8-sig"))) == (0, 3, 0)
    shuffled = [list(reversed(row)) for row in rows]
    assert counts(import_csv(store, file(tmp_path, shuffled, list(reversed(HEADER))))) == (0, 3, 0)


def test_a_file_that_has_grown_adds_what_is_new(store: Store, tmp_path: Path) -> None:
    import_csv(store, file(tmp_path, [ROW]))
    assert counts(import_csv(store, file(tmp_path, [with_cell("gsm", "180"), ROW]))) == (1, 1, 0)


def test_the_same_swatch_sewn_twice_is_two_trials(store: Store, tmp_path: Path) -> None:
    assert counts(import_csv(store, file(tmp_path, [ROW, ROW]))) == (2, 0, 0)
    assert counts(import_csv(store, file(tmp_path, [ROW, ROW, ROW]))) == (1, 2, 0)


def test_what_was_corrected_or_withdrawn_since_is_left_so(store: Store, tmp_path: Path) -> None:
    path = file(tmp_path, [ROW, with_cell("gsm", "180")])
    import_csv(store, path)
    one, other = store.trials()
    store.correct(one.id, lambda trial: replace(trial, note="seen again"))
    store.withdraw(other.id, "wrong cloth")
    assert counts(import_csv(store, path)) == (0, 2, 0)
    assert [trial.note for trial in store.trials()] == ["seen again"]


def test_headings_may_have_capitals_blanks_and_underscores(store: Store, tmp_path: Path) -> None:
    header = [f" {name.upper().replace('_', '  ')} " for name in HEADER]
    assert counts(import_csv(store, file(tmp_path, [ROW], header))) == (1, 0, 0)


@pytest.mark.parametrize(
    ("name", "cell", "fault"),
    [
        ("gsm", "5", "gsm (weight): got 5, expected a number from 15 to 1000 g/m2"),
        ("gsm", "", "gsm (weight): nothing given, expected a number from 15 to 1000 g/m2"),
        ("length", "2,5", "stitch length: got '2,5', expected a number from 0.3 to 8 mm"),
        ("passed", "perhaps", "passed (pass or fail): got 'perhaps', expected yes or no"),
        ("edge_lie", "3", "edge_lie (how the edge lies): got 3, expected a number from -2 to 2 in steps of 0.5"),
        (
            "machine",
            "bensh",
            "machine: got 'bensh', expected one of: bench; mend the name, or add the machine first",
        ),
        ("machine", "", "machine: nothing given, expected text of 1 to 60 characters, without control characters"),
        ("tension_lower_looper", "12", "tension: lower looper: got 12, but on 'bench' it goes from 0 to 9"),
        (
            "tension_lower_looper",
            "",
            "tension_lower_looper: nothing given, but the rolled hem runs a thread there; give its dial number",
        ),
        (
            "fabric",
            "x" * 81,
            f"fabric (name of the cloth): got {('x' * 81)!r}, expected text of 1 to 80 characters, without control characters",
        ),
        ("differential", "=1+1", "differential feed: got '=1+1', expected a number from 0.3 to 4 ratio"),
    ],
)
def test_a_bad_row_comes_back_as_typed_with_a_sentence(store: Store, tmp_path: Path, name: str, cell: str, fault: str) -> None:
    report = import_csv(store, file(tmp_path, [ROW, with_cell(name, cell)]))
    assert counts(report) == (1, 0, 1)
    (row,) = report.rows
    assert row.line == 3
    assert row.faults[0][:50] == fault[:50]
    if len(fault) < 150:
        assert row.faults == (fault,)
    assert rejected(report.rejects)[1][2:] == with_cell(name, cell)


def test_every_fault_of_a_row_is_told(store: Store, tmp_path: Path) -> None:
    row = with_cell("gsm", "5")
    row[HEADER.index("passed")] = ""
    row[HEADER.index("machine")] = "other"
    (told,) = import_csv(store, file(tmp_path, [row])).rows
    assert sorted(fault.split(":")[0] for fault in told.faults) == ["gsm (weight)", "machine", "passed (pass or fail)"]


def test_a_converted_value_beyond_the_range_tells_what_was_typed(store: Store, tmp_path: Path) -> None:
    header = ["weight_oz" if name == "gsm" else name for name in HEADER]
    (told,) = import_csv(store, file(tmp_path, [with_cell("gsm", "100")], header)).rows
    assert told.faults[0].startswith("weight_oz '100' is gsm (weight): got 3390.5")


def test_a_value_in_two_columns_is_refused_and_in_either_is_taken(store: Store, tmp_path: Path) -> None:
    header = [*HEADER, "weight_oz"]
    rows = [[*ROW, "6"], [*ROW, ""], [*with_cell("gsm", ""), "6"]]
    report = import_csv(store, file(tmp_path, rows, header))
    assert counts(report) == (2, 0, 1)
    assert report.rows[0].faults == ("gsm (weight): it is given in two columns; leave one of them empty",)


def test_a_size_without_its_unit_is_asked_about(store: Store, tmp_path: Path) -> None:
    (told,) = import_csv(store, file(tmp_path, [[*ROW, "40"]], [*HEADER, "Needle thread"])).rows
    assert told.faults[0].startswith("needle_thread: thread size: got 40 without a unit; does it count tex")


def test_rejects_mended_and_imported_again_go_in(store: Store, tmp_path: Path) -> None:
    report = import_csv(store, file(tmp_path, [with_cell("gsm", "5,5")], delimiter=";"))
    assert report.rejects == tmp_path / "typed.rejects.csv"
    text = report.rejects.read_text(encoding="utf-8-sig").replace(";5,5;", ";220;")
    report.rejects.write_text(text, encoding="utf-8-sig")
    assert counts(import_csv(store, report.rejects)) == (1, 0, 0)
    assert store.trials()[0].fabric.gsm == 220


def test_rejects_that_somebody_is_mending_are_not_overwritten(store: Store, tmp_path: Path) -> None:
    path = file(tmp_path, [with_cell("gsm", "5")])
    first, second = import_csv(store, path).rejects, import_csv(store, path).rejects
    assert (first, second) == (tmp_path / "typed.rejects.csv", tmp_path / "typed.rejects-2.csv")
    again = import_csv(store, first or "").rejects
    assert rejected(again)[0][:3] == ["line", "fault", "fabric"]


def test_a_quotation_mark_left_open_loses_no_other_row(store: Store, tmp_path: Path) -> None:
    path = file(tmp_path, [ROW, ROW, ROW])
    lines = path.read_text(encoding="utf-8").splitlines()
    lines[2] = lines[2].replace("rib jersey", '"rib jersey')
    path.write_text("\n".join(lines), encoding="utf-8")
    report = import_csv(store, path)
    assert counts(report) == (2, 0, 1)
    assert report.rows[0].cells == (lines[2],)
    assert rejected(report.rejects)[1][2] == lines[2]
    assert report.rejects is not None
    broken = report.rejects.read_text(encoding="utf-8-sig") + lines[2]
    report.rejects.write_text(broken, encoding="utf-8")
    again = import_csv(store, report.rejects)
    assert [row[2] for row in rejected(again.rejects)[1:]] == [lines[2], lines[2]]


def test_a_row_with_too_many_cells_comes_back_and_one_with_too_few_is_read(store: Store, tmp_path: Path) -> None:
    report = import_csv(store, file(tmp_path, [[*ROW, "", " "], [*ROW, "a, b"], ROW[:-1]]))
    assert counts(report) == (2, 0, 1)
    assert "row: got 16 cells, but the header has 15" in report.rows[0].faults[0]
    assert rejected(report.rejects)[1][2:] == [*ROW, "a, b"]


def test_blank_lines_a_separator_line_and_help_are_no_rows(store: Store, tmp_path: Path) -> None:
    path = file(tmp_path, [ROW], delimiter=";")
    text = path.read_text(encoding="utf-8")
    head, row = text.splitlines()
    path.write_text(f"\nsep=;\r\n;;;\r\n{head}\r\n(help) What you call it;;\r\n\r\n{row}\r\n;;\r\n", encoding="utf-8")
    assert counts(import_csv(store, path)) == (1, 0, 0)


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "it is empty"),
        (b"\n\n;;\n", "it is empty"),
        (b"sep=;\n", "it is empty"),
        (b"sep=;\n(help) gsm\n", "only help"),
        (b"hello\nworld\n", "no column of the first line is known"),
        (b"fabric,gsm\nrib,200\n", "no column for construction, fibre, stitch"),
        (b"fabric,fabric,gsm\n", "stands there twice"),
        (b"PK\x03\x04rest", "it is a spreadsheet or an archive"),
        (b"\xff\xfef\x00a\x00", "UTF-16"),
        (b"fabric,gsm\n\x00\x01", "it is no text"),
        (b"\x81\x8d fabric,gsm", "it is no text"),
        (b'"fabric,gsm\nrib', "header"),
    ],
)
def test_a_file_that_is_no_such_file_is_told_in_a_sentence(store: Store, tmp_path: Path, content: bytes, sentence: str) -> None:
    path = tmp_path / "typed.csv"
    path.write_bytes(content)
    with pytest.raises(FileFault, match=sentence):
        import_csv(store, path)
    assert store.trials() == ()


def test_a_heading_that_looks_mistyped_is_asked_about(store: Store, tmp_path: Path) -> None:
    header = ["edge lye" if name == "edge_lie" else name for name in HEADER]
    with pytest.raises(FileFault, match="got column 'edge lye', did you mean 'edge_lie'"):
        import_csv(store, file(tmp_path, [ROW], header))


def test_a_path_that_is_no_file_is_told(store: Store, tmp_path: Path) -> None:
    for path in (tmp_path / "none.csv", tmp_path, Path("x" * 5000), Path("a\x00b")):
        with pytest.raises(FileFault, match="give the path of a CSV file"):
            import_csv(store, path)


def test_rejects_that_cannot_be_written_leave_the_log_as_it_was(store: Store, tmp_path: Path) -> None:
    path = file(tmp_path, [ROW, with_cell("gsm", "5")])
    for rejects in (path, tmp_path, tmp_path / "none" / "x.csv"):
        with pytest.raises(FileFault):
            import_csv(store, path, rejects)
    assert store.trials() == ()
    assert [found.name for found in tmp_path.glob("*typed*")] == ["typed.csv"]


def test_a_name_that_no_machine_here_has_is_matched_to_one_whatever_its_capitals(store: Store, tmp_path: Path) -> None:
    path = file(tmp_path, [with_cell("machine", "Old One"), with_cell("machine", "old one"), with_cell("machine", "other"), ROW])
    assert preview_csv(store, path).strangers == {"Old One": 2, "other": 1}
    matched = preview_csv(store, path, machines={"OLD one ": "bench"})
    assert (matched.strangers, len(matched.new), len(matched.rows)) == ({"Old One": 2, "other": 1}, 3, 1)
    assert counts(import_csv(store, path, machines={"old one": "bench"})) == (3, 0, 1)
    assert {trial.machine for trial in store.trials()} == {"bench"}
    assert counts(import_csv(store, path, machines={"old one": "bench"})) == (0, 3, 1)
    with pytest.raises(UnknownName, match="did you mean 'bench'"):
        import_csv(store, path, machines={"old one": "bensh"})


@pytest.mark.parametrize(
    ("machines", "told"),
    [
        ({"old one": "bench", "nobody": "bench"}, "'nobody' matched, but no row of the file has it, expected one of: Old One;"),
        ({"Bench ": "attic"}, "'Bench ' matched to 'attic', but this studio has a machine of that name"),
        ({"old one": "bench", "OLD ONE": "attic"}, "'OLD ONE' matched twice"),
    ],
)
def test_a_match_that_does_nothing_is_told_and_nothing_goes_in(store: Store, tmp_path: Path, machines: dict[str, str], told: str) -> None:
    store.add_machine(Machine.generic("attic"))
    path = file(tmp_path, [with_cell("machine", "Old One"), ROW])
    for look in (preview_csv, import_csv):
        with pytest.raises(InvalidValue, match=told):
            look(store, path, machines=machines)
    assert not store.trials()


def test_a_match_in_a_file_whose_machines_are_all_known_is_told(store: Store, tmp_path: Path) -> None:
    with pytest.raises(InvalidValue, match="no row of the file has it, and the studio knows every one there"):
        import_csv(store, file(tmp_path, [ROW]), machines={"old one": "bench"})


def test_a_studio_without_machines_says_so_on_each_row(tmp_path: Path) -> None:
    with Store.open(tmp_path / "new.sqlite") as log:
        report = import_csv(log, file(tmp_path, [ROW]))
    assert report.rows[0].faults == ("machine: got 'bench', but this studio has no machine yet; mend the name, or add the machine first",)


def test_one_id_for_two_different_rows_is_told(store: Store, tmp_path: Path) -> None:
    rows = [[*ROW, "same"], [*ROW, "same"], [*with_cell("gsm", "180"), "same"]]
    assert counts(import_csv(store, file(tmp_path, rows, [*HEADER, "id"]))) == (1, 1, 1)


def test_the_gate_stands_before_the_import(store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from recommender.swatches import suite

    def broken(rows: Sequence[Any]) -> suite.ValidationReport:
        raise StudioError(f"check of gsm: it could not be made for {len(rows)} rows")

    monkeypatch.setattr(suite, "check_rows", broken)
    with pytest.raises(StudioError, match="for 1 rows"):
        import_csv(store, file(tmp_path, [ROW]))
    assert store.trials() == ()


def test_what_the_gate_refuses_comes_back(store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from recommender.swatches import suite

    fault = suite.RowFault(1, "gsm", "gsm: expected something else")
    monkeypatch.setattr(suite, "check_rows", lambda rows: suite.ValidationReport(len(rows), (), (fault,)))
    report = import_csv(store, file(tmp_path, [ROW, with_cell("gsm", "180"), with_cell("gsm", "200")]))
    assert counts(report) == (2, 0, 1)
    assert (report.rows[0].line, report.rows[0].faults) == (3, ("gsm: expected something else",))


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(st.lists(st.lists(st.text(max_size=8) | st.sampled_from(ROW), max_size=17), max_size=6), st.sampled_from([",", ";", "\t"]))
def test_every_row_of_any_file_is_added_known_or_comes_back(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch, rows: list[list[str]], delimiter: str
) -> None:
    from recommender.swatches import suite

    monkeypatch.setattr(suite, "check_rows", lambda rows: suite.ValidationReport(len(rows), (), ()))  # its own tests are slow enough
    folder = tmp_path_factory.mktemp("any")
    made = io.StringIO(newline="")
    writer = csv.writer(made, delimiter=delimiter)
    writer.writerows([HEADER, *([cell.replace("\0", "") for cell in row] for row in rows)])
    data = made.getvalue().encode("utf-8", "replace")
    (folder / "any.csv").write_bytes(data)
    typed = list(csv.reader(io.StringIO(data.decode(), newline=""), delimiter=delimiter))[1:]
    expected = [row for row in typed if any(cell.strip() for cell in row) and not row[0].strip().casefold().startswith("(help)")]
    with Store.open(folder / "log.sqlite") as log:
        log.add_machine(Machine.generic("bench"))
        report = import_csv(log, folder / "any.csv")
        assert sum(counts(report)) == len(expected)
        assert len(log.trials()) == report.added
        if report.rejects:
            assert [row[2:] for row in rejected(report.rejects, delimiter)[1:]] == [list(row.cells) for row in report.rows]
