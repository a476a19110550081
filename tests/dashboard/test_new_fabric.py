"""New fabric: units, faults beside their fields, the difference end to end, the order of threading; what a reload brings back."""

import importlib
import re
from dataclasses import replace
from datetime import UTC, datetime

import pytest
import streamlit as st
from playwright.sync_api import expect

from recommender import Fabric, Studio, stitches
from recommender.advice.watching.drift import Answered, Suspect
from recommender.advice.words import spoken
from recommender.trade.stitch import stitch
from recommender.trade.words import percent

from .conftest import settle
from .test_browser import go, press, well_laid, write
from .test_pages import SEAM, healthy, plainly, words

MUSLIN = Fabric(name="muslin", construction="woven", fibre="cotton", gsm=4.4 * 33.90574748)
"""A cloth whose weight no rounded number gives back."""


def choose(app, label, value):
    next(control for control in app.segmented_control if control.label == label).set_value(value)
    return healthy(app.run())


def logged(studio, fabric, **readings):
    settings = studio.propose(**SEAM | {"fabric": fabric}).baseline
    return studio.record(**SEAM | {"fabric": fabric}, settings=settings, passed=False, readings=readings)


def test_the_other_system_rewrites_the_fields_and_leaves_the_dials_with_inches_beside_them(app, studio):
    healthy(app.run())
    before = words(app)
    dial = studio.propose(**SEAM).baseline
    choose(app, "Units", "imperial")
    assert app.text_input(key="cloth.weight").label == "Weight, oz/yd2"
    assert app.text_input(key="cloth.weight").value.endswith(" oz/yd2")
    assert f"mm; {25.4 / dial.length:.1f} per inch" in words(app)
    scales = re.compile(r'aria-label="[^"]*, scale from [^"]*"')
    assert scales.findall(before)
    assert scales.findall(words(app)) == scales.findall(before)


def test_what_is_folded_away_is_told_all_the_same(app, studio):  # a studio with a machine
    def folded():
        return [plainly(fold.label) for fold in app.expander]

    healthy(app.run())
    assert {"More: 2 layers, lengthwise, thickness", "Threads: 27 tex polyester"} <= set(folded())
    app.number_input(key="cloth.plies").set_value(1)
    app.selectbox(key="cloth.grain").set_value("bias")
    app.text_input(key="looper.size").set_value("18 *tex*")
    app.run()
    assert {"More: 1 layer, bias, thickness", "Threads: needle 27 tex polyester, looper 18 *tex* polyester"} <= set(folded())
    app.number_input(key="cloth.plies").set_value(None)
    app.run()
    assert "More: layers, bias, thickness" in folded()


def test_a_cloth_of_the_log_stays_that_cloth_in_either_system(app, studio):
    logged(studio, MUSLIN, edge_lie=2)
    healthy(app.run())
    assert app.text_input(key="cloth.name").value == "muslin"
    for system in ("imperial", "metric", "imperial"):
        choose(app, "Units", system)
        assert app.session_state["shown"].fabric == MUSLIN
        assert app.session_state["shown"].last is not None


def test_a_bare_weight_counts_in_the_unit_of_its_label(app, studio):
    healthy(app.run())
    choose(app, "Units", "imperial")
    app.text_input(key="cloth.weight").set_value("6")
    healthy(app.run())
    assert round(app.session_state["shown"].fabric.gsm, 1) == 203.4


def test_thread_is_shown_as_the_trade_counts_it_and_stays_the_same_thread(app, studio):
    healthy(app.run())
    for count in ("denier", "Ne", "metric ticket", "tex"):
        app.selectbox(key="thread_unit").set_value(count)
        healthy(app.run())
        assert app.text_input(key="needle.size").value.endswith(f" {count}")
        assert app.session_state["shown"].needle_thread.tex == 27
    app.text_input(key="looper.size").set_value("ticket 75")
    healthy(app.run())
    assert app.session_state["shown"].looper_thread.tex == 40


def test_a_bare_number_that_makes_a_rope_says_how_it_was_read_and_what_it_is_as_a_ticket_and_is_not_refused(app, studio):
    healthy(app.run())
    app.text_input(key="needle.size").set_value("120")
    healthy(app.run())
    (told,) = app.info
    assert plainly(told.value).startswith("120 was read as 120 tex, coarser than an overlock takes as a rule. Ticket 120 is 25 tex")
    assert app.session_state["shown"].needle_thread.tex == 120
    assert any(caption.value == "On the spool: 120 tex, 1080 denier, 8.3 Nm, 4.9 Ne, 25 metric ticket" for caption in app.caption)
    for right in ("120 tex", "ticket 120", "27"):
        app.text_input(key="needle.size").set_value(right)
        assert not healthy(app.run()).info


@pytest.mark.parametrize(
    ("key", "typed", "told"),
    [("cloth.weight", "5000", "from 15 to 1000 g/m2"), ("cloth.thick", "90 mm", "to 15 mm"), ("cloth.name", "", "fabric name")],
)
def test_a_field_that_cannot_be_says_so_and_the_last_proposal_stays(app, studio, key, typed, told):
    healthy(app.run())
    before, name = words(app).count('class="scale"'), app.text_input(key="cloth.name").value
    app.text_input(key=key).set_value(typed)
    healthy(app.run())
    assert [told in plainly(error.value) for error in app.error] == [True]
    assert f"still the settings for {name}" in plainly(app.info[0].value)
    assert words(app).count('class="scale"') == before
    app.text_input(key=key).set_value("0.5 mm" if key == "cloth.thick" else "150" if key == "cloth.weight" else "calico")
    healthy(app.run())
    assert not app.error
    assert not app.info


def test_a_number_left_empty_is_asked_for_under_its_field(app, studio):
    healthy(app.run())
    app.number_input(key="cloth.stretch").set_value(None)
    healthy(app.run())
    assert ["nothing given" in error.value for error in app.error] == [True]


@pytest.mark.parametrize(("passes", "rules"), [(0.95, 0.94), (0.951, 0.949), (0.05, 0.06)])
def test_two_chances_are_told_by_their_numbers_and_put_into_words_once(app, studio, monkeypatch, passes, rules):
    asked = studio.propose(**SEAM)
    told = replace(asked, pass_chance=passes, baseline_chance=rules, ratings=200, lead="model", lead_why="It scores 68\N{NO-BREAK SPACE}%.")
    monkeypatch.setattr(Studio, "propose", lambda self, **seam: told)
    healthy(app.run())
    (lead,) = re.findall(r"<div class='lead'>(Sewn so.*?)</div>", words(app))
    assert re.sub("<.*?>", "", lead).startswith(plainly(f"Sewn so, {percent(passes)} of swatches pass (about "))
    assert plainly(f"on the baseline {percent(rules)}.") in lead
    assert len(re.findall("about|nearly|hardly", lead)) == 1
    assert any("68\N{NO-BREAK SPACE}\\%" in caption.value for caption in app.caption)


def test_each_setting_is_either_trusted_or_tested(app, studio):
    for _ in range(16):  # as many as a chance needs
        logged(studio, SEAM["fabric"])
    healthy(app.run())
    (line,) = re.findall(r"<div class='trusts'>(.*?)</div>", words(app))
    assert line.count("tension") == 4
    assert all(control in line for control in ("differential feed", "stitch length", "cutting width"))
    assert "Learned from 16 rated swatches" in words(app)


def test_a_control_that_has_drifted_is_told_and_not_trusted(app, studio, drifted):
    for _ in range(16):
        logged(studio, SEAM["fabric"])
    trusted = re.compile(r"<b>Trust</b>([^<]*)")
    healthy(app.run())
    (before,) = trusted.findall(words(app))
    control = next(name for name in ("tension: upper looper", "tension: right needle", "differential") if spoken(name) in before)
    told = drifted(Suspect(control, True, 0.9))
    st.cache_resource.clear()
    healthy(app.run())
    assert told.warning in words(app)
    assert words(app).index(told.warning) < words(app).index("class='trusts'")
    assert not any(spoken(control) in line for line in trusted.findall(words(app)))
    assert re.search(rf"<b>Test</b>[^<]*{spoken(control)}", words(app))
    (row,) = re.findall(r"<div class='control'>[^<]*<b>[^<]*</b><span class='quiet'>[^<]*this dial may have drifted", words(app))
    assert spoken(control) in row


def test_a_control_that_had_drifted_before_care_is_tested_also_where_the_baseline_leads(app, studio, drifted, monkeypatch):
    healthy(app.run())
    proposal = app.session_state["shown"]
    assert (proposal.lead, "class='trusts'" in words(app)) == ("model", True)
    changed = datetime(2026, 5, 3, 12, tzinfo=UTC)
    answered = Answered(Suspect("tension: upper looper", True, 0.8), changed, "needle changed", changed)
    anew = drifted(swatches=0, since=changed, running=(), begun=None, answered=answered)
    monkeypatch.setattr(Studio, "propose", lambda self, **seam: replace(proposal, lead="baseline"))
    st.cache_resource.clear()
    healthy(app.run())
    assert f"bench: {anew.stood_before}" in words(app)
    assert "<div class='trusts'><b>Test</b> upper looper tension.</div>" in words(app)
    (row,) = re.findall(r"<div class='control'>upper looper tension<b>.*?</span></div>", words(app))
    assert "this dial may have drifted: sew a swatch before you trust the number" in row
    assert words(app).count("this dial may have drifted") == 1
    assert words(app).count(", the baseline</b>") == len(proposal.settings.controls())


def test_a_number_at_the_end_of_its_dial_says_so(app, studio, monkeypatch):
    proposal, dial = studio.propose(**SEAM), studio.machines["bench"].dial("length")
    monkeypatch.setattr(Studio, "propose", lambda self, **seam: replace(proposal, settings=proposal.settings.having({"length": dial.high})))
    healthy(app.run())
    (row,) = re.findall(r"<div class='control'>stitch length<b>.*?</span></div>", words(app))
    assert "as far as this dial goes" in row
    assert words(app).count("as far as this dial goes") == 1


def test_causes_lie_end_to_end_from_the_baseline_to_the_proposal(app, studio):
    logged(studio, SEAM["fabric"], edge_lie=2, stitch_cover=-1)
    healthy(app.run())
    proposal = app.session_state["shown"]
    moved = [control for control, value in proposal.settings.controls().items() if value != proposal.baseline.controls()[control]]
    assert moved
    stacks = re.findall(r'<div class="stack".*?(?=<div class="stack"|$)', words(app), re.DOTALL)
    assert len(stacks) == len(moved)
    for drawing in stacks:
        marks = [float(place) for place in re.findall(r'class="(?:baseline|proposal)" style="left: ([0-9.]+)%', drawing)]
        bars = [
            tuple(map(float, bar))
            for bar in re.findall(r'left: ([0-9.]+)%; width: ([0-9.]+)%"></i><i class="link" style="left: [0-9.]+', drawing)
        ]
        ends = [float(end) for end in re.findall(r'class="link" style="left: ([0-9.]+)%', drawing)]
        assert ends[-1] == pytest.approx(marks[1], abs=0.02)
        for begin, end, (left, wide) in zip([marks[0], *ends], ends, bars, strict=False):
            assert left == pytest.approx(min(begin, end), abs=0.02)
            assert wide == pytest.approx(max(abs(end - begin), 0.8), abs=0.03)


def test_a_stack_is_told_in_words_that_add_up():
    part = importlib.import_module("parts.stack")
    drawing = part.stack("length, mm", 3.0, 3.5, [part.Piece("<b>cloth</b>", 0.75, 0), part.Piece("rounding", -0.25, 1)])
    assert 'aria-label="length, mm, from the baseline 3 to the proposal 3.5: &lt;b&gt;cloth&lt;/b&gt; +0.75; rounding -0.25."' in drawing
    assert "<b>cloth" not in drawing
    assert part.patterns(["a", "b", "a", "c"]) == {"a": 0, "b": 1, "c": 2}


@pytest.mark.parametrize("name", stitches())
def test_each_thread_of_a_stitch_has_its_turn_its_line_and_its_words(name):
    part = importlib.import_module("parts.thread_path")
    order = stitch(name).threading
    drawing, told = part.thread_path(order), part.thread_words(order)
    assert re.findall(r">(\d)</text>", drawing) == [str(order.index(position) + 1) for position in part.POSITIONS if position in order]
    assert [told.index(position) for position in order] == sorted(told.index(position) for position in order)
    lines = set(re.findall(r'<polyline points="[^"]*" (.*?) stroke-linejoin', drawing))
    assert {position for position, pattern in part.LINES.items() if pattern in lines} == set(order)
    assert set(re.findall(r'(?:stroke|fill)="([^"]*)"', drawing)) <= {"currentColor", "none"}


def test_a_reload_and_the_back_button_lose_nothing(visit, studio):
    page = visit("tablet")
    page.get_by_role("radio", name="Imperial").click()
    settle(page)
    write(page, "Name of the cloth", "sea island")
    write(page, "Weight, oz/yd2", "3.3")
    page.get_by_test_id("stCheckbox").nth(2).click()
    settle(page)
    go(page, "Rate a swatch")
    page.go_back()
    settle(page)
    expect(page.get_by_role("heading", level=1, name="New fabric")).to_be_visible()
    expect(page.get_by_role("textbox", name="Weight, oz/yd2")).to_have_value("3.3")
    page.reload()
    settle(page)
    expect(page.get_by_role("textbox", name="Name of the cloth")).to_have_value("sea island")
    expect(page.get_by_role("textbox", name="Weight, oz/yd2")).to_have_value("3.3")
    expect(page.get_by_test_id("stCheckbox").nth(2).get_by_role("checkbox")).to_be_checked()
    expect(page.get_by_text(re.compile("^1 of [0-9]+ steps done"))).to_be_visible()


def test_a_cloth_is_described_on_a_phone(visit, studio):
    page = visit("phone")
    well_laid(page)
    write(page, "Name of the cloth", "deck canvas")
    page.get_by_role("textbox", name="Weight, g/m2").fill("3000")  # the sentence comes while the field is still held
    expect(page.get_by_role("alert").filter(has_text="expected from 15 to 1000 g/m2")).to_be_visible()
    well_laid(page)
    write(page, "Weight, g/m2", "340")
    page.get_by_role("radio", name="woven", exact=True).click()
    settle(page)
    well_laid(page)
    press(page, "Sew a swatch, then rate it here")
    well_laid(page)
    press(page, "It fails")
    well_laid(page)
    assert page.get_by_role("img", name="How the edge lies, +2").evaluate("e => e.getBoundingClientRect().right <= innerWidth")


@pytest.mark.parametrize("width", [1280, 768, 390])
def test_the_name_of_a_stitch_shows_whole(visit, studio, width):
    page = visit("desk")
    page.set_viewport_size({"width": width, "height": 1024})
    field = page.get_by_role("combobox", name="Stitch", exact=True)
    field.fill(max(stitches(), key=len))
    field.press("Enter")
    settle(page)
    assert field.evaluate("field => field.scrollWidth <= field.clientWidth")


def test_an_empty_number_is_typed_and_then_has_steps(visit, studio):
    page = visit("tablet")
    page.get_by_text("More: 2 layers").click()
    field = page.get_by_test_id("stNumberInput").filter(has_text="Stretch along")
    steps = field.get_by_role("button", name=re.compile("crement$"))
    expect(field.get_by_role("spinbutton")).to_be_visible()
    expect(steps).to_have_count(0)
    field.get_by_role("spinbutton").fill("10")
    page.keyboard.press("Tab")
    expect(steps).to_have_count(2)
