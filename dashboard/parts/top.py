"""Back to the top of the page, where what was just done is told."""

from hashlib import sha256

import streamlit as st


def begin_at_top(*state: object) -> None:
    """Scroll up once for each new state: the browser runs a script again only where it differs from the one before."""
    mark = sha256(repr(state).encode()).hexdigest()[:12]
    script = f"<script>/* {mark} */ document.querySelector('[data-testid=stMain]')?.scrollTo(0, 0)</script>"
    with st.container(key=f"unseen_{mark}"):
        st.html(script, unsafe_allow_javascript=True)
