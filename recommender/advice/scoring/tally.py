"""How good what was said of some trials has been, beside the baseline."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from recommender.advice.scoring.figures import Figure, average, share
from recommender.advice.scoring.lines import Line, log_score
from recommender.advice.scoring.replay import Piece
from recommender.advice.scoring.verdict import Verdict, first_passes, gains, verdict
from recommender.learning import Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """The figures of some trials of a replayed log."""

    name: str
    """What they are of: a stitch, a machine, a class of fabric, or the whole log."""
    trials: int
    """How many."""
    passed: Figure
    """Share that passed."""
    log_score: Figure
    """Mean logarithm of the chance that the model gave to what happened; 0 at best."""
    baseline_log_score: Figure
    """The same of the baseline's forecaster: the rate of passes of the trial's stitch so far."""
    gain: Figure
    """Their difference, the model's less the baseline's; the error counts whole cloths."""
    brier: float
    """Mean squared distance of the model's chance from what happened (1 or 0)."""
    base_brier: float
    """The same of the base rate so far."""
    skill: float
    """1 - brier / base_brier: 1 at best, 0 for a model that knows no more than the base rate."""
    at_model: Figure
    """Share that passed of the swatches sewn as the model proposed then and not on the baseline."""
    at_baseline: Figure
    """Share that passed of the swatches sewn on the baseline and not as proposed."""
    first: Figure
    """Share of first swatches of a cloth, stitch and machine that passed."""
    first_at_model: Figure
    """The same of those sewn as the model proposed then and not on the baseline."""
    first_at_baseline: Figure
    """The same of those sewn on the baseline and not as proposed."""
    swatches: Figure
    """Swatches to the first pass, over the cloths that came to one."""
    swatches_from_model: Figure
    """The same where the first was sewn as the model proposed and not on the baseline."""
    swatches_from_baseline: Figure
    """The same where the first was sewn on the baseline and not as proposed."""
    held: Figure
    """Share of settings that lay in the 80 % bands stated before the first swatch, over the controls of those that came to pass."""
    verdict: Verdict
    """Which leads, the model or the baseline."""


def tally(found: Sequence[Line], name: str, whole: Sequence[Line]) -> Tally:
    """The figures of some lines of a replayed log, `whole`."""
    cloths = [line.piece[0] for line in found]
    passed = np.array([line.trial.passed for line in found], dtype=float)
    brier, base_brier = (float(np.mean((said - passed) ** 2)) for said in _chances(found)) if found else (float("nan"),) * 2
    first_at_model, first_at_baseline = first_passes(found)
    return Tally(
        name=name,
        trials=len(found),
        passed=share([line.trial.passed for line in found]),
        log_score=average([log_score(line.told.chance, line.trial.passed) for line in found], cloths),
        baseline_log_score=average([log_score(line.stitch_rate, line.trial.passed) for line in found], cloths),
        gain=gains(found),
        brier=brier,
        base_brier=base_brier,
        skill=1 - brier / base_brier,
        at_model=_passes(found, _as_proposed),
        at_baseline=_passes(found, _on_baseline),
        first=_passes(found, lambda line: line.is_first),
        first_at_model=first_at_model,
        first_at_baseline=first_at_baseline,
        swatches=_swatches(found),
        swatches_from_model=_swatches(found, _as_proposed),
        swatches_from_baseline=_swatches(found, _on_baseline),
        held=share([hit for hits in held(found).values() for hit in hits]),
        verdict=verdict(found, name, whole),
    )


def held(found: Sequence[Line]) -> dict[str, list[bool]]:
    """By control: whether the setting that first passed lay in the band stated before the first swatch, one a piece that passed."""
    hits: dict[str, list[bool]] = {}
    for mine in _pieces(found).values():
        passing = next((line.trial for line in mine if line.trial.passed), None)
        if passing is not None:
            settings = passing.settings.controls()
            for control, band in mine[0].told.bands.items():
                if control in settings:
                    hits.setdefault(control, []).append(settings[control] in band)
    return hits


def _chances(found: Sequence[Line]) -> tuple[Array, Array]:
    return np.array([line.told.chance for line in found]), np.array([line.rate for line in found])


def _passes(found: Sequence[Line], wanted: Callable[[Line], bool]) -> Figure:
    return share([line.trial.passed for line in found if wanted(line)])


def _swatches(found: Sequence[Line], started: Callable[[Line], bool] | None = None) -> Figure:
    pieces = [mine for mine in _pieces(found).values() if started is None or started(mine[0])]
    passes = [[line.trial.passed for line in mine] for mine in pieces]
    return average([1.0 + mine.index(True) for mine in passes if any(mine)])


def _as_proposed(line: Line) -> bool:
    return line.told.at_model and not line.told.at_baseline


def _on_baseline(line: Line) -> bool:
    return line.told.at_baseline and not line.told.at_model


def _pieces(found: Sequence[Line]) -> dict[Piece, list[Line]]:
    pieces: dict[Piece, list[Line]] = {}
    for line in found:
        pieces.setdefault(line.piece, []).append(line)
    return pieces
