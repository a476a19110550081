"""The log gone through again in the order of sewing: what the model, as it stood then, said of each trial before it learned it."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from recommender.advice.bands import Band, bands
from recommender.advice.model import Model, cloth, fitted, is_of, n_tuned, seam_of, swatches
from recommender.advice.moves import best_settings
from recommender.advice.seam import Seam
from recommender.swatches.trial import Trial
from recommender.trade.machine import Machine
from recommender.trade.settings import Settings

Piece = tuple[str, str, str]
"""Cloth, stitch and machine: what is sewn until it passes."""


@dataclass(frozen=True, slots=True)
class Foretold:
    """What was said of one trial before it was learned."""

    chance: float
    """Chance that it passes with the settings it was sewn with, as a proposal would have given it."""
    at_model: bool
    """Whether it was sewn as the model proposed, each control within a step of its dial."""
    at_baseline: bool
    """Whether it was sewn on the baseline, in the same sense."""
    bands: Mapping[str, Band]
    """By control: where the best setting was said to lie, before the first swatch of a piece; empty for the others."""
    apart: bool = False
    """Whether it was said from all other cloths, later ones too, and not from what came before it."""


def in_time(trials: Sequence[Trial]) -> tuple[Trial, ...]:
    """The trials in the order of sewing; those of one moment in the order of the log."""
    return tuple(sorted(trials, key=lambda trial: trial.when))


def piece(trial: Trial) -> Piece:
    """What the trial was a swatch of."""
    return cloth(trial.fabric), trial.stitch, trial.machine


def replay(trials: Sequence[Trial], machines: Mapping[str, Machine], known: int = 0) -> Iterator[Foretold]:
    """What was said of each trial but the first `known`, trials in the order of sewing.

    The model before trial n is that of a studio whose log holds the n trials before it, scales and standard included.
    """
    earlier = by_piece(trials[:known])
    model: Model | None = None
    for n in range(known, len(trials)):
        if model is None or n_tuned(n) != n_tuned(n - 1):
            model = fitted(trials[:n], machines)
        else:
            model = model.adding(swatches(trials[n - 1 : n], machines, model.terms))
        mine = earlier[piece(trials[n])]
        yield foretold(model, seam_of(trials[n], machines), trials[n].settings, mine)
        mine.append(trials[n])


def by_piece(trials: Sequence[Trial]) -> defaultdict[Piece, list[Trial]]:
    """The trials by what they were swatches of."""
    pieces: defaultdict[Piece, list[Trial]] = defaultdict(list)
    for trial in trials:
        pieces[piece(trial)].append(trial)
    return pieces


def foretold(model: Model, seam: Seam, sewn: Settings, earlier: Sequence[Trial], with_bands: bool = True) -> Foretold:
    """What a model says of one swatch of a seam, after the earlier ones of its piece."""
    here = [trial for trial in earlier if is_of(trial, seam)]
    outlook = model.outlook(seam, here)
    proposed = best_settings(outlook, seam, here[-1].settings if here else None)
    return Foretold(
        chance=float(outlook.pass_chance(seam.amounts(sewn))),
        at_model=nearly(seam, sewn, proposed),
        at_baseline=nearly(seam, sewn, seam.baseline.settings),
        bands=bands(outlook, seam, proposed) if with_bands and not earlier else {},
    )


def nearly(seam: Seam, sewn: Settings, said: Settings) -> bool:
    """Whether two settings are the same but for a step of each dial; a control that was not logged lies on the baseline."""
    start, one, other = (settings.controls() for settings in (seam.baseline.settings, sewn, said))
    apart = {control: abs(one.get(control, value) - other.get(control, value)) for control, value in start.items()}
    return all(by <= seam.machine.dial(control).step * (1 + 1e-9) for control, by in apart.items())
