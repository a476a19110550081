"""The page Machines: described by answering questions, watched, cared for."""

from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import expect

from recommender import Dial, Fabric, Machine, Studio
from recommender.advice.watching.drift import ALARM, Answered, Suspect
from recommender.swatches.care import Care
from recommender.trade.care import DEEDS

from .conftest import SIZES, settle
from .test_browser import go, well_laid
from .test_browser import press as touch
from .test_pages import healthy, plainly, press, words

JERSEY = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)
SEAM = {"fabric": JERSEY, "stitch": "four-thread overlock", "machine": "bench"}


@pytest.fixture
def machines(app):
    """The dashboard on that page, before its next run."""
    healthy(app.run())
    app.switch_page("app_pages/machines.py")
    return app


def tell(app, form, **marks):
    for key, value in marks.items():
        app.number_input(key=f"{form}.{key.replace('__', '.')}").set_value(value)


def sewn(studio, number=1, **more):
    return [studio.record(**SEAM, settings=studio.propose(**SEAM).baseline, passed=True, **more) for _ in range(number)]


def test_without_a_machine_the_page_says_why_and_asks(machines):
    healthy(machines.run())
    assert "No machine is described yet" in machines.info[0].value
    assert machines.text_input(key="new.name").value == ""


def test_a_first_machine_is_added_by_its_name_alone(machines, where):
    healthy(machines.run())
    machines.text_input(key="new.name").set_value(" old faithful ")
    press(machines, "Add the machine")
    assert machines.selectbox(key="machine").value == "old faithful"
    assert machines.text_input(key="new.name").value == ""
    with Studio.open(where) as studio:
        assert dict(studio.machines) == {"old faithful": Machine.generic("old faithful")}


def test_every_dial_and_part_can_be_told(machines, studio):
    healthy(machines.run())
    machines.text_input(key="new.name").set_value("window")
    tell(machines, "new", tension__high=7.0, tension__home=3.0)
    machines.pills(key="new.threads").set_value(["left needle", "upper looper", "lower looper"])
    machines.toggle(key="new.alike").set_value(False)
    machines.toggle(key="new.pressed").set_value(True)
    for part, has in {"converter": False, "rolled_position": True, "knife_disengages": False, "removable_finger": False}.items():
        machines.toggle(key=f"new.{part}").set_value(has)
    healthy(machines.run())
    tell(machines, "new", **{"left needle__home": 3.5, "lower looper__step": 0.25, "differential__low": 0.5, "length__high": 4.0})
    tell(machines, "new", width__home=5.0, foot_pressure__high=5.0)
    press(machines, "Add the machine")
    assert studio.machines["window"] == Machine(
        name="window",
        tension={"left needle": Dial(0, 7, 0.5, 3.5), "upper looper": Dial(0, 7, 0.5, 3), "lower looper": Dial(0, 7, 0.25, 3)},
        differential=Dial(0.5, 2, 0.1, 1),
        length=Dial(1, 4, 0.25, 3),
        width=Dial(4, 7, 0.5, 5),
        foot_pressure=Dial(0, 5, 0.5, 3),
        removable_finger=False,
        converter=False,
        knife_disengages=False,
        rolled_position=True,
    )


def test_another_machine_may_start_as_one_that_is_there(machines, studio):
    studio.add_machine(Machine(name="stove", foot_pressure=Dial(1, 5, 0.5, 2), converter=False))
    healthy(machines.run())
    machines.selectbox(key="new.start").set_value("as stove")
    machines.text_input(key="new.name").set_value("stove's twin")
    press(machines, "Add the machine")
    twin = studio.machines["stove's twin"]
    assert (twin.foot_pressure, twin.converter) == (Dial(1, 5, 0.5, 2), False)


@pytest.mark.parametrize(
    ("name", "home", "told"), [("", 4.0, "nothing given"), ("bench", 4.0, "in this studio"), ("x\x07", 4.0, "machine name")]
)
def test_a_machine_that_cannot_be_is_refused_in_a_sentence(machines, studio, name, home, told):
    healthy(machines.run())
    machines.text_input(key="new.name").set_value(name)
    button = next(button for button in healthy(machines.run()).button if button.label == "Add the machine")
    if not button.disabled:
        press(machines, "Add the machine")
    assert [told in error.value.replace("\\", "") for error in machines.error] == [True]
    assert list(studio.machines) == ["bench"]


@pytest.mark.parametrize("sewn", [False, True])
def test_a_machine_is_said_to_be_helped_by_others_only_where_something_was_sewn_on_them(machines, studio, sewn):
    if sewn:
        studio.record(**SEAM, settings=studio.propose(**SEAM).settings, passed=True)
    healthy(machines.run())
    machines.text_input(key="new.name").set_value("window")
    healthy(machines.run())
    press(machines, "Add the machine")
    (told,) = [plainly(line.value) for line in machines.info if line.value.startswith("window is added")]
    assert ("learned on other machines" in told) is sewn


def test_a_dial_that_makes_no_sense_is_told_beside_it_and_cannot_be_kept(machines, studio):
    healthy(machines.run())
    machines.text_input(key="new.name").set_value("window")
    tell(machines, "new", tension__high=7.0, tension__home=8.0)
    healthy(machines.run())
    assert "0 to 7" in machines.error[0].value
    assert next(button for button in machines.button if button.label == "Add the machine").disabled


def test_new_fabric_leads_to_machines_and_adds_none_itself(app, studio):
    healthy(app.run())
    assert not [button for button in app.button if button.label.startswith("Add")]
    assert "Add or change a machine" in [link.proto.label for link in app.get("page_link")]


def test_the_profile_is_drawn_with_ends_steps_and_home_mark(machines, studio):
    studio.add_machine(Machine(name="bench", differential=Dial(0.6, 2.2, 0.2, 1), converter=False))
    healthy(machines.run())
    shown = words(machines)
    assert "differential, from 0.6 to 2.2 in steps of 0.2, home mark 1" in shown
    assert "no two-thread converter" in shown
    assert "two-thread overlock: it needs a two-thread converter" in shown


def test_a_changed_home_mark_is_saved_only_by_one_who_knows_what_it_does(machines, studio):
    sewn(studio, 3)
    healthy(machines.run())
    assert next(button for button in machines.button if button.key == "save_changed").disabled
    tell(machines, "changed", tension__home=5.0)
    healthy(machines.run())
    assert words(machines).count("would go from 4 to 5: 3 swatches would be read as set 1 lower than now") == 4
    save = next(button for button in machines.button if button.key == "save_changed")
    assert save.disabled
    machines.checkbox(key="certain").check()
    press(healthy(machines.run()), "Save the changed profile")
    assert studio.machines["bench"].tension["upper looper"].home == 5
    assert not machines.error


def test_a_change_that_touches_no_swatch_asks_nothing(machines, studio):
    sewn(studio)
    healthy(machines.run())
    tell(machines, "changed", tension__high=9.5)
    press(healthy(machines.run()), "Save the changed profile")
    assert studio.machines["bench"].tension["left needle"].high == 9.5


def test_two_who_change_one_machine_are_told_of_each_other(machines, studio):
    healthy(machines.run())
    tell(machines, "changed", tension__high=8.0)
    healthy(machines.run())
    studio.add_machine(Machine(name="bench", converter=False))
    press(machines, "Save the changed profile")
    assert "described anew elsewhere" in machines.error[0].value
    assert studio.machines["bench"] == Machine(name="bench", converter=False)


def test_a_form_that_nobody_touched_follows_a_changed_profile_and_one_that_was_is_left_alone(machines, studio):
    healthy(machines.run())
    lower = Machine(name="bench", differential=Dial(0.6, 2.2, 0.2, 1), converter=False)
    studio.add_machine(lower)
    healthy(machines.run())
    assert machines.number_input(key="changed.differential.low").value == 0.6
    assert machines.toggle(key="changed.converter").value is False
    assert next(button for button in machines.button if button.key == "save_changed").disabled
    tell(machines, "changed", tension__high=9.5)
    healthy(machines.run())
    studio.add_machine(Machine.generic("bench"))
    healthy(machines.run())
    assert machines.number_input(key="changed.tension.high").value == 9.5
    assert machines.number_input(key="changed.differential.low").value == 0.6


def test_a_drift_is_told_with_its_picture_and_what_to_look_at_first(machines, studio, drifted):
    begun = datetime(2026, 3, 1, tzinfo=UTC)
    suspects = (Suspect("tension: upper looper", True, 0.8), Suspect("differential", False, 0.15), Suspect("differential", True, 0.001))
    drifted(*suspects, swatches=3, since=begun, running=(0.0, 3.0, ALARM + 1), begun=begun)
    healthy(machines.run())
    shown = words(machines)
    assert "upper looper tension pulls tighter" in shown
    assert "How strongly 3 swatches speak for a dial that changed" in shown
    assert "(15 %)" in shown
    assert "(0 %)" not in shown
    assert shown.count("<li>Lint: ") == 1
    assert shown.index("unplug it") < shown.index("<li>Lint: ") < shown.index("<li>Needle: ")
    assert "Caution, dials:" in shown


def test_what_stood_before_a_needle_was_changed_is_told_with_the_watch(machines, studio, drifted):
    changed = datetime(2026, 5, 3, 12, tzinfo=UTC)
    answered = Answered(Suspect("tension: upper looper", True, 0.8), changed, "needle changed", changed)
    drifted(swatches=0, since=changed, running=(), begun=None, answered=answered)
    healthy(machines.run())
    assert "Before the needle was changed on 2026-05-03 you were told: the upper looper tension pulls tighter" in words(machines)
    assert "no swatch so far" in words(machines)
    assert words(machines).count("<li>Lint: ") == 1, "a needle need not have been the cause, so the list stays"


def test_what_was_noted_since_stands_with_the_list_of_what_to_look_at(machines, studio, drifted):
    suspect = Suspect("tension: upper looper", True, 0.9)
    oiled = Care(machine="bench", deed="oiled", when=datetime(2026, 5, 4, 12, tzinfo=UTC))
    drifted(suspect, noted=(oiled,))
    healthy(machines.run())
    shown = words(machines)
    assert shown.index("Noted meanwhile: oiled on 2026-05-04.") < shown.index("<li>Lint: ")


def test_the_address_may_name_the_machine(machines, studio):
    studio.add_machine(Machine.generic("attic"))
    machines.query_params["machine"] = "attic"
    healthy(machines.run())
    assert machines.selectbox(key="machine").value == "attic"
    assert "machine" not in machines.query_params


def test_a_calm_machine_says_so_and_still_tells_where_to_look(machines, studio):
    sewn(studio, 2, readings={"edge_lie": 0})
    healthy(machines.run())
    assert "behaves as its log says, as far as 2 swatches can tell" in words(machines)
    machines.selectbox(key="drift.control").set_value("Differential feed")
    healthy(machines.run())
    assert "feed dogs" in words(machines)


def test_care_is_noted_and_the_needles_are_counted_from_it(machines, studio):
    healthy(machines.run())
    assert "No change of needles is noted yet" in words(machines)
    machines.text_input(key="care.note").set_value("size <b>80</b>")
    machines.text_input(key="care.who").set_value("Ann")
    press(machines, "Note it")
    (noted,) = studio.care("bench")
    assert (noted.deed, noted.who, noted.note) == ("needle changed", "Ann", "size <b>80</b>")
    assert "Ann · size &lt;b&gt;80&lt;/b&gt;" in words(machines)
    assert machines.text_input(key="care.note").value == ""
    sewn(studio, 2, needle_hours=1.5)
    healthy(machines.run())
    assert "2 swatches since then, 1.5 hours by what was noted with them" in words(machines)


def test_care_of_a_day_that_is_past_counts_from_its_beginning(machines, studio):
    healthy(machines.run())
    machines.pills(key="care.deed").set_value("serviced")
    machines.number_input(key="care.ago").set_value(3)
    press(machines, "Note it")
    (noted,) = studio.care("bench")
    assert noted.deed == "serviced"
    assert noted.when.astimezone().date() == (datetime.now().astimezone() - timedelta(days=3)).date()
    assert noted.when.astimezone().hour == 0
    assert machines.number_input(key="care.ago").value == 0


def test_a_past_day_begins_at_midnight_of_its_own_season(machines, studio, summer_time):
    """Some of these days have another offset from UTC than today, whatever today is."""
    for days in (90, 180, 270):
        healthy(machines.run())
        machines.number_input(key="care.ago").set_value(days)
        press(machines, "Note it")
    days_ago = [datetime.now().astimezone().date() - one.when.astimezone().date() for one in studio.care("bench")]
    assert sorted(days_ago) == [timedelta(days=days) for days in (90, 180, 270)]
    assert {one.when.astimezone().hour for one in studio.care("bench")} == {0}


def test_a_deed_that_was_noted_by_mistake_is_taken_back(machines, studio):
    studio.note_care("bench", "needle changed", note="size *80*")
    healthy(machines.run())
    assert "Needles changed on" in words(machines)
    wrong = machines.selectbox(key="care.wrong")
    assert wrong.options[0].endswith("needle changed · size *80*")
    wrong.select_index(0)
    healthy(machines.run())
    press(machines, "Take it back")
    assert "type one and press Enter" in machines.error[0].value
    machines.selectbox(key="care.why").set_value("touched by mistake")
    press(machines, "Take it back")
    assert studio.care() == ()
    assert "No change of needles is noted yet" in words(machines)


def test_older_entries_of_a_long_care_log_stand_behind_a_fold(machines, studio):
    for number in range(11):
        studio.note_care("bench", DEEDS[number % len(DEEDS)], note=f"entry {number}")
    healthy(machines.run())
    assert "3 older entries" in [fold.label for fold in machines.expander]
    assert words(machines).count("<div class='quiet'>entry ") == 11


def test_hands_add_a_machine_on_a_tablet_and_on_a_desk(visit, studio):
    page = visit("tablet")
    go(page, "Machines")
    well_laid(page)
    page.get_by_text("Add a machine", exact=True).click()
    page.get_by_role("textbox", name="What do you call the machine?").fill("window")
    page.keyboard.press("Tab")
    settle(page)
    well_laid(page)
    page.set_viewport_size(dict(zip(("width", "height"), SIZES["desk"], strict=True)))
    settle(page)
    well_laid(page)
    touch(page, "Add the machine")
    expect(page.get_by_text("window is added.")).to_be_visible()
    assert list(studio.machines) == ["bench", "window"]
