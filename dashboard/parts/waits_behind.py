"""What was to be rated while another swatch was half rated: it waits, so that nothing that was typed is lost."""

import streamlit as st

from parts.drafts import Draft, take_after
from parts.words import plain


def say_what_waits(draft: Draft) -> None:
    """Before the swatch is saved say why it is the one that is shown, afterwards lead on to what waits."""
    if draft.after is None:
        return
    name = plain(draft.after[0].fabric.name)
    if draft.saved is None:
        st.info(f"This swatch is half rated and not saved. Save it first, or put it away; then {name} is rated.")
        words = f"Put this one away unsaved, rate {name}"
    else:
        words = f"Now rate {name}"
    st.button(words, width="stretch", key="take_after", on_click=take_after, args=(draft,))
