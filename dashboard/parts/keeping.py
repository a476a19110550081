"""What a tablet keeps over a reload: its units for a year, and what was typed or ticked.

A reload begins a new session of Streamlit with nothing in it. The browser then brings back two cookies of this address: a random word
under which the server has kept the inputs, in its memory and in a file that outlives it, and the preferences. Tabs of one browser share
them: a reload brings back what stood in the one that was touched last. The draft of a swatch is one and the same object in all of them,
so that it is logged once.
"""

import re
import secrets
from collections import OrderedDict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from typing import Any
from urllib.parse import quote, unquote

import streamlit as st

from parts.shelf import put, shelf, taken
from parts.studio import studio
from recommender.errors import OveredgeError

PREFERENCES = ("units", "thread_unit")
"""Keys whose values the browser keeps itself."""
INPUTS = (
    *("machine", "stitch", "machine.name", "plan", "shown", "log.upload", "log.take"),
    *("draft", "flags", "note", "who", "seam_change", "needle_size", "needle_hours"),
)
"""Keys of what is kept in the server's memory."""
GROUPS = ("cloth.", "needle.", "looper.", "set.", "step.", "plan.", "book.", "deed.", "mend.", "new.", "changed.", "care.", "effect.")
"""Beginnings of more such keys; no button may have one, for what a button says cannot be given back."""
MOST = 200
"""Tablets whose inputs are kept; those that were away longest go first."""

_WORD = re.compile(r"[A-Za-z0-9_-]{22}")
_COOKIE = "overedge_"


@contextmanager
def kept() -> Iterator[None]:
    """Bring back what a reload would lose, run the page, and keep what stands then, however the run ends."""
    if "tablet" not in st.session_state:
        word = _brought("tablet")
        st.session_state["tablet"] = word if _WORD.fullmatch(word) else secrets.token_urlsafe(16)
        st.session_state.update(_kept_of(st.session_state["tablet"]))
    keep()  # what was just typed: of a page that stops half-way, Streamlit lets nothing be read any more
    try:
        yield
    finally:
        keep()


def remembered(name: str, choices: Sequence[str]) -> str | None:
    """A preference that this browser brought along, if it is one of the choices."""
    value = unquote(_brought(name))
    return value if value in choices else None


def tell_browser() -> None:
    """Hand the browser its cookies; only this address ever gets them back."""
    state = st.session_state
    cookies = {"tablet": state["tablet"]} | {name: quote(state[name]) for name in PREFERENCES if name in state}
    lines = (f"document.cookie = '{_COOKIE}{name}={value}; max-age=31536000; path=/; SameSite=Strict';" for name, value in cookies.items())
    with st.container(key="unseen"):  # else its place is held free while the page is drawn
        st.html(f"<script>{''.join(lines)}</script>", unsafe_allow_javascript=True)


def _brought(name: str) -> str:
    """A cookie that the browser brought along, empty where it has none."""
    return str(st.context.cookies.get(f"{_COOKIE}{name}", ""))  # the test driver of Streamlit puts an object there


def _kept_of(tablet: str) -> dict[str, Any]:
    """What stands in the server's memory; where that was started since, what the file of the tablet says."""
    if (there := _memory().get(tablet)) is not None:
        return there
    try:
        desk = studio()
    except OveredgeError:  # the page will say it
        return {}
    return taken(shelf(desk, tablet), desk)


def keep() -> None:
    """Keep what stands now; a piece of a page that runs alone, and changes a draft, has to say so."""
    inputs: dict[str, Any] = {str(key): value for key, value in st.session_state.items() if key in INPUTS or str(key).startswith(GROUPS)}
    memory = _memory()
    if memory.get(st.session_state["tablet"]) != inputs or "draft" in inputs:  # a draft is changed in place
        with suppress(OveredgeError):
            put(shelf(studio(), st.session_state["tablet"]), inputs)
    memory[st.session_state["tablet"]] = inputs
    memory.move_to_end(st.session_state["tablet"])
    while len(memory) > MOST:
        memory.popitem(last=False)


@st.cache_resource
def _memory() -> OrderedDict[str, dict[str, Any]]:
    return OrderedDict()
