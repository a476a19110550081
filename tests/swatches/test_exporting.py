"""What is written out of a log: an export that is the same log elsewhere, and the empty file to begin with."""

import csv
import io
from dataclasses import replace
from pathlib import Path

from recommender.swatches.exporting import export_csv, template_rows, write_template
from recommender.swatches.importing import import_csv
from recommender.swatches.store import Store
from recommender.swatches.trial import Trial, new_id
from recommender.trade.machine import Machine

from .test_importing import HEADER, ROW, counts


def test_an_export_imported_elsewhere_is_the_same_log(store: Store, trial: Trial, tmp_path: Path) -> None:
    awkward = ["=cmd()", "'x", " blank ", "a\nb", '"quoted", twice', "-1", "", "é 🧵", "(help)", "sep=;", "n/a"]
    trials = [replace(trial, id=new_id(), note=note, who=note[:5], seam_change=0.1 + 0.2, flags={"jam"}) for note in awkward]
    named = [replace(trial, id=new_id(), fabric=replace(trial.fabric, name=name, thickness=1 / 3)) for name in awkward if name]
    store.record_new([*trials, *named, replace(trial, id="=1+1", readings={}, needle_size=83.5)])
    assert export_csv(store, tmp_path / "out.csv") == len(store.trials())
    with Store.open(tmp_path / "copy.sqlite") as copy:
        copy.add_machine(Machine.generic("bench"))
        assert counts(import_csv(copy, tmp_path / "out.csv")) == (len(store.trials()), 0, 0)
        assert copy.trials() == store.trials()
    assert counts(import_csv(store, tmp_path / "out.csv")) == (0, len(store.trials()), 0)


def test_an_export_holds_no_formula(store: Store, trial: Trial, tmp_path: Path) -> None:
    store.record(replace(trial, fabric=replace(trial.fabric, name='=HYPERLINK("x")'), who="@SUM(1)", note="+1\t"))
    export_csv(store, tmp_path / "out.csv")
    _, row = csv.reader(io.StringIO((tmp_path / "out.csv").read_text(encoding="utf-8-sig"), newline=""))
    assert [cell for cell in row if cell.startswith(("=", "+", "@"))] == []


def test_an_export_taken_before_a_correction_is_known_and_an_edited_one_is_told(store: Store, trial: Trial, tmp_path: Path) -> None:
    store.record(trial)
    export_csv(store, tmp_path / "out.csv")
    store.correct(trial.id, lambda one: replace(one, note="x"))
    assert counts(import_csv(store, tmp_path / "out.csv")) == (0, 1, 0)
    text = (tmp_path / "out.csv").read_text(encoding="utf-8-sig")
    (tmp_path / "out.csv").write_text(text.replace(",220,", ",230,"), encoding="utf-8")
    report = import_csv(store, tmp_path / "out.csv")
    assert counts(report) == (0, 0, 1)
    assert "stands for a swatch with other values" in report.rows[0].faults[0]


def test_the_template_is_an_empty_file_with_help(store: Store, tmp_path: Path) -> None:
    write_template(tmp_path / "template.csv")
    assert counts(import_csv(store, tmp_path / "template.csv")) == (0, 0, 0)
    with (tmp_path / "template.csv").open("a", encoding="utf-8", newline="") as appended:
        values = dict(zip(HEADER, ROW, strict=True))
        csv.writer(appended).writerow([values.get(name, "") for name in template_rows()[0]])
    assert counts(import_csv(store, tmp_path / "template.csv")) == (1, 0, 0)
