"""What stands on a result beside the moves: a dial at its end, a mishap, two needles that read as one."""

import pytest

from .test_pages import SEAM, carried, healthy, press, words


def fails(app, *, flags=(), **readings):
    """The swatch that is being rated fails, with some readings (two drawings to the side of nought are +1) and flags."""
    press(app, "It fails")
    for name, step in readings.items():
        app.button(key=f"step_{name}_{step}").click()
        healthy(app.run())
    app.button_group(key="flags").set_value(list(flags))
    healthy(app.run())
    press(app, "Save: it fails")
    return app


def test_fresh_needles_are_noted_at_a_touch_and_once(app, studio):
    carried(app, studio)
    press(app, "It fails")
    assert "unplug it before your hands go in" not in words(app)
    app.button_group(key="flags").set_value(["needle_break"])
    healthy(app.run())
    assert "Switch the machine off and unplug it before your hands go in." in words(app)
    press(app, "Save: it fails")
    press(app, "Fresh needles are in: note it under Care")
    assert [one.deed for one in studio.care("bench")] == ["needle changed"]
    assert app.button(key="note_needles").disabled


def heads(app):
    return [head.value for head in app.header]


def test_a_dial_at_its_end_is_told_on_the_result_with_what_comes_next(app, studio):
    carried(app, studio)
    fails(app, edge_lie=2)
    press(app, "Moved: rate the next swatch")
    assert app.number_input(key="set.differential").value == 2.0
    fails(app, edge_lie=2)
    told = words(app)
    assert "The differential feed stands at 2, as far as its dial goes, though &quot;stretched, wavy&quot; asks for more." in told
    assert "<b>Caution, foot:</b> Change the foot&#x27;s pressure" in told


@pytest.mark.parametrize("away", [False, True])
def test_a_mishap_alone_asks_for_the_same_settings_again(app, studio, away):
    """Also where they are those of a plan; sewn otherwise than asked for, they are themselves under suspicion."""
    planned = studio.set_aside(**SEAM, settings=studio.propose(**SEAM).settings.having({"differential": 1.9, "length": 4.0}))
    healthy(app.run())
    healthy(app.switch_page("app_pages/plan_swatches.py").run())
    press(app, "Sewn: rate it")
    healthy(app.switch_page("app_pages/rate_a_swatch.py").run())
    if away:
        app.number_input(key="set.differential").set_value(1.8)
        healthy(app.run())
    fails(app, flags=["jam"])
    assert studio.propose(**SEAM).moves, "the model would move on"
    assert ("Then sew it again" in heads(app), "Now move" in heads(app)) == (not away, away)
    if not away:
        press(app, "Sew it again with these settings")
        assert app.session_state["draft"].asked == planned.settings


def test_a_needle_line_that_is_off_is_looked_at_before_one_needle_is_moved(app, studio):
    carried(app, studio)
    fails(app, needle_line=-2)
    moved = [move.control for move in app.session_state["draft"].following.moves]
    assert sum("needle" in control for control in moved) == 1
    assert "does not tell the two needles apart. Look whose line it is" in words(app)
