"""How good the proposals have been, beside the baseline, in words and pictures."""

from collections.abc import Iterable
from functools import partial
from math import ceil, exp, floor

import streamlit as st

from parts import work
from parts.course import ALL, OURS, RULES, Paper, Track, course
from parts.coverage import coverage
from parts.reliability import reliability
from parts.svg import escape
from parts.words import plain
from parts.work import Progress
from recommender import Studio
from recommender.advice.bands import COVERAGE
from recommender.advice.scoring.course import FIRSTS, WINDOW
from recommender.advice.scoring.figures import Figure
from recommender.advice.scoring.score import Score
from recommender.advice.scoring.tally import Tally
from recommender.advice.scoring.verdict import ENOUGH_TRIALS
from recommender.advice.words import spoken
from recommender.trade.words import listed, percent

WORK = "going through the log"
AT_ONCE = 25
"""So many trials are replayed without being asked: about a second."""
HEAD = (
    "swatches",
    "chance given by the model",
    "by counting passes",
    "first swatches, as proposed",
    "first swatches, on the baseline",
    "swatches to a pass",
    "leads",
)
TENTHS = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)


def show_score(studio: Studio) -> None:
    """The replayed log; where replaying it takes long, a button that starts it."""
    st.header("How good the proposals have been", anchor=False)
    if (found := _found(studio)) is None or not found.total.trials:
        return
    st.html(f"<div class='lead'>{escape(_in_words(found.total))}</div>")
    for number, pictures in enumerate(((_first, _to_pass), (_given, _chances), (_bands, _leads))):
        with st.container(key=f"split_score_{number}"):
            for column, show in zip(st.columns(2, gap="large"), pictures, strict=True):
                with column:
                    show(found)
    with st.expander("The same in figures, by stitch, machine and kind of cloth"):
        _tables(found)


def _found(studio: Studio) -> Score | None:
    """The score; None where it has to be asked for, or is being worked out, by this tablet or another."""
    behind = studio.unscored
    if behind <= AT_ONCE:
        return studio.score()
    if studio.is_scoring and not work.is_under_way(WORK):
        _begin(studio)
    last = work.found(WORK)
    if work.is_under_way(WORK):
        return None
    if last is not None and last.trouble:
        st.error(plain(last.trouble))
    st.caption(
        "The log is gone through again in the order of sewing: the chance of each swatch is told from those before it alone, and held "
        "against what came of it."
    )
    if st.button(f"Go through the log: {behind} swatches, about {max(1, behind // 20)} s", key="score_go"):
        _begin(studio)
        st.rerun()
    return None


def _begin(studio: Studio) -> None:
    work.begin(WORK, "Going through the log", lambda tell: studio.score(partial(_told, tell)))


def _told(tell: Progress, done: int, of: int) -> None:
    tell(f"{done} of {of} swatches", done / max(of, 1))


def _in_words(total: Tally) -> str:
    """The whole log in two sentences."""
    model, rate = exp(total.log_score.value), exp(total.baseline_log_score.value)
    said = f"Before each of {total.trials} swatches the model, which learns from those before it, said how likely it was to pass."
    return f"{said} On average it had given {percent(model)} to what then happened; merely counting passes gives {percent(rate)}."


def _head(words: str) -> None:
    st.html(f"<h3 class='setup'>{escape(words)}</h3>")


def _share_of(found: Score, title: str, tracks: list[Track]) -> str:
    paper = Paper(title=title, low=0, high=1, marks=TENTHS, words=percent, swatches=found.total.trials)
    return course(paper, tracks)


def _first(found: Score) -> None:
    """First swatches that passed, by what they were sewn with."""
    _head("Do first swatches pass?")
    tracks = [
        Track("as proposed", OURS, found.course.first_at_model),
        Track("on the baseline", RULES, found.course.first_at_baseline),
        Track("all", ALL, found.course.first),
    ]
    if any(track.spots for track in tracks):
        st.html(_share_of(found, "Share of first swatches that passed", tracks))
    few = [track.name for track in tracks if not track.spots]
    st.caption(
        f"Each point counts the first swatches of the last {FIRSTS} cloths. You chose which to sew how, so the lines may be of unlike "
        "cloths. " + (f"Too few for a line yet: {listed(few)} (it takes {FIRSTS // 2})." if few else "")
    )


def _to_pass(found: Score) -> None:
    """How much cloth it takes."""
    _head("How many swatches does it take?")
    track = Track("swatches to the first pass", OURS, found.course.to_pass)
    if not track.spots:
        st.caption(f"A line stands here once {FIRSTS // 2} cloths have come to a pass.")
        return
    high = max(4.0, *(ceil(spot.high) for spot in track.spots))
    marks = range(1, int(high) + 1)
    paper = Paper(title="Swatches to the first pass", low=1, high=high, marks=marks, words="{:.2g}".format, swatches=found.total.trials)
    st.html(course(paper, [track]))
    st.caption(f"The average of the last {FIRSTS} cloths that came to a pass; 1 is best. The true one lies in the grey 8 times in 10.")


def _given(found: Score) -> None:
    """Whether the model knows more than who only counts."""
    _head("Does it know beforehand?")
    tracks = [Track("the model", OURS, found.course.given), Track("counting passes", RULES, found.course.given_by_rate)]
    if not tracks[0].spots:
        st.caption(f"A line stands here after {WINDOW // 2} swatches.")
        return
    values = [value for track in tracks for spot in track.spots for value in (spot.low, spot.value, spot.high)]
    low, high = floor(min(*values, 0.4) * 10), ceil(max(*values, 0.7) * 10)
    paper = Paper(
        title="Chance that was given to what then happened",
        low=low / 10,
        high=high / 10,
        marks=[tenth / 10 for tenth in range(low, high + 1)],
        words=percent,
        swatches=found.total.trials,
    )
    st.html(course(paper, tracks))
    st.caption(
        f"How likely what then happened had been called, over the last {WINDOW} swatches: 50 % is the toss of a coin, 100 % would be "
        "knowing. Where the model's line is not above the other, it has learned no more than to count."
    )


def _chances(found: Score) -> None:
    """Whether a chance can be taken at its word."""
    _head("Do the chances come true?")
    st.html(reliability(found.reliability))
    halves = [(found.unlikely, "fail"), (found.likely, "pass")]
    said = [f"of {one.number} swatches that were likelier to {what}, {percent(one.value)} passed" for one, what in halves if one.number]
    st.caption(
        f"{'; '.join(said).capitalize()}. Each dot stands for swatches with nearly the same chance, a larger one for more of them. On "
        "the dashed line as many passed as was said, above it more, below it fewer."
    )


def _bands(found: Score) -> None:
    """Whether a band can be taken at its word."""
    _head("Do the bands hold the setting?")
    held = found.total.held
    if not held.number:
        st.caption("This is told once a cloth has come to a pass.")
        return
    st.html(coverage([*((spoken(control), one) for control, one in found.coverage.items()), ("all together", held)], COVERAGE))
    judged = {-1: "so the bands promise too much", 0: "so the bands keep their word", 1: "so the bands are wider than they need be"}
    st.caption(
        "Before a cloth's first swatch, a band says where each control will stand. Of the settings that were the first to pass, "
        f"{percent(held.value)} lay in theirs. It should be {percent(COVERAGE)} (the line), {judged[held.against(COVERAGE)]}. A setting "
        "that passes is near the best one and need not be it."
    )


def _leads(found: Score) -> None:
    """Which settings New fabric shows first, and why."""
    _head("Which numbers are to be set?")
    judged = {name: one.verdict.why for name, one in found.by_stitch.items() if one.trials >= ENOUGH_TRIALS}
    for name, why in judged.items():
        st.html(f"<div class='rule'><strong>{escape(name)}</strong><br>{escape(why)}</div>")
    if early := [name for name in found.by_stitch if name not in judged]:
        st.caption(f"Too early to say, for it takes {ENOUGH_TRIALS} swatches of a stitch: {listed(early)}. Set what is proposed.")


def _tables(found: Score) -> None:
    by_stitch = [found.total, *found.by_stitch.values()]
    parts = {"stitch": by_stitch, "machine": found.by_machine.values(), "kind of cloth": found.by_kind.values()}
    for by, tallies in parts.items():
        st.html(_table(by, tallies))
    st.caption(
        "Chance given: how likely what then happened had been called. First swatches: how many of them passed. Swatches to a pass: the "
        "average. The number after ± is how far luck alone may well have moved it."
    )


def _table(by: str, tallies: Iterable[Tally]) -> str:
    head = "".join(f"<th scope='col'>{escape(words)}</th>" for words in (by, *HEAD))
    table = f"<table class='why'><tr>{head}</tr>{''.join(map(_row, tallies))}</table>"
    return f"<div class='wide' tabindex='0' role='region' aria-label='Figures by {by}'>{table}</div>"


def _row(one: Tally) -> str:
    given = [percent(exp(score.value)) for score in (one.log_score, one.baseline_log_score)]
    to_pass = f"{one.swatches.value:.1f}" if one.swatches.number else "none"
    leads = one.verdict.lead if one.trials >= ENOUGH_TRIALS else "too early"
    cells = [str(one.trials), *given, _share(one.first_at_model), _share(one.first_at_baseline), to_pass, leads]
    return f"<tr><td>{escape(one.name)}</td>{''.join(f'<td>{escape(cell)}</td>' for cell in cells)}</tr>"


def _share(one: Figure) -> str:
    return f"{percent(one.value)} ± {100 * one.error:.0f} of {one.number}" if one.number else "none"
