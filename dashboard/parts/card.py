"""The setup card on screen: shown as it is printed, with its files to take away and the browser's own print."""

import re
import secrets
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal
from urllib.parse import urlsplit

import streamlit as st

from parts.answers import answered
from parts.card_paper import card_paper
from parts.follow import hold_still
from parts.units import chosen
from parts.words import asked
from recommender import Studio
from recommender.advice.proposal import Proposal
from recommender.cards.card import Card, card_of_proposal, card_of_trial
from recommender.cards.link import seam_address, trial_address
from recommender.swatches.trial import Trial
from recommender.trade.asked import asking

_PAGES = Path(__file__).parents[1] / "app_pages"
_NEAR = re.compile(r"localhost|127(\.\d+){3}|::1|0\.0\.0\.0")
"""Hosts that mean this computer, whichever computer that is."""
_FILES = {"a6": "PDF, A6", "label": "PDF, label 62 × 40 mm"}


_HELP = "To be pinned up beside the machine: on screen, on A6 or as a label."


def offer_proposal_card(studio: Studio, proposal: Proposal) -> None:
    """The button that opens the card of a proposal."""
    if st.button("Setup card", key="card.proposal", width="stretch", help=_HELP):
        (watch,) = answered(studio, "drift", proposal.machine)
        machine, now = studio.machines[proposal.machine], datetime.now(UTC)
        made = {"address": _address_of(proposal), "units": chosen(), "doubted": watch.doubted, "invented": studio.invented}
        _open(card_of_proposal(proposal, machine, when=now, **made))


def offer_trial_card(studio: Studio, trial: Trial, width: Literal["stretch", "content"] = "stretch") -> None:
    """The button that opens the card of a logged swatch."""
    if st.button("Setup card", key=f"card.{trial.id}", width=width, help=_HELP):
        card = asked(lambda: _of_trial(studio, trial))
        if card is not None:
            _open(card)


def show_trial_card(studio: Studio, trial: Trial) -> None:
    """The card of a logged swatch, on the page itself."""
    card = asked(lambda: _of_trial(studio, trial))
    if card is not None:
        show_card(card)


def show_card(card: Card) -> None:
    """The card with its buttons."""
    name = re.sub(r"\W+", "-", f"{card.fabric.name} {card.stitch.name}").strip("-").casefold()
    with st.container(key="card_files", horizontal=True):
        printed = st.button("Print", key="card.print", type="primary")
        for size, words in _FILES.items():
            st.download_button(words, lambda size=size: _pdf(card, size), f"{name}-{size}.pdf", "application/pdf", on_click="ignore")
    if not card.address or _NEAR.fullmatch(urlsplit(card.address).hostname or ""):
        st.caption(
            "The square opens this card on this computer only. For a phone or tablet, serve the dashboard to your network "
            "(`overedge serve --address 0.0.0.0`), open it here under this computer's own address, and print then."
        )
    st.html(card_paper(card))
    if printed:
        _print()


def _print() -> None:
    """Open the browser's own print; the script differs at each touch, or the browser would not run it a second time."""
    st.html(f"<script>/* {secrets.token_hex(4)} */ window.print()</script>", unsafe_allow_javascript=True)


@st.dialog("Setup card", width="large", on_dismiss="rerun")
def _open(card: Card) -> None:
    hold_still()
    show_card(card)


def _pdf(card: Card, size: str) -> bytes:
    from recommender.cards.pdf import card_pdf  # here, for it brings the fonts

    return card_pdf(card, size)


def _of_trial(studio: Studio, trial: Trial) -> Card:
    base = dashboard_address(st.context.url)
    address = trial_address(base, trial.id) if base else ""
    (watch,) = answered(studio, "drift", trial.machine)
    made = {"address": address, "units": chosen(), "doubted": watch.doubts(trial.when), "invented": studio.invented}
    return card_of_trial(trial, studio.propose(**asking(trial)), studio.machines[trial.machine], **made)


def _address_of(proposal: Proposal) -> str:
    base = dashboard_address(st.context.url)
    return seam_address(base, asking(proposal)) if base else ""


def dashboard_address(url: str | None) -> str:
    """The dashboard's own address as the browser has it, without the page; empty where there is no browser.

    >>> dashboard_address("http://192.0.2.7:8501/swatch_book"), dashboard_address("http://192.0.2.7:8501/"), dashboard_address(None)
    ('http://192.0.2.7:8501', 'http://192.0.2.7:8501', '')
    """
    whole = (url or "").partition("?")[0].rstrip("/")
    before, _, page = whole.rpartition("/")
    return before if page in {path.stem for path in _PAGES.glob("*.py")} else whole
