"""A cloth that was corrected as a whole, in what this tablet still holds of it: else its next swatch would be of another cloth."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any, TypeVar

import streamlit as st

from parts.cloth import mend_form
from parts.drafts import catch_up, current, on_new_fabric, show
from recommender import Fabric, Studio
from recommender.advice.model import same_cloth
from recommender.advice.planning.planned import PlannedSwatch
from recommender.advice.proposal import Proposal
from recommender.swatches.trace import CLOTH, with_cloth
from recommender.swatches.trial import Trial
from recommender.trade.words import counted, listed

_One = TypeVar("_One", Proposal, PlannedSwatch)


def held_of(studio: Studio, trial: Trial) -> list[str]:
    """What there is of a swatch's cloth that would be corrected with it, in words; nothing where there is this swatch alone."""
    others, draft = len(studio.same_cloth(trial.id)), current()
    waiting = sum(same_cloth(one.fabric, trial.fabric) for one in studio.pending())
    rated = draft is not None and draft.saved is None and same_cloth(draft.proposal.fabric, trial.fabric)
    if not (others or waiting or rated):
        return []
    sewn = f"all {others + 1} swatches" if others else "this swatch"
    return [sewn, *([counted(waiting, "planned swatch")] if waiting else []), *(["the one being rated"] if rated else [])]


def mending(studio: Studio) -> Callable[[Fabric, Mapping[str, Any]], list[str]]:
    """A way to correct New fabric, the swatch that is being rated, what waits behind it and the plan; settings and readings stay.

    It takes the cloth before it was corrected and the columns that were corrected, of which those that describe the cloth are looked at,
    and gives the names of what was another before. Draft and plan are fetched now: Streamlit may end a run at any touch of its state.
    """
    draft, plan, shown = current(), st.session_state.get("plan"), on_new_fabric()

    def mend(was: Fabric, values: Mapping[str, Any]) -> list[str]:
        told = {column: value for column, value in values.items() if column in CLOTH}

        def now(fabric: Fabric) -> Fabric:
            return with_cloth(fabric, told) if told and same_cloth(fabric, was) else fabric

        def mended(one: _One) -> _One:
            return replace(one, fabric=now(one.fabric))

        places = []
        if draft is not None and now(draft.proposal.fabric) != draft.proposal.fabric:
            places.append("the swatch being rated")
            draft.proposal, draft.pending = mended(draft.proposal), _known(studio, draft.pending)
        if draft is not None and draft.after is not None and now(draft.after[0].fabric) != draft.after[0].fabric:
            places.append("the one that waits behind it")
            draft.after = (mended(draft.after[0]), draft.after[1], _known(studio, draft.after[2]))
        if plan is not None and (swatches := tuple(map(mended, plan.swatches))) != plan.swatches:
            places.append("the plan")
            plan.swatches = swatches
        if draft is not None and draft.saved is not None and "the swatch being rated" in places:
            catch_up(draft, studio)  # it was corrected with the others, and the next is proposed for the cloth as it is
        if mend_form(now):
            places.append("New fabric")
        if shown is not None:
            show(mended(shown))
        return places

    return mend


def also(places: Sequence[str]) -> str:
    """What was corrected besides, as a sentence after another; nothing where nothing was."""
    return f" It is corrected for {listed(places)} too." if places else ""


def _known(studio: Studio, pending: str | None) -> str | None:
    """The id of a planned swatch that was corrected with the others; None of one that is no longer on the list, which was not."""
    if pending is None or any(one.id == pending for one in studio.pending()) or studio.sewn_as(pending) is not None:
        return pending
    return None
