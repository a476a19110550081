"""Choosing a machine, adding one, and describing one anew."""

from secrets import token_hex

import streamlit as st

from parts.dials import drawn_profile, stitches_of
from parts.profile_form import ask_profile, fill, is_touched
from parts.svg import escape
from parts.top import begin_at_top
from parts.words import asked, plain
from recommender import Machine, Studio
from recommender.advice.watching.profile import consequences
from recommender.errors import InvalidValue, OveredgeError
from recommender.swatches.profile import profile_text, profiled
from recommender.trade.rules import rules_of

_LONGEST = int(rules_of(Machine)["name"].high)
_ORDINARY = "the ordinary profile"
_DONE = "machines.done"


def choose_machine(studio: Studio) -> str:
    """The name of the chosen machine; there has to be one."""
    names = list(studio.machines)
    if st.session_state.setdefault("machine", names[0]) not in names:
        st.session_state["machine"] = names[0]
    name: str = st.selectbox("Machine", names, key="machine", persist_state="session")
    return name


def follow_machine(studio: Studio) -> None:
    """Choose the machine of `?machine=`, once."""
    if (name := st.query_params.pop("machine", "")) in studio.machines:
        st.session_state["machine"] = name


def add_first_machine(studio: Studio) -> None:
    """What a machine is for, and the offer to add one."""
    with st.container(border=True):
        st.header("First, your machine", anchor=False)
        st.write(
            "Dial numbers mean something on one machine only, so every swatch is kept with its machine. Give yours a name and start "
            "with the ordinary profile: tension dials 0 to 9 with the home mark at 4, differential 0.7 to 2.0, stitch length 1 to 5 mm, "
            "cutting width 4 to 7 mm."
        )
        st.session_state.setdefault("machine.name", "my machine")
        name = st.text_input("What do you call it?", max_chars=_LONGEST, key="machine.name", persist_state="session")
        if st.button("Add this machine", type="primary"):
            try:
                studio.add_machine(Machine.generic(name.strip()), new=True)
            except OveredgeError as error:
                st.error(plain(error))
            else:
                st.rerun()
        st.page_link("app_pages/machines.py", label="Other dials or parts? Describe them on Machines")


def say_what_was_done() -> None:
    """What the last touch did, shown once; called before the machine is chosen, so that a new one can be chosen at once."""
    if not (done := st.session_state.pop(_DONE, None)):
        return
    begin_at_top(token_hex(4))
    said, added = done
    if added:
        st.session_state.update({"machine": added, "new.name": ""})
    st.info(plain(said))


def add_machine(studio: Studio) -> None:
    """The form for one more machine, with the profile that it makes beside it."""
    starts = {_ORDINARY: Machine.generic("ordinary")} | {f"as {name}": machine for name, machine in studio.machines.items()}
    if "new.threads" not in st.session_state:
        fill("new", starts[_ORDINARY])
    with st.container(key="split_new"):
        left, right = st.columns([6, 6], gap="large")
    with left:
        name = st.text_input("What do you call the machine?", max_chars=_LONGEST, key="new.name", persist_state="session").strip()
        if len(starts) > 1:
            st.selectbox("Start from", list(starts), key="new.start", on_change=_start, args=(starts,), persist_state="session")
        made = ask_profile("new", name or "your machine")
    with right:
        _show(made)
    if st.button("Add the machine", type="primary", disabled=made is None) and made is not None:
        asked(lambda: _add(studio, made, name))


def change_machine(studio: Studio, name: str) -> None:
    """The form that describes a machine anew, with what that would do to the log."""
    now = studio.machines[name]
    former = _former()
    if former is None or former.name != name or (former != now and not is_touched("changed", former)):
        st.session_state["changed.from"] = profile_text(now)
        fill("changed", now)
    with st.container(key="split_changed"):
        left, right = st.columns([6, 6], gap="large")
    with left:
        st.caption("A machine keeps its name for good, for the log knows it by its name.")
        made = ask_profile("changed", name)
    with right:
        _show(made)
    if made is None or made == now:
        st.button("Save the changed profile", disabled=True, key="save_changed", help="Nothing is changed yet.")
        return
    certain = _warn(consequences(now, made, studio.trials(machine=name)))
    if st.button("Save the changed profile", type="primary", disabled=not certain, key="save_changed"):
        asked(lambda: _change(studio, made))


def _former() -> Machine | None:
    """The profile with which the form that changes one was filled."""
    text = st.session_state.get("changed.from")
    return None if text is None else profiled(text)


def _start(starts: dict[str, Machine]) -> None:
    fill("new", starts[st.session_state["new.start"]])


def _show(made: Machine | None) -> None:
    if made is None:
        st.info("The profile is drawn here as soon as every dial makes sense.")
    else:
        st.html(drawn_profile(made) + stitches_of(made))


def _warn(sentences: tuple[str, ...]) -> bool:
    """Say what the change does to the log; whether it is wanted so."""
    if not sentences:
        return True
    items = "".join(f"<li>{escape(sentence)}</li>" for sentence in sentences)
    st.html(
        f"<div class='caution' role='note'><b>The log keeps dial numbers, and the profile says what they mean.</b><ul>{items}</ul></div>"
    )
    st.write(
        "That is right where the profile was written down wrong. Where the machine itself has changed, by a new spring or another dial, "
        "the old swatches were told rightly: leave this profile as it is, and add the changed machine under a name of its own."
    )
    return st.checkbox("It was written down wrong: read the log anew", key="certain")


def _add(studio: Studio, machine: Machine, name: str) -> None:
    if not name:
        raise InvalidValue("machine name: nothing given, expected what you call the machine")
    studio.add_machine(machine, new=True)
    learned = " What was learned on other machines helps it from its first swatch." if studio.trials() else ""
    st.session_state[_DONE] = (f"{name} is added.{learned}", name)
    st.rerun()


def _change(studio: Studio, machine: Machine) -> None:
    former = _former()
    try:
        studio.add_machine(machine, former=former)
    finally:
        if studio.machines[machine.name] != former:  # the form begins anew with the profile that stands now
            st.session_state["changed.from"] = None
    st.session_state[_DONE] = (f"The profile of {machine.name} is changed.", "")
    st.rerun()
