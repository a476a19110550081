"""The plan: asking which swatches are worth a piece of cloth, and putting them on the list."""

from dataclasses import dataclass, field
from math import inf
from typing import Any

import streamlit as st

from parts.drafts import on_new_fabric
from parts.off_list import forget, renaming
from parts.setting import setting
from parts.svg import escape
from parts.words import asked, plain, so_many
from recommender import Studio
from recommender.advice.planning.planned import Planned, PlannedSwatch, narrowing
from recommender.errors import OveredgeError
from recommender.trade.asked import asking
from recommender.trade.words import chance, counted

_KEPT: dict[str, Any] = {"persist_state": "session"}
ONE, HOUR = "one seam", "a free hour"
AIMS: dict[str, float | None] = {"to pass soon": 0.0, "both": None, "to learn most": inf}
"""What a plan for one seam is for, as points of pass chance that one percent of band width is worth."""
ANY = "any machine"
MOST = 12


@dataclass(slots=True)
class Plan:
    """A plan as it was made, and what of it went on the list."""

    swatches: tuple[PlannedSwatch, ...]
    """In the order in which they are worth sewing."""
    what_for: str
    """Which cloths the bands are of, in words."""
    listed: dict[int, str] = field(default_factory=dict)
    """By place in the plan: id on the list."""


def ask_plan(studio: Studio) -> None:
    """The form; its button makes the plan."""
    st.header("What is worth a piece of cloth?", anchor=False)
    st.caption(
        "The planner picks settings for swatches that are likely to pass, or that tell the most about what is not known yet. It counts "
        "what is on the list as sewn already."
    )
    kind = st.segmented_control("Plan for", (ONE, HOUR), default=ONE, required=True, key="plan.kind", **_KEPT)
    with st.container(key="split_plan"):
        left, right = st.columns([7, 5], gap="large")
    seams = _seams(studio)
    with left:
        wanted = _one_seam(seams) if kind == ONE else _free_hour(studio)
    with right:
        number = st.number_input("How many swatches", 1, MOST, 3, key="plan.number", **_KEPT)
    if kind == ONE and not seams:
        st.info("No seam is known yet. Describe the cloth on New fabric and come back: its seam stands here then, and all that you log.")
        st.page_link("app_pages/new_fabric.py", label="To New fabric")
    elif st.button("Make the plan", type="primary", key="make_plan"):
        with st.spinner("Weighing swatches against each other"):
            st.session_state["plan"] = asked(lambda: _made(studio, number, wanted, kind))


def _made(studio: Studio, number: int, wanted: dict[str, Any], kind: str) -> Plan:
    swatches = studio.next(number, **wanted)
    return Plan(swatches, "of this cloth" if kind == ONE else "of the cloths at hand, on average")


def _seams(studio: Studio) -> dict[str, Planned]:
    """The seam on New fabric, then those of the log, the last sewn first, by what the list calls them."""
    seams: dict[str, Planned] = {}
    if (here := on_new_fabric()) is not None and here.machine in studio.machines:
        seams[f"{_named(here)} (on New fabric)"] = here
    for trial in reversed(studio.trials()):
        seams.setdefault(_named(trial), trial)
    return seams


def _named(seam: Planned) -> str:
    return f"{seam.fabric.name}, {seam.stitch} on {seam.machine}"


def _one_seam(seams: dict[str, Planned]) -> dict[str, Any]:
    if not seams:
        return {}
    if st.session_state.get("plan.seam") not in seams:
        st.session_state["plan.seam"] = next(iter(seams))
    help_ = "The last sewn first. For another cloth or stitch, describe it on New fabric; it stands on top here then."
    seam = seams[st.selectbox("Seam", list(seams), key="plan.seam", help=help_, **_KEPT)]
    aim = st.segmented_control("The swatches are", list(AIMS), default="both", required=True, key="plan.aim", **_KEPT)
    return {**asking(seam), "learning": AIMS[aim]}


def _free_hour(studio: Studio) -> dict[str, Any]:
    fabrics = studio.fabrics()
    there = [name for name in st.session_state.get("plan.stash", ()) if name in fabrics]
    st.session_state["plan.stash"] = there
    names = st.multiselect("Cloths at hand", list(fabrics), key="plan.stash", placeholder="all of the log", **_KEPT)
    machines = [ANY, *studio.machines]
    if st.session_state.get("plan.machine") not in machines:
        st.session_state["plan.machine"] = ANY
    machine = st.selectbox("Machine", machines, key="plan.machine", **_KEPT)
    st.caption("Each cloth is planned with the stitches and the threads that it was last sewn with.")
    return {"fabrics": [fabrics[name] for name in names] or None, "machine": None if machine == ANY else machine}


def show_plan(studio: Studio) -> None:
    """The planned swatches, what each is good for, and the way onto the list."""
    plan: Plan | None = st.session_state.get("plan")
    if plan is None:
        return
    st.header("The plan", anchor=False)
    known = {one.id for one in studio.pending()}
    left = [place for place in range(len(plan.swatches)) if place not in plan.listed]
    n = len(plan.swatches)
    together = f"{counted(n, 'swatch')}, once read, {'narrows' if n == 1 else 'narrow'} the 80 % bands {plan.what_for}"
    st.html(f"<div class='lead'>{together} by <strong>{100 * narrowing(plan.swatches):.1f} %</strong>.</div>")
    for place, swatch in enumerate(plan.swatches):
        with st.container(border=True, key=f"planned_{place}"):
            st.html(_card(place, swatch))
            if place in left:
                st.button("Put it on the list", key=f"put_{place}", on_click=_put, args=(studio, plan, [place]))
            elif plan.listed[place] in known:
                st.caption("On the list.")
            elif studio.sewn_as(plan.listed[place]) is not None:
                st.caption("Sewn.")
            else:
                st.caption("Taken off the list.")
                st.button(
                    "Put it on the list again", key=f"again_{place}", on_click=_put_again, args=(studio, plan, place, plan.listed[place])
                )
    if len(left) > 1:
        st.button(f"Put all {len(left)} on the list", type="primary", key="put_all", on_click=_put, args=(studio, plan, left))
    if trouble := st.session_state.pop("planning_trouble", ""):
        st.error(plain(trouble))


def planned(studio: Studio) -> tuple[Planned, ...]:
    """What waits or is planned, on the machines that there are."""
    plan: Plan | None = st.session_state.get("plan")
    swatches: tuple[Planned, ...] = (*studio.pending(), *(plan.swatches if plan else ()))
    return tuple(one for one in swatches if one.machine in studio.machines)


def _card(place: int, swatch: PlannedSwatch) -> str:
    changed = {move.control: move.start for move in swatch.moves}
    if swatch.chance_known:
        passes = f"Sewn so, {chance(swatch.pass_chance)} of swatches pass ({so_many(swatch.pass_chance)})."
    else:
        passes = f"Too few ratings to say how often it passes ({swatch.ratings} so far)."
    moved = "Marked: where it differs from what is proposed." if changed else "Set as proposed."
    return (
        f"<div class='lead'><b>{place + 1}. {escape(_named(swatch))}</b></div>{setting(swatch.settings, changed, 'proposed')}"
        f"<div>{escape(swatch.reason)} {passes} <span class='quiet'>{moved}</span></div>"
    )


def _put(studio: Studio, plan: Plan, places: list[int]) -> None:
    """Put swatches of the plan on the list, each once."""
    try:
        for place in places:
            if place not in plan.listed:
                one = plan.swatches[place]
                plan.listed[place] = studio.set_aside(**asking(one), settings=one.settings, reason=one.reason).id
    except OveredgeError as error:
        st.session_state["planning_trouble"] = str(error)


def _put_again(studio: Studio, plan: Plan, place: int, gone: str) -> None:
    """Put a swatch that was taken off, with the id that it had, on the list again, once."""
    carry = renaming(gone)
    if plan.listed.get(place) != gone:
        return
    del plan.listed[place]
    _put(studio, plan, [place])
    if (again := plan.listed.setdefault(place, gone)) != gone:
        carry(again)
        forget(gone)
