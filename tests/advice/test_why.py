"""Why a number differs from the baseline: terms that add up, each with its band and its swatches."""

import numpy as np
import pytest

from recommender.advice.bands import COVERAGE
from recommender.advice.causes import CAUTION, OWN_SWATCHES, REST, cause
from recommender.advice.model import cloth, fitted, swatches
from recommender.advice.proposal import propose
from recommender.advice.seam import Seam
from recommender.advice.search import CLOSE, expected, reach
from recommender.swatches.trial import Trial
from tests.advice.conftest import BENCH


@pytest.fixture
def seams(shop, log):
    """Seams of the log and seams of cloths that it does not know."""
    known = [Seam(t.fabric, s.stitch, s.machine, t.needle_thread, t.looper_thread) for t in log[::15] for s in [shop.again(t.fabric)]]
    return [*known, *(Seam(*shop.fabric()) for _ in range(5))]


def terms_of(model, seam, log=None):
    return propose(model, seam, trials=log).why


def test_but_for_rounding_the_terms_lead_to_the_best_amounts(taught, seams):
    for seam in seams:
        problem = expected(taught.outlook(seam), reach(seam))
        best = -np.linalg.solve(problem.bend, problem.slope)
        for control, amount in zip(seam.controls, best, strict=True):
            told = sum(term.amount for term in terms_of(taught, seam)[control] if term.name != REST)
            assert told == pytest.approx(seam.free_value(control, amount) - seam.baseline.settings.controls()[control], abs=1e-9)


def test_each_term_lies_in_the_middle_of_its_band_and_arithmetic_has_none(taught, seams, log):
    for seam in seams:
        for terms in terms_of(taught, seam, log).values():
            for term in terms:
                assert term.low + term.high == pytest.approx(2 * term.amount, abs=1e-12)
                arithmetic = term.name in {REST, CAUTION}
                assert (term.low == term.high) == arithmetic == (term.trials is None)


@pytest.mark.parametrize("name", ["cloth weight", "machine", "stitch", OWN_SWATCHES])
def test_a_band_is_what_draws_of_the_causes_coefficients_give(shop, taught, seams, name):
    """10 000 draws of all coefficients and of the cloth's own effect together, the levers at their means."""
    seam, rng = seams[0], np.random.default_rng(7)
    outlook, found = taught.outlook(seam), taught.belief
    base = taught.terms.frame(seam).base
    mine = np.array([cause(column, machines_apart=True) == name for column in taught.terms.columns])
    place = taught.moments.groups[cloth(seam.fabric)]
    made = []
    for k in range(len(found.mean)):
        draws = rng.multivariate_normal(found.mean[k], found.cov[k], 10_000, method="eigh")
        left = taught.moments.group_cross[k, place] - draws @ taught.moments.group_terms[k, place]
        own = found.shrink[k, place] * left + np.sqrt(found.shrink[k, place]) * found.scales.noise[k] * rng.standard_normal(10_000)
        made.append(own if name == OWN_SWATCHES else draws @ np.where(mine, base, 0.0))
    moves = -np.linalg.solve(expected(outlook, reach(seam)).bend, outlook.mean[:, 1:].T) / CLOSE**2
    drawn = np.array(made).T @ moves.T
    for control in (c for c in seam.controls if c.startswith("tension")):
        term = next(term for term in terms_of(taught, seam)[control] if term.name == name)
        low, high = np.quantile(drawn[:, seam.controls.index(control)], [(1 - COVERAGE) / 2, (1 + COVERAGE) / 2])
        assert [term.low, term.high] == pytest.approx([low, high], abs=0.05 * (high - low))


def test_the_swatches_behind_a_term_are_those_whose_columns_are_not_nought(shop, taught, seams, log):
    rows = swatches(log, shop.machines, taught.terms).rows
    telling = np.array([bool(trial.readings) or trial.passed for trial in log])
    for seam in seams:
        base = taught.terms.frame(seam).base
        for terms in terms_of(taught, seam, log).values():
            for term in terms:
                mine = [  # of stretch every column: one of them is 0 at 20 %, the other at 60 %
                    place
                    for place, c in enumerate(taught.terms.columns)
                    if cause(c, machines_apart=True) == term.name and (base[place] != 0 or c.property == "stretch")
                ]
                if mine:
                    assert term.trials == (telling & (rows[:, mine] != 0).any(axis=1)).sum(), term.name
                elif term.name == OWN_SWATCHES:
                    assert term.trials == sum(cloth(t.fabric) == cloth(seam.fabric) for t in log if t.readings or t.passed)


def test_what_a_cloths_own_swatches_say_is_surer_the_more_there_are(seam):
    here = seam()

    def own(number):
        sewn = {"fabric": here.fabric, "stitch": here.stitch.name, "machine": "bench", "settings": here.baseline.settings}
        log = [Trial(**sewn, passed=False, readings={"edge_lie": 1.0}) for _ in range(number)]
        why = propose(fitted(log, {"bench": BENCH}), here, trials=log).why["differential"]
        return next(term for term in why if term.name == OWN_SWATCHES)

    assert [own(n).trials for n in (1, 4)] == [1, 4]
    assert (own(4).high - own(4).low) / own(4).amount < (own(1).high - own(1).low) / own(1).amount


def test_no_cause_has_a_name_that_only_the_model_knows(taught):
    names = {cause(column) for column in taught.terms.columns}
    assert not names & {"setting out", "construction", "plies", "needles", "needle difference", "length", "width"}
    assert {"needle thread size", "needle thread kind", "looper thread size", "looper thread kind", "stretch along"} <= names
