"""A photo of the swatch, from a file, from the tablet's own camera program, or from the camera on the page."""

import streamlit as st

from parts.drafts import Draft, take_picture
from parts.words import plain
from recommender import Studio

KINDS = ("jpg", "jpeg", "png", "webp")
"""Kinds of file that are offered; the studio looks into the picture itself."""
MOST = 40
"""MB of one file; photos are made smaller when they are taken in."""


def ask_photo(draft: Draft, studio: Studio) -> None:
    """Offer to add a photo; before the rating is saved it waits with it, afterwards it is kept at once."""
    with st.expander("Photo of the swatch", expanded=bool(draft.picture or draft.picture_trouble)):
        st.caption("Lay it flat, its edge across the picture, a dark cloth on something light.")
        file, shot = f"photo.file.{draft.mark}", f"photo.shot.{draft.mark}"
        told = "Take a picture or choose a file"
        st.file_uploader(told, KINDS, key=file, max_upload_size=MOST, on_change=_take, args=(draft, studio, file))
        if st.toggle("Use the camera on this page", key="photo.camera", help="The browser asks first, and wants a safe address."):
            st.camera_input("Swatch", key=shot, on_change=_take, args=(draft, studio, shot))
        _say(draft, studio)


def _say(draft: Draft, studio: Studio) -> None:
    """The photo that there is, or what was wrong with it."""
    if draft.picture_trouble:
        kept = "The rating is saved, its photo is not. " if draft.saved is not None else ""
        st.error(plain(f"{kept}{draft.picture_trouble}"))
    if draft.picture is not None:
        waits = draft.saved is None or draft.picture_trouble
        st.image(draft.picture, caption="It is kept when the rating is saved." if waits else "Kept with the swatch.", width=320)
        if waits:
            st.button("Leave the photo out", on_click=take_picture, args=(draft, studio, None))


def _take(draft: Draft, studio: Studio, key: str) -> None:
    """Take what was chosen; what is taken out of the field again is left out."""
    chosen = st.session_state.get(key)
    take_picture(draft, studio, None if chosen is None else chosen.getvalue())
