"""A photo for a swatch that is in the log already."""

import streamlit as st

from parts.photo import KINDS, MOST
from recommender import Studio
from recommender.errors import OveredgeError
from recommender.swatches.trial import Trial


def add_photo(studio: Studio, trial: Trial) -> None:
    """Offer to add one; the last one is shown, earlier ones stay in the log."""
    st.caption("Lay the swatch flat, its edge across the picture. A new photo is shown instead of the one before.")
    key = f"photo.added.{trial.id}"
    st.file_uploader("Take a picture or choose a file", KINDS, key=key, max_upload_size=MOST, on_change=_add, args=(studio, trial, key))


def _add(studio: Studio, trial: Trial, key: str) -> None:
    chosen = st.session_state.get(key)
    if chosen is None:
        return
    try:
        studio.add_photo(trial.id, chosen.getvalue())
    except OveredgeError as error:
        st.session_state[f"done.{trial.id}"] = (False, str(error))
    else:
        st.session_state[f"done.{trial.id}"] = (True, "The photo is kept with the swatch.")
