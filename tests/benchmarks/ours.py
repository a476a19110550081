"""Our own entrant, through the public names alone: a studio in a temporary folder."""

from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from recommender import Machine, Settings, Studio
from tests.benchmarks.logging_policy import Swatch
from tests.benchmarks.pieces import Piece

if TYPE_CHECKING:
    from recommender.advice.proposal import Proposal


class Ours:
    """A studio that logs what is sewn and proposes what to sew next."""

    name = "ours"
    limited = False

    def __init__(self, machines: Sequence[Machine]) -> None:
        self._folder = TemporaryDirectory()
        self._studio = Studio.open(Path(self._folder.name) / "race.sqlite")
        for machine in machines:
            self._studio.add_machine(machine)

    def __enter__(self) -> "Ours":
        return self

    def __exit__(self, *_: object) -> None:
        self._studio.close()
        self._folder.cleanup()

    def log(self, log: Sequence[Swatch]) -> None:
        """Write a log down, which is no part of the learning."""
        for swatch in log:
            self._record(swatch)

    def fit(self, log: Sequence[Swatch]) -> None:
        """Build the model of the log as it was written down, which a studio does when it is first asked."""
        if log:
            self.first(log[0].piece)

    def proposal(self, piece: Piece) -> "Proposal":
        """The whole proposal."""
        return self._studio.propose(**_words(piece))

    def first(self, piece: Piece) -> Settings:
        """What it proposes."""
        return self.proposal(piece).settings

    def next(self, piece: Piece, history: Sequence[Swatch]) -> Settings:
        """What it proposes once the swatches are logged; they are withdrawn again, for the race's next cloth knows nothing of them."""
        trials = [self._record(swatch) for swatch in history]
        settings = self.first(piece)
        for trial in trials:
            self._studio.withdraw(trial, "one lap of the race")
        return settings

    def _record(self, swatch: Swatch) -> str:
        trial = self._studio.record(settings=swatch.settings, passed=swatch.passed, readings=swatch.readings, **_words(swatch.piece))
        return trial.id


def _words(piece: Piece) -> dict[str, Any]:
    return {**piece._asdict(), "stitch": piece.stitch.name, "machine": piece.machine.name}
