"""The list of planned swatches, in an order that spares work at the machine; each can be rated straight from it."""

import streamlit as st

from parts.before import needles, work
from parts.checklist import steps
from parts.drafts import sew
from parts.off_list import Off, show_off, take_off, taken_off
from parts.setting import setting
from parts.svg import escape
from parts.units import chosen, system
from recommender import Studio
from recommender.advice.planning.day import Stop, set_up
from recommender.advice.planning.orders import UNPLUGGED, orders
from recommender.cards.card import FIRST, UNPLUG
from recommender.swatches.pending import Pending
from recommender.trade.consumption import thread_ratio
from recommender.trade.stitch import stitch
from recommender.trade.words import counted, day

_STILL = "Turn what moves the knife or the feed only while the machine stands still."


def show_list(studio: Studio) -> None:
    """What waits to be sewn, and in its place what was just taken off; nothing where there is neither."""
    waiting, off = studio.pending(), taken_off()
    if not waiting and not off:
        return
    st.header(f"To sew: {counted(len(waiting), 'swatch') if waiting else 'nothing'}", anchor=False)
    stops = studio.day(waiting)
    if stops:
        st.caption(
            f"In an order that spares work: {work(stops)} to change in all, if each machine stands as your last rated swatch left it."
        )
        st.html(f"<div class='caution' role='note'><b>Caution:</b> {UNPLUG} {_STILL} {FIRST}</div>")
    rows: list[Stop | Off] = [*stops]
    for gone in off:
        rows.insert(gone.place, gone)
    number, before = 0, None
    for place, row in enumerate(rows):
        if isinstance(row, Off):
            with st.container(border=True, key=f"off_{place if row.shown else 'new'}"):
                show_off(studio, row, waits=any(one.id == row.one.id for one in waiting))
            continue
        one, number = waiting[row.place], number + 1
        begins, before = set_up(one) != before, set_up(one)
        if begins:
            _show_set_up(studio, one, row)
        with st.container(border=True, key=f"waits_{number}"):
            _show_one(studio, number, one, row, told=begins)
            _show_ways(studio, one, place)


def _show_set_up(studio: Studio, one: Pending, stop: Stop) -> None:
    """What the machine has to be made into, each order with its caution."""
    st.html(f"<h3 class='setup'>{escape(one.stitch)} on {escape(one.machine)}</h3>")
    if (ratio := thread_ratio(stitch(one.stitch), one.settings, one.fabric)) is not None:
        st.html(f"<div class='quiet'>{_thread_needed(ratio)}</div>")
    todo = orders(one, stop, studio.machines[one.machine], chosen())
    stays = "" if UNPLUGGED in todo else "<div>Needles, threads and parts stay as they are.</div>"
    st.html(f"{stays}{steps(todo) if todo else ''}")


def _thread_needed(ratio: float) -> str:
    """How much thread a length of the seam takes; the ratio is the same in metres and in yards."""
    whole, short = ("metre", "m") if system() == "metric" else ("yard", "yd")
    return f"A {whole} of this seam takes about {ratio:.0f} {short} of thread, all threads together."


def _show_one(studio: Studio, number: int, one: Pending, stop: Stop, *, told: bool) -> None:
    """One swatch; `told` where what is to be changed before it stands above."""
    moved = dict.fromkeys(stop.fresh) | {move.control: move.start for move in stop.moves}
    name = f"<b>{number}. {escape(one.fabric.name)}</b> <span class='quiet'>planned {day(one.when)}</span>"  # its seam stands above
    todo = () if told else orders(one, stop, studio.machines[one.machine], chosen())
    st.html(f"<div class='lead'>{name}</div><div>{needles(one)}</div>{steps(todo) if todo else ''}{setting(one.settings, moved, 'from')}")
    if one.reason:
        st.html(f"<div class='quiet'>{escape(one.reason)}</div>")


def _show_ways(studio: Studio, one: Pending, place: int) -> None:
    """What can be done with a swatch that stands at a place of the page."""
    with st.container(horizontal=True):
        if st.button("Sewn: rate it", type="primary", key=f"rate.{one.id}"):
            sew(studio, one, one.id)
        st.button("Take it off the list", key=f"drop.{one.id}", on_click=take_off, args=(studio, one, place))
