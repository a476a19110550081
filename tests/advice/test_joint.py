"""What is believed of several seams at once must be what the model believes, before a swatch and after it."""

from dataclasses import replace

import numpy as np
import pytest

from data.demo.workshop import Piece
from recommender.advice.bands import best_draws
from recommender.advice.model import swatches
from recommender.advice.planning.foresight import mean_width, target
from recommender.advice.planning.joint import joint
from recommender.advice.seam import Seam
from recommender.advice.search import reach, scales
from recommender.trade.readings import READINGS
from recommender.trade.stitch import stitch
from tests.advice.conftest import spread, trial_of


@pytest.fixture(scope="module")
def pieces(shop, log):
    """Two cloths that were never seen, one of them in two seams, and one that was logged."""
    first, second = shop.fabric(), shop.fabric()
    return [first, first._replace(needle_thread=replace(first.needle_thread, tex=40)), second, piece_of(shop, log[3])]


def piece_of(shop, trial):
    return Piece(trial.fabric, stitch(trial.stitch), shop.machines[trial.machine], trial.needle_thread, trial.looper_thread)


@pytest.fixture(scope="module")
def seams(pieces):
    return [Seam(*piece) for piece in pieces]


def test_each_seam_is_believed_what_the_model_believes_of_it_alone(taught, seams):
    told = joint(taught, seams)
    for place, seam in enumerate(seams):
        assert told.of(place) == pytest.approx(taught.outlook(seam).cov, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("place", range(4))
@pytest.mark.parametrize("score", [-1.5, 0.5])
def test_a_planned_swatch_makes_as_sure_as_a_sewn_one_whatever_it_tells(shop, taught, pieces, seams, place, score):
    settings = spread(pieces[place], seams[place].baseline.settings, np.random.default_rng(place))
    sewn = trial_of(pieces[place], settings, False, dict.fromkeys(READINGS, score), 9999)
    learned = joint(taught.adding(swatches([sewn], shop.machines, taught.terms)), seams)
    foreseen = joint(taught, seams).after(place, seams[place].amounts(settings), np.ones(len(READINGS)))
    surer = foreseen.cov - learned.cov  # by what one reading tells the others of the machine: at most 0.4 % of what the swatch tells
    assert np.linalg.eigvalsh(surer).min() > -1e-9
    assert np.linalg.norm(surer) < 0.01 * np.linalg.norm(joint(taught, seams).cov - learned.cov)


@pytest.mark.parametrize("place", range(4))
@pytest.mark.parametrize("reading", READINGS)
def test_of_the_reading_that_is_made_it_makes_exactly_as_sure(shop, taught, pieces, seams, place, reading):
    settings = spread(pieces[place], seams[place].baseline.settings, np.random.default_rng(place))
    sewn = trial_of(pieces[place], settings, False, {reading: 0.5}, 9999)
    learned = joint(taught.adding(swatches([sewn], shop.machines, taught.terms)), seams)
    made = np.array([float(name == reading) for name in READINGS])
    foreseen = joint(taught, seams).after(place, seams[place].amounts(settings), made)
    k = list(READINGS).index(reading)
    assert foreseen.cov[k] == pytest.approx(learned.cov[k], rel=1e-7, abs=1e-10)


def test_a_reading_that_will_not_be_made_makes_nothing_surer(taught, seams):
    told = joint(taught, seams)
    after = told.after(0, np.zeros(len(seams[0].controls)), np.array([1.0, 0, 1, 1, 1]))
    assert np.array_equal(after.cov[1], told.cov[1])
    assert (after.of(0)[0, 0, 0] < told.of(0)[0, 0, 0]).all()


def drawn_width(outlook, seam):
    """Mean width of a seam's bands as they are drawn, in units of each control's reach."""
    low, high = np.array([[one.amounts[0], one.amounts[-1]] for one in scales(seam)]).T
    below, above = np.quantile(best_draws(outlook, reach(seam), low, high), [0.1, 0.9], axis=0)
    return np.mean((above - below) / reach(seam))


def test_the_expected_width_is_that_of_the_bands(shop, taught):
    """The delta method against the draws behind `bands`, on twenty cloths that were never seen."""
    seams = [Seam(*shop.fabric()) for _ in range(20)]
    told = joint(taught, seams)
    foreseen = [mean_width(told, [target(place, seam, taught.outlook(seam))]) for place, seam in enumerate(seams)]
    drawn = [drawn_width(taught.outlook(seam), seam) for seam in seams]
    assert np.mean(foreseen) == pytest.approx(np.mean(drawn), rel=0.1)
    assert np.corrcoef(foreseen, drawn)[0, 1] > 0.8
