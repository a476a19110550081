"""Photos, care and planned swatches through the studio's public names."""

import io
from datetime import UTC, datetime, timedelta

import pytest
from PIL import Image

from recommender import Fabric, Machine, Settings, Studio
from recommender.advice.watching.needle import needle_age
from recommender.errors import InvalidValue, UnknownName, UnsuitableMachine
from recommender.swatches.pictures import LONGEST, photo

JERSEY = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)
SEAM = {"fabric": JERSEY, "stitch": "four-thread overlock", "machine": "bench"}


@pytest.fixture
def studio(tmp_path):
    with Studio.open(tmp_path / "studio.sqlite") as opened:
        opened.add_machine(Machine.generic("bench"))
        opened.add_machine(Machine(name="plain", converter=False))
        yield opened


@pytest.fixture
def settings(studio):
    return studio.propose(**SEAM).settings


def png(width, height):
    written = io.BytesIO()
    Image.new("RGB", (width, height), "grey").save(written, "PNG")
    return written.getvalue()


def test_a_photo_is_kept_small_and_shown_smaller(studio, settings):
    trial = studio.record(**SEAM, settings=settings, passed=True)
    assert (studio.photo(trial.id), studio.photographed()) == (None, frozenset())
    studio.add_photo(trial.id, png(2400, 1800))
    assert studio.photographed() == {trial.id}
    kept, small = (Image.open(io.BytesIO(photo(studio.photo(trial.id), longest))) for longest in (LONGEST, 320))
    assert (kept.format, kept.size, small.size) == ("JPEG", (1600, 1200), (320, 240))


def test_a_photo_that_is_none_or_of_no_trial_is_refused(studio, settings):
    trial = studio.record(**SEAM, settings=settings, passed=True)
    with pytest.raises(InvalidValue, match="no picture"):
        studio.add_photo(trial.id, b"not a picture")
    with pytest.raises(UnknownName, match="expected the id of a logged swatch"):
        studio.add_photo("nobody", png(2, 2))
    assert studio.photographed() == frozenset()


def test_care_is_told_the_newest_first_whenever_it_was_entered(studio):
    now = datetime.now(UTC)
    first = studio.note_care("bench", "needle changed", when=now - timedelta(days=2), who="Ann", note="size 80")
    last = studio.note_care("plain", "serviced")
    between = studio.note_care("bench", "cleaned", when=now - timedelta(days=1))
    assert studio.care() == (last, between, first)
    assert studio.care("bench") == (between, first)
    assert studio.care("plain") == (last,)


@pytest.mark.parametrize(
    ("given", "error", "told"),
    [
        ({"machine": "bensh"}, UnknownName, "did you mean 'bench'"),
        ({"deed": "neddle changed"}, UnknownName, "did you mean 'needle changed'"),
        ({"when": datetime(2026, 1, 1)}, InvalidValue, "care when"),  # noqa: DTZ001  # the zone is what is missing
        ({"when": datetime.now(UTC) + timedelta(days=9)}, InvalidValue, "until tomorrow"),
        ({"note": "x" * 2001}, InvalidValue, "care note"),
    ],
)
def test_care_that_cannot_be_is_refused(studio, given, error, told):
    with pytest.raises(error, match=told):
        studio.note_care(**{"machine": "bench", "deed": "cleaned"} | given)
    with pytest.raises(UnknownName, match="machine"):
        studio.care("bensh")
    assert studio.care() == ()


def test_a_needle_change_that_was_not_one_is_taken_back(studio):
    true = studio.note_care("bench", "needle changed", when=datetime.now(UTC) - timedelta(days=2))
    mistaken = studio.note_care("bench", "needle changed")
    studio.withdraw_care(mistaken.number, "that was the other machine")
    assert studio.care("bench") == (true,)
    assert needle_age(studio.trials(), studio.care(), "bench").since == true.when
    with pytest.raises(InvalidValue, match="withdrawn before"):
        studio.withdraw_care(mistaken.number, "again")
    with pytest.raises(UnknownName, match="expected the number of an entry"):
        studio.withdraw_care(1, "the log's first event is a machine")


def test_a_planned_swatch_waits_until_it_is_sewn_and_any_settings_may_have_been_set(studio, settings):
    waiting = studio.set_aside(**SEAM, settings=settings, reason="tells of the loopers")
    assert studio.pending() == (waiting,)
    assert (waiting.fabric, waiting.settings, waiting.reason) == (JERSEY, settings, "tells of the loopers")
    trial = studio.record(**SEAM, settings=settings.having({"differential": 1.3}), passed=False, pending=waiting.id)
    assert studio.pending() == ()
    studio.withdraw(trial.id, "taken back")
    assert studio.pending() == (waiting,)
    studio.drop(waiting.id, "no cloth left")
    assert studio.pending() == ()


def test_two_who_look_at_one_studio_see_one_list(studio, settings):
    with Studio.open(studio.where) as other:
        waiting = other.set_aside(**SEAM, settings=settings)
        assert studio.pending() == (waiting,)
        studio.record(**SEAM, settings=settings, passed=True, pending=waiting.id)
        assert other.pending() == ()


@pytest.mark.parametrize(
    ("given", "error", "told"),
    [
        ({"stitch": "two-thread overlock", "machine": "plain"}, UnsuitableMachine, "'plain' lacks"),
        ({"stitch": "rolled hem"}, InvalidValue, "runs no thread there"),
        ({"settings": {"length": 2}}, InvalidValue, "expected Settings"),
        ({"settings": Settings(tension=dict.fromkeys(("left needle",), 4), differential=1, length=2, width=5)}, InvalidValue, "tension"),
        ({"fabric": "rib jersey"}, InvalidValue, "expected a Fabric"),
        ({"reason": "x" * 2001}, InvalidValue, "reason"),
    ],
)
def test_what_cannot_be_sewn_is_not_set_aside(studio, settings, given, error, told):
    with pytest.raises(error, match=told):
        studio.set_aside(**SEAM | {"settings": settings} | given)
    assert studio.pending() == ()


def test_settings_beyond_the_machine_are_not_set_aside(studio, settings):
    with pytest.raises(InvalidValue, match="on 'bench' it goes from"):
        studio.set_aside(**SEAM, settings=settings.having({"width": 11}))


def test_photos_care_and_plans_leave_the_model_as_it_is(studio, settings):
    trial = studio.record(**SEAM, settings=settings, passed=False, readings={"edge_lie": 1})
    before = studio.propose(**SEAM)
    studio.add_photo(trial.id, png(4, 4))
    studio.note_care("bench", "oiled")
    studio.set_aside(**SEAM, settings=settings)
    assert studio.propose(**SEAM) == before
    assert [event.kind for event in studio.history(trial.id)] == ["recorded", "photo"]
