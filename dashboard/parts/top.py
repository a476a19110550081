"""Back to the top of the page, where what was just done is told."""

from hashlib import sha256

import streamlit as st

_CLOSE = (
    "if (innerWidth <= 768 && window.wasAt && window.wasAt !== location.href) "
    "document.querySelector('[data-testid=stSidebar][data-collapsed=false] [data-testid=stSidebarCollapseButton] button')?.click(); "
    "window.wasAt = location.href;"
)
"""On a narrow screen the list of pages lies over the page, and Streamlit leaves it there when one is chosen."""


def begin_at_top(*state: object) -> None:
    """Scroll up once for each new state: the browser runs a script again only where it differs from the one before."""
    mark = sha256(repr(state).encode()).hexdigest()[:12]
    script = f"<script>/* {mark} */ document.querySelector('[data-testid=stMain]')?.scrollTo(0, 0); {_CLOSE}</script>"
    with st.container(key=f"unseen_{mark}"):
        st.html(script, unsafe_allow_javascript=True)
