"""The page The log: nothing goes in unseen, nothing is lost, and the whole log can be checked."""

import csv
import io
import shutil
import time
from contextlib import closing
from datetime import UTC, datetime

import pytest
from playwright.sync_api import expect

from recommender import Fabric, Machine, Studio
from recommender.swatches.store import Store
from recommender.swatches.suite import RowFault, RuleOutcome, ValidationReport
from recommender.swatches.trial import Trial

from .conftest import DASHBOARD, SIZES, serving, settle
from .test_browser import go, well_laid
from .test_pages import healthy, plainly, press

HEADER = (
    "fabric,construction,fibre,gsm,stitch,machine,tension_right_needle,tension_upper_looper,tension_lower_looper,"
    "differential,length,width,passed,when,note,drawer"
)
GOOD = "rib jersey,knit,cotton,220,rolled hem,bench,4,4,7,1.2,1.5,4.5,fail,2026-03-14,,A1"
BAD = "crêpe,knit,cotton,5,rolled hem,bench,4,4,7,1.2,1.5,4.5,fail,2026-03-14,=1+1,A2"
SEAM = {"fabric": Fabric(name="rib", construction="knit", fibre="cotton", gsm=220), "stitch": "rolled hem", "machine": "bench"}


def typed(*rows, encoding="utf-8"):
    return "\n".join([HEADER, *rows, ""]).encode(encoding)


@pytest.fixture
def log(app):
    """The dashboard on that page."""
    healthy(app.run())
    return healthy(app.switch_page("app_pages/the_log.py").run())


def ended(app, name):
    """The page once that piece of work is done."""
    for _ in range(1200):
        if app.session_state[name].done:
            break
        time.sleep(0.05)
    return healthy(app.run())


def handed_in(app, data, name="swatches.csv"):
    app.file_uploader[0].set_value((name, data, "text/csv"))
    return ended(healthy(app.run()), "log.look")


def box_for(app, name):
    """The box that asks which machine of the studio a name of the file means."""
    (box,) = [box for box in app.selectbox if box.key.startswith("log.match.") and box.key.endswith(f".{name}")]
    return box


def shown(app):
    """What the page says, without its style."""
    return plainly(" ".join(part.proto.body for part in app.get("html") if not part.proto.body.startswith(("<style", "<script"))))


def test_an_empty_studio_says_what_to_do_first(log, where):
    assert "Describe your machine first" in log.info[0].value
    assert "nothing to check yet" in log.info[1].value
    assert "nothing to copy" in shown(log)


def test_the_preview_says_what_goes_in_and_what_not_and_writes_nothing(log, studio):
    handed_in(log, typed(GOOD, BAD))
    assert not studio.trials()
    page = shown(log)
    assert "<div><b>1</b><span>would go in</span></div><div><b>1</b><span>would be refused</span></div>" in page
    assert "gsm (weight): got 5, expected a number from 15 to 1000 g/m2." in page
    assert "<td>drawer</td><td>not read</td><td>No column of the log.</td><td>A1</td>" in page
    assert "<td>tension_right_needle</td><td>tension_right_needle</td>" in page
    assert any("letters in UTF-8" in caption.value for caption in log.caption)


def test_preview_and_check_show_the_day_of_the_studio(log, studio, far_east, monkeypatch):
    handed_in(log, typed(GOOD.replace("2026-03-14", "2026-03-14 18:00")))
    assert "<td class=day>2026-03-15</td>" in shown(log)
    with Store.open(studio.where) as store:
        store.record(
            Trial(**SEAM, settings=studio.propose(**SEAM).settings, passed=True, id="a1", when=datetime(2026, 3, 14, 18, tzinfo=UTC))
        )
    report = ValidationReport(1, (RuleOutcome("gsm", "", 1),), (RowFault(0, "gsm", "gsm: wrong", "a1"),))
    monkeypatch.setattr(Studio, "check", lambda self: report)
    press(healthy(log.run()), "Check 1 swatch")
    ended(log, "log.check")
    assert shown(log).count("<td class=day>2026-03-15</td>") == 2


def test_what_was_seen_goes_in_once_and_the_rest_comes_back_as_typed(log, studio):
    handed_in(log, typed(GOOD, BAD))
    for page in ("machines", "new_fabric", "the_log"):  # a preview is still there after a walk through the pages
        healthy(log.switch_page(f"app_pages/{page}.py").run())
    press(log, "Take in 1 swatch")
    ended(log, "log.take")
    assert [trial.fabric.name for trial in studio.trials()] == ["rib jersey"]
    assert "1 swatch went in. 1 row did not go in." in log.info[0].value
    header, row = csv.reader(io.StringIO(log.session_state["log.take"].result.rejects.decode("utf-8-sig"), newline=""))
    assert header == ["line", "fault", *HEADER.split(",")]
    assert row[2:] == BAD.split(",")
    press(log, "Another file")
    handed_in(log, typed(GOOD))
    assert "<div><b>1</b><span>are there already</span></div>" in shown(log)
    assert not [button for button in log.button if button.label.startswith("Take in")]


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "it is empty"),
        (typed(GOOD, encoding="utf-16"), "UTF-16"),
        (b"PK\x03\x04" + b"\x00" * 100, "a spreadsheet or an archive"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "no text"),
        (b"name;price\nthread;3\n", "no column of the first line is known"),
        (typed(GOOD).replace(b"gsm", b"colour"), "no column for gsm"),
    ],
)
def test_a_file_that_is_none_is_told_in_a_sentence_and_another_may_be_chosen(log, studio, data, told):
    handed_in(log, data)
    assert len(log.error) == 1
    assert told in log.error[0].value.replace("\\", "")
    press(log, "Another file")
    assert not log.error
    assert len(log.file_uploader) == 1


def test_a_machine_of_another_name_is_matched_on_the_spot(log, studio):
    other = GOOD.replace(",bench,", ",*the old one*,")
    handed_in(log, typed(other, other.replace("jersey", "knit"), BAD))
    assert "<div><b>0</b><span>would go in</span></div><div><b>3</b>" in shown(log)
    assert "mend the name, or add the machine first." in shown(log)
    assert "--machine" not in shown(log)
    assert "choose above which of yours it is" in " ".join(text.value for text in log.markdown)
    (box,) = [box for box in log.selectbox if box.key.startswith("log.match.")]
    assert box.label == "The file says “\\*the old one\\*” (2 rows). Which machine is that?"
    box.set_value("bench")
    ended(healthy(log.run()), "log.look")
    assert "<div><b>2</b><span>would go in</span></div><div><b>1</b>" in shown(log)
    assert box_for(log, "*the old one*").value == "bench"
    press(log, "Take in 2 swatches")
    ended(log, "log.take")
    assert [trial.machine for trial in studio.trials()] == ["bench", "bench"]
    press(log, "Another file")
    handed_in(log, typed(other))
    assert box_for(log, "*the old one*").value is None
    assert "<div><b>1</b><span>would be refused</span></div>" in shown(log)


def test_only_the_most_frequent_unknown_names_are_asked_for_and_cut_short(log, studio):
    rows = [GOOD.replace(",bench,", f",stranger {number},") for number in range(11)]
    handed_in(log, typed(*rows, *[GOOD.replace(",bench,", f",{'x' * 200},")] * 2))
    labels = [box.label for box in log.selectbox if box.key.startswith("log.match.")]
    assert len(labels) == 8
    assert labels[0] == f"The file says “{'x' * 60}” (2 rows). Which machine is that?"
    assert any(caption.value.startswith("4 more names that no machine here has") for caption in log.caption)


def test_a_name_that_was_matched_and_then_described_is_that_machine(log, studio):
    handed_in(log, typed(GOOD.replace(",bench,", ",attic,")))
    box_for(log, "attic").set_value("bench")
    ended(healthy(log.run()), "log.look")
    studio.add_machine(Machine.generic("attic"))
    ended(healthy(log.run()), "log.look")
    assert not log.error
    press(log, "Take in 1 swatch")
    ended(log, "log.take")
    assert [trial.machine for trial in studio.trials()] == ["attic"]


def test_western_letters_are_read_and_it_is_said(log, studio):
    handed_in(log, typed(BAD, encoding="cp1252"))
    assert "<td>crêpe</td>" in shown(log)
    assert any("Windows' western letters" in caption.value.replace("\\", "") for caption in log.caption)


def test_a_file_of_20_mb_is_refused_before_it_is_read(log, studio):
    log.file_uploader[0].set_value(("large.csv", typed(*[GOOD] * 240_000), "text/csv"))
    healthy(log.run())
    assert "larger than 5 MB" in log.error[0].value
    assert "log.look" not in log.session_state
    assert len(log.file_uploader) == 1


def test_a_file_name_with_markup_is_text(log, studio):
    name = "<img src=x onerror=alert(1)> **b**.csv"
    handed_in(log, typed(BAD), name)
    assert "&lt;img src=x onerror=alert(1)&gt; **b**.csv" in shown(log)
    assert "<img" not in shown(log)


def test_a_machine_that_the_file_names_and_nobody_described_leads_to_machines(log, studio):
    handed_in(log, typed(*[GOOD.replace("bench", "attic")] * 15))
    assert "machine: got &#x27;attic&#x27;" in shown(log)
    assert "<td>2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13 and 3 more</td>" in shown(log)
    assert "Add the machine on Machines" in [link.proto.label for link in log.get("page_link")]


def test_the_export_goes_into_another_studio_as_the_same_swatches(log, studio, tmp_path):
    from parts.taking_out import _exported  # what the button hands out when it is pressed

    studio.record(**SEAM, settings=studio.propose(**SEAM).settings, passed=True, note="=1+1")
    healthy(log.run())
    assert not next(button for button in log.get("download_button") if button.proto.label == "Download all swatches").proto.disabled
    with Studio.open(tmp_path / "other.sqlite") as other:
        other.add_machine(Machine.generic("bench"))
        other.import_csv(_exported(studio))
        assert other.trials() == studio.trials()


def test_the_copy_that_is_handed_out_is_the_studio(log, studio, tmp_path):
    from parts.taking_out import _copied  # as above

    studio.record(**SEAM, settings=studio.propose(**SEAM).settings, passed=True)
    assert "Download a copy of the studio" in [button.proto.label for button in healthy(log.run()).get("download_button")]
    assert "overedge serve --studio studio.sqlite" in " ".join(text.value for text in log.markdown), "how to get it back"
    assert "Download a copy of the studio now and then" in shown(log)
    (tmp_path / "copy.sqlite").write_bytes(_copied(studio))
    with Studio.open(tmp_path / "copy.sqlite") as other:
        assert (other.trials(), dict(other.machines)) == (studio.trials(), dict(studio.machines))


def test_the_facts_are_those_of_the_studio(log, studio):
    studio.record(**SEAM, settings=studio.propose(**SEAM).settings, passed=True)
    healthy(log.run())
    page = shown(log)
    assert f"<dd>{studio.where}</dd>" in page
    assert "<dd>1, of which 1 passed</dd>" in page
    assert "<dt>known to the model</dt><dd>1 swatch</dd>" in page


def test_a_sound_log_keeps_all_its_rules(log, studio):
    studio.record(**SEAM, settings=studio.propose(**SEAM).settings, passed=True)
    press(healthy(log.run()), "Check 1 swatch")
    ended(log, "log.check")
    assert "<strong>Nothing is wrong.</strong> 1 swatch against" in shown(log)
    folds = [fold.label for fold in log.expander]
    assert [fold for fold in folds if fold.startswith("Cloth: ")]
    assert all(fold.endswith("all kept") for fold in folds if "rule" in fold)
    studio.record(**SEAM, settings=studio.propose(**SEAM).settings, passed=False)
    healthy(log.run())
    assert "The log has changed since; check it again." in [caption.value for caption in log.caption]


def test_a_rule_that_is_broken_names_its_swatch(log, studio, monkeypatch):
    with Store.open(studio.where) as store:
        store.record(Trial(**SEAM, settings=studio.propose(**SEAM).settings, passed=True, id="a1", note="<b>"))
    expected = "a number from 15 to 1000 g/m2"
    rules = (RuleOutcome("gsm", expected, 1), RuleOutcome("gsm", expected, 0), RuleOutcome("id", "an id that no other row has", 0))
    report = ValidationReport(1, rules, (RowFault(0, "gsm", f"gsm (weight): expected {expected}", "a1"),))
    monkeypatch.setattr(Studio, "check", lambda self: report)
    press(healthy(log.run()), "Check 1 swatch")
    ended(log, "log.check")
    assert "1 swatch breaks a rule." in shown(log)
    assert f"<td>gsm (weight): expected {expected}</td><td>a1</td>" in shown(log)
    assert f"<td>gsm (weight)</td><td>{expected}</td><td>1 swatch breaks it</td>" in shown(log)
    assert "Cloth: 2 rules, 1 broken" in [fold.label for fold in log.expander]


def test_hands_take_a_file_in_on_a_tablet_and_on_a_desk(visit, studio, tmp_path):
    path = tmp_path / "our <b>notes.csv"
    path.write_bytes(typed(GOOD, BAD))
    page = visit("tablet")
    page.set_default_timeout(60_000)  # the suite is loaded while it waits
    go(page, "The log")
    page.locator("input[type=file]").set_input_files(path)
    expect(page.get_by_text("would go in", exact=True)).to_be_visible(timeout=60_000)
    expect(page.get_by_text("our <b>notes.csv")).to_be_visible()
    for width, height in (SIZES["tablet"], SIZES["desk"]):
        page.set_viewport_size({"width": width, "height": height})
        settle(page)
        well_laid(page)
    page.get_by_role("button", name="Take in 1 swatch").dblclick()
    expect(page.get_by_text("1 swatch went in.")).to_be_visible(timeout=60_000)
    with page.expect_download() as found:
        page.get_by_role("button", name="Download the refused rows").click()
    assert found.value.suggested_filename.endswith(".rejects.csv")
    assert len(studio.trials()) == 1


def test_a_matched_machine_is_still_shown_where_the_page_looks_at_the_log_while_the_file_is_read_anew(browser, where, studio, tmp_path):
    slow = shutil.copytree(DASHBOARD, tmp_path / "dashboard")
    with (slow / "app_pages" / "the_log.py").open("a", encoding="utf-8") as page:
        page.write("\nimport time\ntime.sleep(2)\n")  # so long that the browser looks at the log before the page is drawn
    with serving(where, tmp_path, slow) as address, closing(browser.new_page()) as page:
        page.set_default_timeout(60_000)
        page.goto(address)
        go(page, "The log")
        data = typed(GOOD.replace(",bench,", ",the old one,"))
        page.locator("input[type=file]").set_input_files({"name": "swatches.csv", "mimeType": "text/csv", "buffer": data})
        box = page.get_by_role("combobox", name="Which machine is that?")
        box.click()
        page.get_by_role("option", name="bench").click()
        page.get_by_role("button", name="Take in 1 swatch").wait_for()
        settle(page)
        expect(box).to_have_value("bench")


def test_a_day_of_the_preview_stands_on_one_line(visit, studio):
    page = visit("tablet")
    go(page, "The log")
    page.set_viewport_size({"width": 768, "height": 1024})
    data = typed(GOOD.replace("rib jersey", "a jersey with a name that goes on for as long as a name may and longer"))
    page.locator("input[type=file]").set_input_files({"name": "swatches.csv", "mimeType": "text/csv", "buffer": data})
    days = page.get_by_role("region", name="Rows that would go in").get_by_text("2026-03-14")
    days.wait_for()
    lines = "cell => { const text = document.createRange(); text.selectNodeContents(cell); return text.getClientRects().length; }"
    assert days.evaluate(lines) == 1
