"""What a tablet keeps over a reload: its units for a year, and what was typed or ticked.

A reload begins a new session of Streamlit with nothing in it. The browser then brings back two cookies of this address: a random word
under which the server has kept the inputs, in its memory and in a file that outlives it, and the preferences. Tabs of one browser share
them: a reload brings back of each form what stood in the tab that changed it last, and a tab in which nobody typed changes nothing. The
draft of a swatch is one and the same object in all of them, so that it is logged once.
"""

import re
import secrets
from collections import OrderedDict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import quote, unquote

import streamlit as st

from parts.shelf import put, shelf, taken
from parts.studio import studio
from recommender.errors import OveredgeError

PREFERENCES = ("units", "thread_unit")
"""Keys whose values the browser keeps itself."""
INPUTS = (
    *("machine", "stitch", "machine.name", "plan", "shown", "log.upload", "log.matched", "log.take"),
    *("draft", "flags", "note", "who", "seam_change", "needle_size", "needle_hours"),
)
"""Keys of what is kept in the server's memory."""
GROUPS = ("cloth.", "needle.", "looper.", "set.", "step.", "plan.", "book.", "deed.", "mend.", "new.", "changed.", "care.", "effect.")
"""Beginnings of more such keys; no button may have one, for what a button says cannot be given back."""
MOST = 200
"""Tablets whose inputs are kept; those that were away longest go first."""

_OF_DRAFT = ("draft", "flags", "note", "seam_change", "needle_size", "needle_hours")
"""Keys that belong to the draft, as those that begin with `set.` do."""
_KEPT_LAST = "kept"
"""Under which key a session remembers what it last kept, to tell what it has changed since."""
_WORD = re.compile(r"[A-Za-z0-9_-]{22}")
_COOKIE = "overedge_"


@contextmanager
def kept() -> Iterator[None]:
    """Bring back what a reload would lose, run the page, and keep what stands then, however the run ends."""
    if "tablet" not in st.session_state:
        word = _brought("tablet")
        st.session_state["tablet"] = word if _WORD.fullmatch(word) else secrets.token_urlsafe(16)
        brought = dict(_kept_of(st.session_state["tablet"]).inputs)
        st.session_state.update({**brought, _KEPT_LAST: brought})
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


@dataclass(slots=True)
class _Tablet:
    """What is kept for one tablet."""

    inputs: dict[str, Any] = field(default_factory=dict)
    """What a reload brings back."""
    written: str = ""
    """What its file says, as far as this server has written it."""


def _kept_of(tablet: str) -> _Tablet:
    """What stands in the server's memory; where that was started since, what the file of the tablet says."""
    memory = _memory()
    if tablet not in memory:
        try:
            desk = studio()
        except OveredgeError:  # the page will say it
            return _Tablet()
        memory.setdefault(tablet, _Tablet(taken(shelf(desk, tablet), desk)))  # two tabs that ask at once get one and the same draft
    memory.move_to_end(tablet)
    while len(memory) > MOST:
        memory.popitem(last=False)
    return memory[tablet]


def keep() -> None:
    """Keep what this session has changed; a piece of a page that runs alone, and changes a draft, has to say so."""
    state = st.session_state
    now: dict[str, Any] = {str(key): value for key, value in state.items() if key in INPUTS or str(key).startswith(GROUPS)}
    last, there = state[_KEPT_LAST], _kept_of(state["tablet"])
    changed = {_form(key) for key in now.keys() | last.keys() if key not in now or key not in last or now[key] != last[key]}
    if changed:  # a form is kept whole, so that no two tabs mix in it
        others = {key: value for key, value in there.inputs.items() if _form(key) not in changed}
        there.inputs = others | {key: value for key, value in now.items() if _form(key) in changed}
    with suppress(OveredgeError):  # also where nothing else is changed: a draft is changed in place
        there.written = put(shelf(studio(), state["tablet"]), there.inputs, there.written)
    state[_KEPT_LAST] = now


def _form(key: str) -> str:
    """What an input belongs to: the draft, or the beginning of its key."""
    return "draft" if key in _OF_DRAFT or key.startswith("set.") else key.partition(".")[0]


@st.cache_resource
def _memory() -> OrderedDict[str, _Tablet]:
    return OrderedDict()
