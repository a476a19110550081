"""What other tablets do to the swatch that is being rated: it is said beside the form, and nothing moves before it is wanted."""

from collections.abc import Collection
from dataclasses import dataclass

import streamlit as st

from parts.drafts import Draft, catch_up, put_away
from parts.follow import EVERY
from parts.studio import studio
from parts.words import plain
from recommender import Studio
from recommender.swatches.trial import Trial
from recommender.trade.machine import Machine
from recommender.trade.words import counted

_SEEN = "meanwhile.seen"


@dataclass(frozen=True, slots=True)
class _Shown:
    """What of the log the page shows."""

    strip: dict[str, Trial]
    """By id the swatches of this cloth, stitch and machine."""
    machine: Machine
    """The machine's profile."""


def say_what_changed(draft: Draft, desk: Studio) -> None:
    """Look at the log now and then; where it has changed what stands on this page, say so and offer to show it."""
    _watch(draft, desk.version, _shown(draft, desk))


@st.fragment(run_every=EVERY)
def _watch(draft: Draft, version: int, before: _Shown) -> None:
    desk = studio()
    now = (draft.trial_id, version, desk.version)
    if st.session_state.get(_SEEN, (None,))[0] != now:  # the same log gives the same sentences
        st.session_state[_SEEN] = (now, *_look(draft, desk, version, before))
    _, gone, twin, changes = st.session_state[_SEEN]
    if not changes and not gone:
        return
    st.info(plain(" ".join([*([_of_list(twin)] if gone else []), *changes])))
    with st.container(horizontal=True, vertical_alignment="center"):
        if changes and st.button("Show it", key="meanwhile.show"):
            catch_up(draft, desk)
            st.rerun()
        if gone and st.button("Put this rating away", key="meanwhile.away"):
            put_away()
            st.rerun()
        if twin is not None:
            st.page_link("app_pages/swatch_book.py", label="See the other", query_params={"trial": twin.id})


def _look(draft: Draft, desk: Studio, version: int, before: _Shown) -> tuple[bool, Trial | None, list[str]]:
    """Whether the planned swatch waits no more, the other swatch that it has become, and what else has changed, a sentence each."""
    off = draft.saved is None and draft.pending is not None and all(one.id != draft.pending for one in desk.pending())
    twin = desk.sewn_as(draft.pending) if off and draft.pending else None
    gone = off and (twin is None or twin.id != draft.trial_id)
    return gone, twin if gone else None, _changes(draft, desk, before, twin) if desk.version != version else []


def _shown(draft: Draft, desk: Studio) -> _Shown:
    proposal = draft.proposal
    strip = desk.trials(fabric=proposal.fabric.name, stitch=proposal.stitch, machine=proposal.machine)
    return _Shown({trial.id: trial for trial in strip}, desk.machines[proposal.machine])


def _of_list(twin: Trial | None) -> str:
    """What became of a planned swatch that waits no more."""
    how = "was taken off the list" if twin is None else f"was rated elsewhere: it {'passes' if twin.passed else 'fails'}"
    return f"This planned swatch {how}. Yours is kept here; save it if you have sewn it too."


def _changes(draft: Draft, desk: Studio, before: _Shown, twin: Trial | None = None) -> list[str]:
    """What differs from what the page shows, a sentence each; the planned swatch's twin is told apart from this."""
    now, mine = _shown(draft, desk), draft.trial_id
    new = now.strip.keys() - before.strip.keys() - {mine, twin and twin.id}
    changed = {trial for trial in before.strip.keys() - {mine} if now.strip.get(trial) != before.strip[trial]}
    said = [f"{counted(len(new), 'swatch')} more of this strip {_were(new)} rated elsewhere."] if new else []
    said += [f"{counted(len(changed), 'swatch')} of this strip {_were(changed)} corrected or withdrawn."] if changed else []
    if now.strip.get(mine) != before.strip.get(mine):
        said.append(f"This swatch was {'corrected or withdrawn' if mine in before.strip else 'saved'} elsewhere.")
    if now.machine != before.machine:
        said.append(f"The profile of {now.machine.name} was changed.")
    if not said and draft.following is not None and desk.propose(**draft.seam).moves != draft.following.moves:
        said.append("With what was rated elsewhere, other moves are proposed.")
    return said


def _were(swatches: Collection[str]) -> str:
    return "was" if len(swatches) == 1 else "were"
