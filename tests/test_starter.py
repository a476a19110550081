"""The starter model: rebuilt from data/, of the demo studio's log, and plainly marked."""

import json
from pathlib import Path

import numpy as np
import pytest

from models.build import build, demo_log
from recommender.advice.scoring.ledger_file import kept_ledger
from recommender.advice.scoring.replay import in_time, replay
from recommender.learning.modelfile import load

MODELS = Path(__file__).parents[1] / "models"


@pytest.fixture(scope="module")
def rebuilt(tmp_path_factory) -> Path:
    target = tmp_path_factory.mktemp("models") / "starter"
    build(target)
    return target


def test_the_starter_model_is_rebuilt_byte_for_byte(rebuilt):
    assert rebuilt.with_suffix(".npz").read_bytes() == (MODELS / "starter.npz").read_bytes()
    now, kept = (json.loads(path.with_suffix(".json").read_text()) for path in (rebuilt, MODELS / "starter"))
    versions = now.pop("versions"), kept.pop("versions")
    assert now == kept
    if versions[0] == versions[1]:  # other versions of the libraries are named in the file, and must give the same numbers
        assert rebuilt.with_suffix(".json").read_bytes() == (MODELS / "starter.json").read_bytes()


def test_every_coefficient_has_a_name_a_reading_and_a_deviation():
    file = load(MODELS / "starter")
    shape = len(file.facts["readings"]), len(file.facts["terms"])
    assert file.arrays["coefficient"].shape == file.arrays["deviation"].shape == shape
    assert (file.arrays["deviation"] > 0).all()
    assert np.isfinite(file.arrays["coefficient"]).all()


def test_the_card_tells_the_numbers_of_the_file():
    card, file = (MODELS / "README.md").read_text(), load(MODELS / "starter")
    assert f"{file.facts['trials']} trials" in card
    assert f"{len(file.facts['terms'])} terms" in card
    assert "invented" in card


def test_the_score_that_travels_is_of_the_demo_log_and_of_this_code():
    """The last swatches are replayed, which is a matter of a second; the file's fingerprint speaks for the others."""
    trials, machines = demo_log()
    kept = kept_ledger(MODELS / "starter-score", trials, machines)
    assert kept.replayed == len(trials), "the model's code or the demo's log has changed: python -m models.build"
    last = list(replay(in_time(trials), machines, len(trials) - 6))
    assert [one.chance for one in kept.told[-6:]] == pytest.approx([one.chance for one in last], rel=1e-6)
    assert [(one.at_model, one.at_baseline) for one in kept.told[-6:]] == [(one.at_model, one.at_baseline) for one in last]
    for one, other in zip(kept.told[-6:], last, strict=True):
        assert set(one.bands) == set(other.bands)
        assert all(band.low == pytest.approx(other.bands[control].low, abs=1e-6) for control, band in one.bands.items())
