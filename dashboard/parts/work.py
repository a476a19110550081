"""Work that takes seconds: it goes on in the background, shows how far it is, and may be left and found again."""

from collections.abc import Callable
from dataclasses import dataclass
from threading import Thread
from typing import Any

import streamlit as st

from parts.unexpected import sentence

Progress = Callable[[str, float], None]


@dataclass(slots=True)
class Work:
    """One piece of work; its own thread changes it in place."""

    doing: str
    """What is being done."""
    share: float = 0.0
    """Which part of it is done."""
    done: bool = False
    """Whether it has ended, well or not."""
    result: Any = None
    """What came of it."""
    trouble: str = ""
    """Why nothing came of it."""

    def tell(self, doing: str, share: float) -> None:
        """Take in how far it is."""
        self.doing, self.share = doing, min(max(share, 0.0), 1.0)


def begin(name: str, doing: str, task: Callable[[Progress], Any]) -> None:
    """Start a piece of work; another one of the same name is forgotten, but not stopped."""
    work = Work(doing)
    st.session_state[name] = work
    Thread(target=_run, args=(work, task), name=name, daemon=True).start()


def found(name: str) -> Work | None:
    """The work of that name, once it has ended; while it goes on, its progress is shown, and nothing comes back."""
    work: Work | None = st.session_state.get(name)
    if work is None or work.done:
        return work
    with st.container():  # two fragments of one function need containers of their own to be told apart
        _follow(name)
    return None


def is_under_way(name: str) -> bool:
    """Whether the work of that name goes on."""
    work = st.session_state.get(name)
    return work is not None and not work.done


def forget(name: str) -> None:
    """Take the work of that name, and what came of it, off the page."""
    st.session_state.pop(name, None)


@st.fragment(run_every=0.8)
def _follow(name: str) -> None:
    work: Work | None = st.session_state.get(name)
    if work is None or work.done:
        st.rerun()
    st.progress(work.share, f"{work.doing}. You may go to another page; it goes on.")


def _run(work: Work, task: Callable[[Progress], Any]) -> None:
    try:
        work.result = task(work.tell)
    except Exception as error:  # noqa: BLE001  # nobody else would ever hear of it: the page would wait for good
        work.trouble = sentence(error)
    finally:
        work.done = True
