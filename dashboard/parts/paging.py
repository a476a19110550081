"""A long list, a page at a time."""

from collections.abc import Sequence
from typing import TypeVar

import streamlit as st

T = TypeVar("T")


def shown_page(things: Sequence[T], key: str, size: int) -> Sequence[T]:
    """The things of the chosen page, under the numbers to choose another by; a list of another length begins with its first page."""
    pages = -(-len(things) // size)
    page = st.pagination(pages, key=f"{key}.{pages}", max_visible_pages=5, persist_state="session") if pages > 1 else 1
    return things[(page - 1) * size : page * size]
