"""A cloth that was corrected as a whole, in what this tablet still holds of it: else its next swatch would be of another cloth."""

from collections.abc import Mapping
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

_One = TypeVar("_One", Proposal, PlannedSwatch)


def mend_everywhere(studio: Studio, was: Fabric, values: Mapping[str, Any]) -> None:
    """Correct New fabric, the swatch that is being rated, what waits behind it and the plan; settings and readings stay.

    Parameters
    ----------
    was : the cloth before it was corrected
    values : the columns that were corrected; only those that describe the cloth are looked at
    """
    told = {column: value for column, value in values.items() if column in CLOTH}
    if not told:
        return

    def now(fabric: Fabric) -> Fabric:
        return with_cloth(fabric, told) if same_cloth(fabric, was) else fabric

    def mended(one: _One) -> _One:
        return replace(one, fabric=now(one.fabric))

    mend_form(now)
    if (shown := on_new_fabric()) is not None:
        show(mended(shown))
    if (plan := st.session_state.get("plan")) is not None:
        plan.swatches = tuple(map(mended, plan.swatches))
    if (draft := current()) is None:
        return
    if draft.after is not None:
        draft.after = (mended(draft.after[0]), *draft.after[1:])
    if same_cloth(draft.proposal.fabric, was):
        draft.proposal = mended(draft.proposal)
        if draft.saved is not None:
            catch_up(draft, studio)  # it was corrected with the others, and the next is proposed for the cloth as it is
