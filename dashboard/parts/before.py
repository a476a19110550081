"""What has to be done to the machine before a swatch is sewn, as the swatch before it left the machine."""

from collections.abc import Sequence

import streamlit as st

from parts.checklist import show_checklist, steps
from parts.drafts import Draft
from parts.svg import escape
from parts.units import chosen
from recommender import Studio
from recommender.advice.planning.day import Stop
from recommender.advice.planning.orders import orders
from recommender.advice.planning.planned import Planned
from recommender.cards.card import FIRST
from recommender.trade.needles import needle_for
from recommender.trade.stitch import stitch
from recommender.trade.words import counted, listed, threaded


def show_before(draft: Draft, studio: Studio) -> None:
    """Needle and threads of the swatch; folded away, for most have seen to it, what to change, or to do where no swatch tells how it is."""
    seam = draft.proposal
    needle, looper = (threaded(thread, chosen()) for thread in (seam.needle_thread, seam.looper_thread))
    threads = f"threads {needle}" if needle == looper else f"needle thread {needle}, looper thread {looper}"
    st.html(f"<div>{needles(seam)}; {escape(threads)}.</div>")
    (stop,) = studio.day([seam])
    with st.container():  # it stands empty where there is nothing to do, so that what is typed below it keeps its place
        if not any(trial.machine == seam.machine for trial in studio.trials()):
            with st.expander("Before you sew: prepare the machine", key="before"):
                show_checklist(studio, seam, draft.asked or seam.leading)
        elif todo := orders(seam, stop, studio.machines[seam.machine], chosen()):
            with st.expander(f"Before you sew: {work([stop])} to change", key="before"):
                st.caption(f"{FIRST} This is for a machine that stands as your last rated swatch left it.")
                st.html(steps(todo))


def needles(seam: Planned) -> str:
    """Which needles to sew a seam with, as HTML."""
    which = "Needle" if len(stitch(seam.stitch).needles) == 1 else "Needles"
    return f"{which}: <strong>{escape(needle_for(seam.fabric, seam.needle_thread).packet)}</strong>"


def work(stops: Sequence[Stop]) -> str:
    """How much is to be changed, in words."""
    threads = sum(len(stop.change.thread) for stop in stops)
    changed = sum(len({*stop.needles, *stop.change.put_in, *stop.change.emptied}) for stop in stops)
    parts = sum(len(stop.change.parts) for stop in stops)
    counts = ((threads, "thread"), (changed, "needle"), (parts, "part"))
    return listed([counted(count, thing) for count, thing in counts if count]) or "nothing"
