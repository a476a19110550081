"""A replayed ledger as a file's content, so that a studio opened again need not replay its log."""

from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path

import numpy as np

from recommender.advice.bands import Band
from recommender.advice.effect import CONTROLS
from recommender.advice.filed import digest_of
from recommender.advice.scoring.ledger import Ledger
from recommender.advice.scoring.replay import Foretold, in_time
from recommender.advice.scoring.sources import model_version
from recommender.errors import ModelFileError, ModelFileOutdated
from recommender.learning import Array
from recommender.learning.modelfile import ModelFile, load, save
from recommender.swatches.trial import Trial
from recommender.trade.machine import Machine


def ledger_file(ledger: Ledger, machines: Mapping[str, Machine]) -> ModelFile:
    """The content of a ledger's file: what of it was replayed."""
    n = ledger.replayed
    facts = {"kind": "score", "controls": list(CONTROLS), "fingerprint": _fingerprint(ledger.trials[:n], machines)}
    return ModelFile(told_arrays(ledger.told[:n]), facts)


def known_ledger(file: ModelFile, trials: Sequence[Trial], machines: Mapping[str, Machine]) -> Ledger:
    """The replayed ledger of the first of some trials, which are in the order of sewing.

    Raises
    ------
    ModelFileOutdated
        If the file is of another log, or of another model.
    """
    n = len(file.arrays.get("chance", ()))
    if n > len(trials) or file.facts.get("fingerprint") != _fingerprint(trials[:n], machines):
        raise ModelFileOutdated(f"score file: got that of another log or model, expected one of {len(trials)} trials; the log is replayed")
    return Ledger(tuple(trials[:n]), told_of(file.arrays), n)


def told_arrays(told: Sequence[Foretold]) -> dict[str, Array]:
    """What was said of some trials, as arrays by name."""
    return {
        "chance": np.array([one.chance for one in told]),
        "sewn_at": np.array([[one.at_model, one.at_baseline, one.apart] for one in told], dtype=float).reshape(-1, 3),
        "band": np.array([_ends(one) for one in told]).reshape(-1, len(CONTROLS), 2),
    }


def told_of(arrays: Mapping[str, Array]) -> tuple[Foretold, ...]:
    """And back."""
    chances, places, bands = (arrays[name] for name in ("chance", "sewn_at", "band"))
    banded = np.flatnonzero(~np.isnan(bands).all(axis=(1, 2)))  # few are, in a long log
    said = {int(place): _bands(bands[place]) for place in banded}
    return tuple(
        Foretold(chance, bool(at_model), bool(at_baseline), said.get(place, {}), apart=bool(apart))
        for place, (chance, (at_model, at_baseline, apart)) in enumerate(zip(chances.tolist(), places.tolist(), strict=True))
    )


def _ends(one: Foretold) -> list[tuple[float, float]]:
    none = Band(float("nan"), float("nan"))
    return [(band.low, band.high) for band in (one.bands.get(control, none) for control in CONTROLS)]


def _bands(ends: Array) -> dict[str, Band]:
    return {control: Band(float(low), float(high)) for control, (low, high) in zip(CONTROLS, ends, strict=True) if not np.isnan(low)}


def _fingerprint(trials: Sequence[Trial], machines: Mapping[str, Machine]) -> str:
    """What tells apart the logs, machines and models whose replays differ."""
    return digest_of(trials, machines, model_version())


def kept_ledger(path: Path, trials: Sequence[Trial], machines: Mapping[str, Machine]) -> Ledger:
    """The ledger in a file; an empty one where there is none of this log."""
    try:
        return known_ledger(load(path), in_time(trials), machines)
    except ModelFileError:
        return Ledger()


def keep_ledger(path: Path, ledger: Ledger, machines: Mapping[str, Machine]) -> None:
    """Write a ledger to its file. It only saves time: where it cannot be written, the log is replayed again."""
    with suppress(OSError):
        save(path, ledger_file(ledger, machines))
