"""How good the proposals have been, beside the baseline."""

from collections.abc import Iterable
from math import exp

import streamlit as st

from parts.reliability import reliability
from parts.svg import escape
from parts.words import chance
from recommender import Studio
from recommender.advice.scoring.figures import Figure
from recommender.advice.scoring.score import Score
from recommender.advice.scoring.tally import Tally
from recommender.advice.scoring.verdict import ENOUGH_TRIALS

AT_ONCE = 25
"""So many trials are replayed without being asked: about a second."""
HEAD = ("", "swatches", "given by the model", "given by the rate", "first, as proposed", "first, on the baseline", "to a pass", "leads")


def show_score(studio: Studio) -> None:
    """The replayed log; where replaying it takes long, a button that starts it."""
    st.subheader("How good the proposals have been", anchor=False)
    behind = studio.unscored
    if behind > AT_ONCE and not st.button(f"Go through the log again, {behind} swatches (about {max(1, behind // 20)} s)", key="score.go"):
        st.caption("Each swatch is predicted from those before it alone, and held against what happened.")
        return
    with st.spinner("Going through the log"):
        found = studio.score()
    if found.total.trials:
        _show(found)


def _show(found: Score) -> None:
    total = found.total
    st.html(f"<div class='lead'>{escape(_in_words(total))}</div>")
    with st.container(key="split_score"):
        left, right = st.columns([5, 7], gap="large")
    with left:
        st.html(reliability(found.reliability))
        st.caption("Each dot is the swatches of like chance, with its standard error; on the dashed line as many passed as was said.")
    with right:
        st.html(_coverage(found))
        st.caption("How often the setting that passed, best or not, lay in the 80 % band stated before the cloth's first swatch.")
    st.html(_table([total, *found.by_stitch.values()]))
    st.caption(
        "Given: the chance that was given to what then happened, by the model and by the rate of passes of the stitch so far. First: first "
        "swatches that passed, sewn on one and not on the other; the sewer chose which, so cloths may differ. To a pass: mean swatches."
    )
    with st.expander("By machine and by class of fabric"):
        st.html(_table(found.by_machine.values()))
        st.html(_table(found.by_kind.values()))


def _in_words(total: Tally) -> str:
    """The whole log in two sentences."""
    model, rate = exp(total.log_score.value), exp(total.baseline_log_score.value)
    said = f"Over {total.trials} swatches, each predicted before it was learned, the model gave {model:.0%} to what then happened"
    beside = f"the mere rate of passes {rate:.0%}"
    return f"{said}, {beside}. First swatches passed {chance(total.first.value)}."


def _coverage(found: Score) -> str:
    rows = [*found.coverage.items(), ("all together", found.total.held)]
    body = "".join(f"<tr><td>{escape(name)}</td><td class='n'>{_share(one)}</td></tr>" for name, one in rows if one.number)
    return f"<table class='why'><tr><th>Settings in their band</th><th></th></tr>{body}</table>"


def _table(tallies: Iterable[Tally]) -> str:
    head = "".join(f"<th>{escape(words)}</th>" for words in HEAD)
    return f"<table class='why'><tr>{head}</tr>{''.join(map(_row, tallies))}</table>"


def _row(one: Tally) -> str:
    given = [f"{exp(score.value):.0%}" for score in (one.log_score, one.baseline_log_score)]
    to_pass = f"{one.swatches.value:.1f}" if one.swatches.number else "none"
    leads = one.verdict.lead if one.trials >= ENOUGH_TRIALS else "no verdict"
    cells = [str(one.trials), *given, _share(one.first_at_model), _share(one.first_at_baseline), to_pass, leads]
    return f"<tr><td>{escape(one.name)}</td>{''.join(f'<td>{escape(cell)}</td>' for cell in cells)}</tr>"


def _share(one: Figure) -> str:
    return f"{one.value:.0%} ± {100 * one.error:.0f} of {one.number}" if one.number else "none"
