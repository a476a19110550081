"""A simulated room that is kept going: cloth after cloth, each sewn as proposed until it passes, the model following."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np

from data.demo.workshop import Piece, Workshop
from recommender.advice.model import Model, fitted, n_tuned, swatches
from recommender.advice.moves import best_settings
from recommender.advice.seam import Seam
from recommender.swatches.trial import Trial
from recommender.trade.settings import Settings
from tests.advice.conftest import trial_of

PATIENCE = 6
AGAIN = 0.2
"""Share of cloths that were sewn before, as in the demo studio."""

_START = datetime(2026, 1, 1, tzinfo=UTC)


class Room:
    """A workshop, its log and its model."""

    def __init__(self, seed: int) -> None:
        self.shop, self.rng = Workshop(seed), np.random.default_rng(seed)
        self.log: list[Trial] = []
        self.model: Model = fitted((), self.shop.machines)
        self.cloths: list[Piece] = []

    def copy(self) -> "Room":
        """The same room, to go on from here another way."""
        other = object.__new__(Room)
        other.shop, other.rng, other.model = self.shop, np.random.default_rng(self.rng.integers(2**32)), self.model
        other.log, other.cloths = list(self.log), list(self.cloths)
        return other

    def pieces(self, machine: str | None = None) -> Iterator[Piece]:
        """Every new cloth, and now and then an earlier one again; on one machine where it is named."""
        while True:
            again = self.cloths and self.rng.random() < AGAIN
            piece = self.shop.again(self.cloths[int(self.rng.integers(len(self.cloths)))].fabric) if again else self.shop.fabric()
            if machine is not None:
                if piece.stitch.lacking(self.shop.machines[machine]):
                    continue
                piece = piece._replace(machine=self.shop.machines[machine])
            self.cloths.append(piece)
            yield piece

    def sewing(self, machine: str | None = None, slip: tuple[str, float] | None = None) -> Iterator[Trial]:
        """Swatch after swatch; `slip` is a control whose number has gone wrong, and by how much (the feed by a factor)."""
        for piece in self.pieces(machine):
            seam = Seam(*piece)
            strip: list[Trial] = []
            while len(strip) < PATIENCE and not (strip and strip[-1].passed):
                outlook = self.model.outlook(seam, strip)
                strip.append(self.sew(piece, best_settings(outlook, seam, strip[-1].settings if strip else None), slip))
                yield strip[-1]

    def sew(self, piece: Piece, settings: Settings, slip: tuple[str, float] | None = None) -> Trial:
        """Sew, read and learn one swatch; the scales are tuned again whenever a studio would."""
        came_out = self.shop.sew(*piece, slipped(settings, slip), self.rng)
        number = len(self.log)
        trial = trial_of(piece, settings, came_out.passed, dict(came_out.readings), number)
        trial = replace(trial, when=_START + timedelta(minutes=10 * number))
        self.log.append(trial)
        if n_tuned(len(self.log)) == len(self.log):
            self.model = fitted(self.log, self.shop.machines)
        else:
            self.model = self.model.adding(swatches([trial], self.shop.machines, self.model.terms))
        return trial


def slipped(settings: Settings, slip: tuple[str, float] | None) -> Settings:
    """What truly stands on the machine while its dials show `settings`."""
    if slip is None or slip[0] not in (stood := settings.controls()):
        return settings
    control, by = slip
    return settings.having({control: stood[control] * by if control == "differential" else max(stood[control] + by, 0.0)})
