"""A model as a file's content: what was tuned, what was learned, and the fingerprint of the log that it was learned from."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from hashlib import sha256
from importlib.metadata import version

import numpy as np

from recommender.advice.model import Model, n_tuned
from recommender.advice.outlook import Standard
from recommender.advice.terms import BLOCKS, Terms
from recommender.errors import ModelFileDamaged, ModelFileOutdated
from recommender.learning import Array
from recommender.learning.modelfile import ModelFile
from recommender.learning.posterior import Scales
from recommender.swatches.profile import profile_text
from recommender.swatches.rows import row_of
from recommender.swatches.trial import Trial
from recommender.trade.machine import Machine
from recommender.trade.readings import READINGS

_LIBRARIES = ("numpy", "scipy", "overedge")
_ASIDE = ("id", "who", "when", "note")
"""What of a trial the model does not look at; the order of the trials says what matters of `when`."""


def model_file(model: Model, trials: Sequence[Trial], machines: Mapping[str, Machine]) -> ModelFile:
    """The content of a model's file; the same log gives the same bytes on every machine, but for the libraries' versions."""
    found = model.posterior
    arrays = {
        "coefficient": found.mean,
        "deviation": np.sqrt(np.diagonal(found.cov, axis1=1, axis2=2)),
        **scale_arrays(model.scales),
    }
    facts = {
        "terms": [column.name for column in model.terms.columns],
        "readings": list(READINGS),
        "blocks": list(BLOCKS),
        "units": "coefficients are readings (-2 to 2) per unit of the term, each reading for itself; for the controls see data/levers.toml",
        "standard": asdict(model.standard),
        "trials": len(trials),
        "fingerprint": fingerprint(trials, machines),
        "versions": {name: version(name) for name in _LIBRARIES},
    }
    return ModelFile({name: _rounded(array) for name, array in arrays.items()}, facts)


def known_scales(file: ModelFile, trials: Sequence[Trial], machines: Mapping[str, Machine]) -> tuple[Scales, Standard]:
    """What was tuned on this very log before.

    Raises
    ------
    ModelFileOutdated
        If the file is of another log, or of one with other terms.
    ModelFileDamaged
        If it lacks what it should hold.
    """
    terms = [column.name for column in Terms(tuple(sorted(machines))).columns]
    if file.facts.get("fingerprint") != fingerprint(trials, machines) or file.facts.get("terms") != terms:
        raise ModelFileOutdated(f"model file: got that of another log, expected one of {len(trials)} trials; it is rebuilt from the log")
    try:
        return tuned_of(file)
    except (KeyError, TypeError) as error:
        raise ModelFileDamaged(
            f"model file: what it says of the pass standard is not whole ({error}); it is rebuilt from the log"
        ) from error


def scale_arrays(scales: Scales) -> dict[str, Array]:
    """The scales as arrays of a file, by name."""
    return {"block_scale": scales.block, "noise": scales.noise, "cloth_scale": scales.group}


def tuned_of(file: ModelFile) -> tuple[Scales, Standard]:
    """The scales and the standard that a file holds."""
    scales = Scales(file.arrays["block_scale"], file.arrays["noise"], file.arrays["cloth_scale"])
    return scales, Standard(**{**file.facts["standard"], "roam": tuple(file.facts["standard"]["roam"])})


def fingerprint(trials: Sequence[Trial], machines: Mapping[str, Machine]) -> str:
    """What tells apart the logs that tune the scales differently: the digest of the trials that they are tuned on, and of the machines."""
    return digest_of(trials[: n_tuned(len(trials))], machines)


def digest_of(trials: Sequence[Trial], machines: Mapping[str, Machine], *more: str) -> str:
    """The sha256 of some trials, in their order, as far as the model looks at them, of machines and of other texts."""
    rows = [[value for name, value in row_of(trial).items() if name not in _ASIDE] for trial in trials]
    profiles = [profile_text(machines[name]) for name in sorted(machines)]
    return sha256(json.dumps([*more, rows, profiles], ensure_ascii=False).encode()).hexdigest()


def _rounded(array: Array) -> Array:
    """To nine digits: the last bits would differ between processors."""
    return np.array([float(f"{value:.9g}") for value in array.ravel()]).reshape(array.shape)
