"""What the race's studios have in common: cloth with a nature of its own, hidden works, and an ideal. Nothing here knows a model."""

from abc import ABC, abstractmethod
from collections.abc import Mapping
from zlib import crc32

import numpy as np

from recommender.trade.baseline import baseline
from recommender.trade.machine import Machine
from recommender.trade.settings import Settings
from tests.benchmarks.pieces import Piece, Wardrobe
from tests.benchmarks.sewer import Sewer, Verdict

Own = Mapping[str, float]
"""What is peculiar to one cloth: standard normal numbers by name."""
TRAITS = ("needles", "difference", "upper looper", "lower looper", "feed", "length", "width")


class Simulated(ABC):
    """A studio whose seed decides how its machines really behave and what its cloth really wants."""

    name: str
    stitches: Mapping[str, float]
    """Stitches with how often they are sewn."""
    machines: Mapping[str, Machine]
    sewer: Sewer

    def __init__(self, seed: int) -> None:
        self.seed = seed
        self.wardrobe = Wardrobe(self.stitches, tuple(self.machines.values()))
        self._hide(np.random.default_rng([seed, 1]))

    def piece(self, name: str) -> Piece:
        """The cloth of that name and how it is sewn, the same at every call; one that no settings of this machine would pass goes home."""
        rng = np.random.default_rng([self.seed, 2, crc32(name.encode())])
        while True:
            piece = self.wardrobe.piece(name, rng)
            if self.good(piece, on_steps(piece, self.ideal(piece))):
                return piece

    def own(self, piece: Piece) -> Own:
        """What is peculiar to this cloth."""
        rng = np.random.default_rng([self.seed, 3, crc32(piece.fabric.name.encode())])
        return dict(zip(TRAITS, np.clip(rng.normal(size=len(TRAITS)), -2.5, 2.5).tolist(), strict=True))

    def sew(self, piece: Piece, settings: Settings, rng: np.random.Generator, wrong: float | None = None) -> Verdict:
        """Sew a swatch and have it written down."""
        return self.sewer.looks(self.truth(piece, settings), rng, wrong)

    def good(self, piece: Piece, settings: Settings) -> bool:
        """Whether a swatch truly passes."""
        return self.sewer.good(self.truth(piece, settings))

    def ideal(self, piece: Piece) -> dict[str, float]:
        """The best value of every control, between the machine's steps but inside its ranges."""
        return self._held(piece, self._wanted(piece, self.own(piece)))

    def expected(self, piece: Piece) -> dict[str, float]:
        """The best that can be said without having sewn this very cloth: the ideal of its kind."""
        return self._held(piece, self._wanted(piece, dict.fromkeys(TRAITS, 0.0)))

    @staticmethod
    def _held(piece: Piece, wanted: Mapping[str, float]) -> dict[str, float]:
        dials = {control: piece.machine.dial(control) for control in wanted}
        return {control: min(max(value, dials[control].low), dials[control].at(dials[control].steps)) for control, value in wanted.items()}

    @abstractmethod
    def _hide(self, rng: np.random.Generator) -> None:
        """Draw the machines' works and the cloth's wants."""

    @abstractmethod
    def _wanted(self, piece: Piece, own: Own) -> dict[str, float]:
        """The value of every control at which every reading is nought."""

    @abstractmethod
    def truth(self, piece: Piece, settings: Settings, own: Own | None = None) -> dict[str, float]:
        """The true readings, neither rounded nor clipped; with `own` as if that were peculiar to the cloth."""


def on_steps(piece: Piece, values: Mapping[str, float]) -> Settings:
    """Settings with every control on the machine's nearest step."""
    return baseline(*piece).settings.having({control: piece.machine.dial(control).nearest(value) for control, value in values.items()})
