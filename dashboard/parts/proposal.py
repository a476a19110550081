"""What a proposal says: settings beside the baseline, and how far to trust them."""

from collections.abc import Collection, Iterable

import streamlit as st

from parts.scale import Range, Verdict, plain_scale, scale, scale_key
from parts.svg import escape
from parts.tables import column
from parts.units import beside
from parts.words import plain, so_many
from recommender.advice.passing import passing
from recommender.advice.proposal import Proposal
from recommender.advice.words import spoken
from recommender.trade.baseline import AppliedRule
from recommender.trade.fits import misfit
from recommender.trade.machine import Machine
from recommender.trade.stitch import stitch
from recommender.trade.words import chance, listed, number, signed

MOST = 2 / 3
"""How much of a band has to lie in the pass window for a setting to be trusted."""
_DOUBT = "this dial may have drifted: sew a swatch before you trust the number"
_STAYS = "no proposal moves it"


def say_if_unfit(proposal: Proposal) -> None:
    """What speaks against this stitch in this cloth."""
    if told := misfit(stitch(proposal.stitch), proposal.fabric):
        st.html(f"<div class='caution' role='note'>{escape(told)}</div>")


def show_chance(proposal: Proposal) -> None:
    """How likely the next swatch is to pass, beside the baseline's chance."""
    if not proposal.chance_known:
        words = f"<strong>Too few ratings to say</strong> how often this passes ({proposal.ratings} so far)."
    else:
        words = (
            f"Sewn so, <strong>{chance(proposal.leading_chance)}</strong> of swatches pass ({so_many(proposal.leading_chance)}); "
            f"{_beside(proposal)} "
            f"<span class='quiet'>Learned from {proposal.ratings} rated swatches of this studio.</span>"
        )
    st.html(f"<div class='lead'>{words}</div>")


def _beside(proposal: Proposal) -> str:
    """The chance of the settings that do not lead."""
    if proposal.lead == "model":
        return f"on the baseline {chance(proposal.baseline_chance)}."
    return f"as the log would have it {chance(proposal.pass_chance)}."


def show_lead(proposal: Proposal) -> None:
    """Which of the two leads, and why."""
    st.caption(plain(proposal.lead_why))


def show_trust(proposal: Proposal, doubted: Collection[str] = ()) -> None:
    """Which settings to trust and which to test, in one sentence each; a control that may have drifted is to be tested."""
    if proposal.lead == "model" and not proposal.chance_known:
        st.html("<div class='trusts'><b>Test</b> every setting: this studio has rated too few swatches to trust one.</div>")
        return
    found = {control: _verdict(proposal, control, doubted) for control in proposal.settings.controls()}
    trusted, tested = ([spoken(control) for control, said in found.items() if said == verdict] for verdict in ("trust", "test"))
    parts = [f"<b>{word}</b> {escape(listed(controls))}." for word, controls in (("Trust", trusted), ("Test", tested)) if controls]
    if parts:
        st.html(f"<div class='trusts'>{' '.join(parts)}</div>")


def show_scales(proposal: Proposal, machine: Machine, doubted: Collection[str] = ()) -> None:
    """Every control on its own scale, with the same verdicts."""
    start, rows = proposal.baseline.controls(), []
    found = {control: passing(proposal, control, machine.dial(control)) for control in start}
    for control, value in proposal.settings.controls().items():
        band, dial = proposal.bands[control], machine.dial(control)
        drawing = scale(
            control,
            dial,
            baseline=start[control],
            proposal=value,
            band=(band.low, band.high),
            passing=found[control],
            verdict=_verdict(proposal, control, doubted) if proposal.lead == "model" else None,
        )
        lead = proposal.leading.controls()[control]
        end = "as far as this dial goes" if lead in (dial.low, dial.at(dial.steps)) else ""
        doubt = _DOUBT if control in doubted else ""
        rows.append(_row(control, lead, (beside(control, lead), end, doubt), drawing))
    if machine.foot_pressure is not None and (pressure := proposal.leading.foot_pressure) is not None:
        rows.append(_row("foot pressure", pressure, (_STAYS,), plain_scale("foot pressure", machine.foot_pressure, pressure)))
    st.html(column(scale_key(found.values()), *rows))


def _row(control: str, value: float, asides: Iterable[str], drawing: str) -> str:
    aside = f"<span class='quiet'>{escape('; '.join(filter(None, asides)))}</span>"
    return f"<div class='row'><div class='control'>{escape(spoken(control))}<b>{number(value)}</b>{aside}</div>{drawing}</div>"


def _verdict(proposal: Proposal, control: str, doubted: Collection[str]) -> Verdict | None:
    if control in doubted:
        return "test"
    if proposal.lead == "baseline":
        return None
    if not proposal.chance_known:
        return "test"
    band, window = proposal.bands[control], proposal.windows[control]
    return verdict((band.low, band.high), (window.low, window.high))


def verdict(band: Range, window: Range) -> Verdict:
    """Trust a setting where most of its band lies in its pass window: wherever the best is, the seam is likely to pass.

    >>> verdict((3.8, 4.4), (3.0, 5.0)), verdict((2.0, 6.0), (3.0, 5.0))
    ('trust', 'test')
    """
    inside = min(band[1], window[1]) - max(band[0], window[0])
    return "trust" if inside >= MOST * (band[1] - band[0]) else "test"


def show_rules(rules: Iterable[AppliedRule]) -> None:
    """The rules behind the baseline, each with its reason and its source."""
    st.html(column(*map(_rule, rules)))


def _rule(rule: AppliedRule) -> str:
    moves = ", ".join(f"{escape(spoken(control))} {signed(by)}" for control, by in rule.moves.items())
    return (
        f"<div class='rule'><strong>{escape(rule.name)}</strong>: {moves or 'moves nothing from the home marks'}<br>{escape(rule.reason)}"
        f"<div class='quiet'>Source: {escape(rule.source)}</div></div>"
    )
