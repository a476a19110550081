"""A card to look at: a studio with one machine and one swatch."""

from collections.abc import Callable, Collection, Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from recommender import Fabric, Machine, Studio
from recommender.cards.card import Card, card_of_proposal, card_of_trial
from recommender.cards.link import trial_address
from recommender.trade.asked import Asked
from recommender.trade.thread import ORDINARY

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
RIB = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)
SEAM = Asked(fabric=RIB, stitch="four-thread overlock", machine="bench", needle_thread=ORDINARY, looper_thread=ORDINARY)
BASE = "http://192.0.2.7:8501"

Proposed = Callable[..., Card]


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with Studio.open(tmp_path / "studio.sqlite") as opened:
        opened.add_machine(Machine.generic("bench"))
        yield opened


@pytest.fixture
def proposed(studio: Studio) -> Proposed:
    """The card of a proposal, where name of the cloth, stitch or address may be another, and dials are doubted."""

    def make(
        name: str = "rib jersey",
        stitch: str = "four-thread overlock",
        address: str = f"{BASE}/?fabric=rib",
        doubted: Collection[str] = (),
    ) -> Card:
        seam = {**SEAM, "fabric": replace(RIB, name=name), "stitch": stitch}
        return card_of_proposal(studio.propose(**seam), studio.machines["bench"], when=NOON, address=address, doubted=doubted)

    return make


@pytest.fixture
def sewn(studio: Studio) -> Callable[..., Card]:
    """The card of a swatch that was sewn a little off the proposal."""

    def make(**more: Any) -> Card:
        settings = studio.propose(**SEAM).settings.having({"differential": 1.5, "tension: upper looper": 6.5})
        given: dict[str, Any] = {"passed": True, "readings": {"edge_lie": 0.5, "needle_line": 0}, "who": "Ada", "when": NOON, **more}
        trial = studio.record(**SEAM, settings=settings, **given)
        return card_of_trial(trial, studio.propose(**SEAM), studio.machines["bench"], address=trial_address(BASE, trial.id))

    return make
