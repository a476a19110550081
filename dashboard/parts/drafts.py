"""The swatch that is being rated, kept while its sewer walks between the pages."""

from dataclasses import dataclass, field, replace
from secrets import token_hex
from typing import Any

import streamlit as st

from parts.words import asked
from recommender import Settings, Studio
from recommender.advice.planning.planned import Planned
from recommender.advice.proposal import Proposal
from recommender.errors import OveredgeError
from recommender.swatches.pictures import photo
from recommender.swatches.trace import is_withdrawn, last_state
from recommender.swatches.trial import Trial, new_id
from recommender.trade.asked import Asked, asking
from recommender.trade.care import NEEDLE_CHANGED


@dataclass(slots=True)
class Draft:
    """One swatch from its proposal to its saved rating.

    It is changed in place: Streamlit may end a run at any touch of its session state, and a trial that is logged must be
    marked as logged at once, or a second touch of the button would log it twice.
    """

    proposal: Proposal
    """Where the settings came from."""
    passed: bool | None = None
    """The rating; None until it is given."""
    readings: dict[str, float] = field(default_factory=dict)
    """The readings made so far."""
    saved: Trial | None = None
    """The trial in the log, once it is there."""
    following: Proposal | None = None
    """What the studio proposes after it."""
    trouble: str = ""
    """Why it could not be saved."""
    mark: str = field(default_factory=lambda: token_hex(4))
    """Tells its photo's fields from those of another swatch."""
    picture: bytes | None = None
    """Its photo, made small; it goes with the rating when that is saved."""
    picture_trouble: str = ""
    """Why a photo could not be taken or kept; the rating is kept all the same."""
    pending: str | None = None
    """Its id on the list of planned swatches, if it is of that list."""
    asked: Settings | None = None
    """What was to be set, by the proposal, the plan or an earlier swatch; None where that is not known any more."""
    trial_id: str = field(default_factory=new_id)
    """The mark that it will have in the log, so that saving it twice, from two tabs or over a bad network, logs it once."""
    held: dict[str, float] = field(default_factory=dict)
    """By control, the number that stood there before the machine's dial was described as not reaching it."""
    after: tuple[Proposal, Settings | None, str | None] | None = None
    """What was to be rated instead, as `take` got it, while this one was half rated."""

    @property
    def seam(self) -> Asked:
        """What is sewn, as the studio asks for it."""
        return asking(self.proposal)

    @property
    def half_rated(self) -> bool:
        """Whether it would be lost if another took its place; flags, note and details are asked only once there is a rating."""
        return self.saved is None and (self.passed is not None or bool(self.readings) or self.picture is not None)


def current() -> Draft | None:
    """The swatch being rated, if there is one."""
    return st.session_state.get("draft")


def show(proposal: Proposal) -> None:
    """Keep what New fabric proposes, for the pages that go on from it."""
    st.session_state["shown"] = proposal


def on_new_fabric() -> Proposal | None:
    """What New fabric last proposed, if it was open."""
    return st.session_state.get("shown")


def put_away() -> None:
    """Leave the swatch unrated."""
    st.session_state.pop("draft", None)


def take(proposal: Proposal, settings: Settings | None = None, pending: str | None = None) -> None:
    """Rate a swatch sewn with a proposal, or with other settings of the same seam; `pending` is its id if it was planned.

    One that is half rated stays, and what was to be rated waits behind it, unless it is the same planned swatch.
    """
    draft = current()
    if draft is None or not draft.half_rated:
        _begin(proposal, settings, pending)
    elif pending is None or draft.pending != pending:
        draft.after = (proposal, settings, pending)


def take_after(draft: Draft) -> None:
    """Rate what waits behind a swatch; that one is put away, saved or not."""
    if draft.after is not None:
        _begin(*draft.after)


def _begin(proposal: Proposal, settings: Settings | None, pending: str | None) -> None:
    settings = proposal.leading if settings is None else settings
    for control, value in settings.controls().items():
        st.session_state[f"set.{control}"] = value
    st.session_state["set.foot pressure"] = settings.foot_pressure
    of_one_swatch: dict[str, Any] = {"flags": [], "note": "", "seam_change": None, "needle_hours": None}
    st.session_state.update(of_one_swatch)
    st.session_state["draft"] = Draft(proposal, pending=pending, asked=settings)


def sew(studio: Studio, one: Planned, pending: str | None = None) -> None:
    """Go on to rate a swatch that is sewn with the settings of a planned or an earlier one; where that cannot be, a sentence."""
    proposal = asked(lambda: studio.propose(**asking(one)))
    if proposal is not None:
        take(proposal, one.settings, pending)
        st.switch_page("app_pages/rate_a_swatch.py")


def rate(draft: Draft, passed: bool) -> None:
    """Pass or fail."""
    draft.passed, draft.trouble = passed, ""


def choose(draft: Draft, reading: str, score: float) -> None:
    """Set a reading; the same choice again takes it back."""
    if draft.readings.get(reading) == score:
        del draft.readings[reading]
    else:
        draft.readings[reading] = min(max(score, -2.0), 2.0)


def settings(draft: Draft) -> Settings:
    """The settings as the form says they were sewn."""
    names = draft.proposal.settings.controls()
    sewn = draft.proposal.settings.having({name: st.session_state[f"set.{name}"] for name in names})
    return replace(sewn, foot_pressure=st.session_state.get("set.foot pressure"))


def save(draft: Draft, studio: Studio) -> None:
    """Log the swatch once, and ask what to do next; a second touch finds it saved and does nothing."""
    if draft.saved is not None or draft.passed is None:
        return
    state = st.session_state
    details = {name: state.get(name) for name in ("seam_change", "needle_size", "needle_hours")}
    words = {name: (state.get(name) or "").strip() for name in ("who", "note")}
    try:
        sewn = settings(draft)
        draft.saved = studio.record(
            **draft.seam,
            settings=sewn,
            passed=draft.passed,
            readings=draft.readings,
            flags=() if draft.passed else state.get("flags") or (),  # what a pass no longer shows is not logged with it
            **details,
            **words,
            pending=draft.pending,
            trial_id=draft.trial_id,
        )
        draft.following = studio.propose(**draft.seam)
    except OveredgeError as error:
        draft.trouble = str(error)
        if draft.saved is None:
            catch_up(draft, studio)
    keep_picture(draft, studio)


def catch_up(draft: Draft, studio: Studio) -> None:
    """Take in what the log says of this swatch by now, where it was saved, corrected or withdrawn elsewhere."""
    try:
        history = studio.history(draft.trial_id)
    except OveredgeError:  # it is not there, or the log cannot be read just now
        return
    was_saved = draft.saved is not None
    if is_withdrawn(history):
        _open_again(draft)
        draft.trouble = "It was withdrawn meanwhile. Save it again if it is to count."
        return
    draft.saved = last_state(history)
    draft.passed = draft.saved.passed
    draft.trouble = "" if was_saved else "It was logged already: what was saved first stands, and can be corrected in the swatch book."
    try:
        draft.following = studio.propose(**draft.seam)
    except OveredgeError as error:  # the machine was described anew, as one that cannot sew this
        draft.following, draft.trouble = None, str(error)


def _open_again(draft: Draft) -> None:
    """Let a swatch be rated once more, as another trial: the one that was withdrawn keeps its mark."""
    draft.saved, draft.following, draft.trouble, draft.trial_id = None, None, "", new_id()


def note_needles(draft: Draft, studio: Studio) -> None:
    """Note that the needles of its machine were changed just now."""
    try:
        studio.note_care(draft.proposal.machine, NEEDLE_CHANGED)
    except OveredgeError as error:
        draft.trouble = str(error)


def pass_as_it_stands(draft: Draft, studio: Studio) -> None:
    """Pass and save in one touch; what was just rated as a fail stays one, for the touch came before the button could say so."""
    if draft.passed is False:
        return
    rate(draft, passed=True)
    save(draft, studio)


def take_picture(draft: Draft, studio: Studio, picture: bytes | None) -> None:
    """Take a photo for this swatch, or leave out the one that there was; a file that is none changes nothing else."""
    draft.picture, draft.picture_trouble = None, ""
    if picture is None:
        return
    try:
        draft.picture = photo(picture)
    except OveredgeError as error:
        draft.picture_trouble = str(error)
    keep_picture(draft, studio)


def keep_picture(draft: Draft, studio: Studio) -> None:
    """Keep the photo with the trial, once that is saved."""
    if draft.saved is None or draft.picture is None:
        return
    try:
        studio.add_photo(draft.saved.id, draft.picture)
        draft.picture_trouble = ""
    except OveredgeError as error:
        draft.picture_trouble = str(error)


def take_back(draft: Draft, studio: Studio) -> None:
    """Withdraw the saved trial and open its rating again."""
    if draft.saved is None:
        return
    try:
        studio.withdraw(draft.saved.id, "taken back on the page where it was rated")
        _open_again(draft)
    except OveredgeError as error:
        draft.trouble = str(error)
