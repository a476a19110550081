"""The way about the swatch book: what is open stands in the address, so that reload, the back button and a card's code lead there."""

import streamlit as st

from recommender import Studio
from recommender.advice.book import Entry, book


def open_with(label: str, key: str, **what: str) -> None:
    """A button that opens `fabric=` a cloth or `trial=` a swatch; without either the whole list."""
    st.button(label, key=key, on_click=_open, args=(what,))


def _open(what: dict[str, str]) -> None:
    st.query_params.from_dict(what)


_AGAIN = (
    "<script>window.bookIsWatched ??= [document.addEventListener('click', event => {"
    " const link = event.target.closest?.('[data-testid=stTopNavLink], [data-testid=stSidebarNavLink]');"
    " const way = document.querySelector('.st-key-open-book button');"
    " if (!way || link?.pathname !== location.pathname || event.ctrlKey || event.metaKey || event.shiftKey) return;"
    " event.preventDefault(); event.stopPropagation(); way.click(); }, true)];</script>"
)
"""The page's own link in the navigation leads to the list too: Streamlit takes it for the page as it stands, with what is open there."""


def open_list() -> None:
    """The button that leads back to the whole list."""
    open_with("‹ Swatch book", "open.book")
    with st.container(key="unseen_way"):
        st.html(_AGAIN, unsafe_allow_javascript=True)


def book_now(studio: Studio) -> tuple[Entry, ...]:
    """The book as the log is now."""
    return _book(studio.where, studio.version, studio)


@st.cache_resource(max_entries=3, show_spinner=False)
def _book(where: str, version: int, _studio: Studio) -> tuple[Entry, ...]:  # noqa: ARG001  # the first two tell one book from another
    return book(_studio.trials())
