"""Describe a cloth, choose a stitch, and start with settings that say how far to trust them."""

import streamlit as st
from parts.card import offer_proposal_card
from parts.card_link import follow_link
from parts.checklist import show_checklist
from parts.cloth import describe_cloth
from parts.drafts import show, take
from parts.drift import warn_of_drift
from parts.machines import add_first_machine, choose_machine
from parts.proposal import say_if_unfit, show_chance, show_lead, show_rules, show_scales, show_trust
from parts.seam_form import choose_stitch, describe_threads, show_stitch
from parts.standing import say_what_stands, standing
from parts.studio import say_if_invented, studio
from parts.thread_path import show_thread_path
from parts.why import show_why
from parts.words import asked

st.title("New fabric", anchor=False)
desk = studio()
say_if_invented(desk)
if not desk.machines:
    add_first_machine(desk)
    st.stop()
follow_link(desk)

top, bottom = st.container(key="split_beside"), st.container(key="split_bottom")
st.page_link("app_pages/machines.py", label="Add or change a machine")  # there even where a machine cannot sew the stitch

with top:
    form, result = st.columns([5, 7], gap="large")
with form:
    machine_name = choose_machine(desk)
    stitch_name = choose_stitch()
    show_stitch(stitch_name)
    fabric = describe_cloth(desk)
    threads = describe_threads()
with result:
    right_now = fabric is not None and threads is not None
    fabric, threads = standing(fabric, threads)
    if fabric is None or threads is None:
        st.info("The settings stand here as soon as the cloth and the threads are described.")
        st.stop()
    needle_thread, looper_thread = threads
    proposal = asked(
        lambda: desk.propose(
            fabric=fabric, stitch=stitch_name, machine=machine_name, needle_thread=needle_thread, looper_thread=looper_thread
        )
    )
    if proposal is None:
        st.stop()
    show(proposal)
    doubted = warn_of_drift(desk, [proposal])
    st.header("Start with these settings", anchor=False)
    if not right_now:
        say_what_stands(fabric)
    say_if_unfit(proposal)
    show_chance(proposal)
    show_trust(proposal, doubted)
    show_scales(proposal, desk.machines[machine_name], doubted)
    show_lead(proposal)
    st.caption("Prepare the machine first, step by step: the list stands below.")
    words, go = "Sew a swatch, then rate it here", {"type": "primary", "width": "stretch", "on_click": take, "args": (proposal,)}
    if st.button(words, disabled=not right_now, **go):
        st.switch_page("app_pages/rate_a_swatch.py")
    offer_proposal_card(desk, proposal)

with bottom:
    prepare, explain = st.columns([5, 7], gap="large")
with prepare:
    st.header("Prepare the machine", anchor=False)
    show_thread_path(stitch_name)
    show_checklist(desk, proposal, proposal.leading)
with explain:
    st.header("Why these numbers", anchor=False)
    show_why(proposal)
    st.header("Rules behind the baseline", anchor=False)
    show_rules(proposal.rules)
