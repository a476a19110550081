"""The whole log on the command line."""

import csv
import json
from pathlib import Path

import pytest

from recommender.trade.tables import share
from tests.cli.conftest import Run

NOTEBOOK = share("data") / "examples" / "notebook.csv"
ROW = (
    "fabric,construction,fibre,weight_oz,stitch,machine,tension left needle,tension right needle,tension upper looper,tension lower looper"
)
GOOD = "rib,knit,cotton,6.5,four-thread overlock,bench,4,4,4,4"
HEADER, CELLS = f"{ROW},differential,length,width,passed,edge_lie", f"{GOOD},1.2,2.5,6,fail,1"


@pytest.fixture
def notebook(tmp_path: Path) -> Path:
    path = tmp_path / "notebook.csv"
    path.write_text(f"{HEADER}\n{CELLS}\n{CELLS.replace('knit', 'knitted')}\n", encoding="utf-8")
    return path


def test_good_rows_go_in_and_bad_ones_come_back_with_what_is_wrong(run: Run, studio: Path, notebook: Path, tmp_path: Path) -> None:
    rejects = tmp_path / "rejects.csv"
    told = run("import", notebook, "--rejects", rejects, "--studio", studio)
    assert told.status == 1
    assert "1 added" in told.out
    assert "knitted" in told.out
    assert "knitted" in rejects.read_text(encoding="utf-8-sig")
    assert run("check", "--json", "--studio", studio).json["trials"] == 1


def test_importing_the_same_file_twice_adds_nothing(run: Run, studio: Path, notebook: Path) -> None:
    notebook.write_text(f"{HEADER}\n{CELLS}\n", encoding="utf-8")
    first = run("import", notebook, "--json", "--studio", studio).json
    second = run("import", notebook, "--json", "--studio", studio).json
    assert (first["added"], first["known"], first["rejected"]) == (1, 0, 0)
    assert (second["added"], second["known"], second["rejected"]) == (0, 1, 0)


def test_the_example_notebook_goes_in_but_for_the_rows_that_are_wrong_on_purpose(run: Run, studio: Path, tmp_path: Path) -> None:
    rejects = tmp_path / "rejects.csv"
    told = run("import", NOTEBOOK, "--rejects", rejects, "--studio", studio)
    assert told.status == 1
    assert "Traceback" not in told.err
    logged = run("check", "--json", "--studio", studio).json["trials"]
    with rejects.open(encoding="utf-8-sig", newline="") as file:
        refused = len(list(csv.reader(file))) - 1
    assert logged >= 30
    assert refused >= 3


def test_a_machine_of_another_name_in_the_file_is_matched(run: Run, studio: Path, notebook: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.csv"
    other.write_text(notebook.read_text(encoding="utf-8").replace("bench", "the old one"), encoding="utf-8")
    told = run("import", other, "--rejects", tmp_path / "rejects.csv", "--studio", studio)
    assert (told.status, "say which it is: --machine 'NAME IN THE FILE=bench'" in told.out) == (1, True)
    told = json.loads(run("import", other, "--machine", "the old one=bench", "--json", "--studio", studio).out)
    assert told["added"] == 1
    assert {trial["machine"] for trial in run("trials", "--json", "--studio", studio).json} == {"bench"}
    assert run("import", other, "--machine", "the old one", "--studio", studio).status == 2
    assert "did you mean 'bench'" in run("import", other, "--machine", "the old one=bensh", "--studio", studio).err
    for again in ("the old one", "The Old One"):
        told = run("import", other, "--machine", "the old one=bench", "--machine", f"{again}=bench", "--studio", studio)
        assert (told.status, "twice, expected it once" in told.err) == (2, True)


def test_the_template_can_be_imported_as_it_is_and_is_never_written_over_a_notebook(
    run: Run, studio: Path, notebook: Path, tmp_path: Path
) -> None:
    empty = tmp_path / "empty.csv"
    columns = run("template", empty, "--json").json["columns"]
    assert {"fabric", "gsm", "edge_lie", "tension_left_needle"} <= set(columns)
    assert run("import", empty, "--json", "--studio", studio).json["added"] == 0
    before = notebook.read_bytes()
    refused = run("template", notebook)
    assert refused.status == 2
    assert "exists already" in refused.err
    assert notebook.read_bytes() == before


@pytest.mark.parametrize("content", [b"", b"\x00\x01", b"\xff\xfe\x00", b"PK\x03\x04", b"a,b\n1,2\n"])
def test_a_file_that_is_no_notebook_is_refused_in_a_sentence(run: Run, studio: Path, tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "thing.csv"
    path.write_bytes(content)
    told = run("import", path, "--studio", studio)
    assert told.status == 2
    assert len(told.err.strip().splitlines()) == 1


def test_a_file_that_is_not_there_is_wrong_usage(run: Run, studio: Path, tmp_path: Path) -> None:
    assert run("import", tmp_path / "none.csv", "--studio", studio).status == 2


def test_a_fit_tells_what_it_was_made_of(run: Run, studio: Path, notebook: Path) -> None:
    run("import", notebook, "--studio", studio)
    told = run("fit", "--json", "--studio", studio).json
    assert told["trials"] == 1
    assert told["cloths"] == 1
    assert set(told["noise"]) == {"edge_lie", "looper_balance", "needle_line", "edge_wrap", "stitch_cover"}
    assert "Swatches: 1, cloths: 1" in run("fit", "--studio", studio).out


def test_a_fit_that_cannot_be_kept_says_so_and_ends_with_status_1(run: Run, studio: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("recommender.studio.knowledge.save", full)
    told = run("fit", "--studio", studio)
    assert told.status == 1
    assert "not kept" in told.out
    assert "No space left on device" in told.out


def test_what_matters_is_told_in_shares_that_make_up_the_whole(run: Run, tmp_path: Path) -> None:
    place = tmp_path / "demo.sqlite"
    run("demo", "--no-serve", "--studio", place)
    told = run("matters", "--json", "--studio", place).json
    assert sum(share["share"] for share in (*told["controls"], *told["properties"])) == pytest.approx(1)
    assert all(share["low"] <= share["share"] <= share["high"] for share in told["controls"])
    shown = run("matters", "--studio", place).out
    assert "differential feed" in shown
    assert "%" in shown


def test_nothing_matters_yet_in_an_empty_log(run: Run, studio: Path) -> None:
    assert "Nothing can be said yet" in run("matters", "--studio", studio).out
    assert run("matters", "--json", "--studio", studio).json["trials"] == 0


def test_a_check_of_a_sound_log_finds_nothing(run: Run, studio: Path, notebook: Path) -> None:
    run("import", notebook, "--studio", studio)
    told = run("check", "--studio", studio)
    assert told.status == 0
    assert "no faults" in told.out


def test_a_check_that_finds_faults_names_the_trial_and_ends_with_status_1(run: Run, studio: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The log refuses bad rows, so the report of one is handed in here."""
    from recommender.studio import Studio
    from recommender.swatches.suite import RowFault, ValidationReport

    run("record", "--like", "chiffon", "--stitch", "rolled hem", "--pass", "--studio", studio)
    (trial,) = run("trials", "--json", "--studio", studio).json
    report = ValidationReport(1, (), (RowFault(0, "gsm", "gsm: expected a number from 15 to 1000 g/m2", trial["id"]),))
    monkeypatch.setattr(Studio, "check", lambda self: report)
    told = run("check", "--studio", studio)
    assert told.status == 1
    assert trial["id"] in told.out
    assert "gsm: expected" in told.out
    assert "1 fault." in told.out
    assert run("check", "--json", "--studio", studio).status == 1
