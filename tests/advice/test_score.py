"""The honest score, held to scikit-learn, to the same by hand, and to logs that teach nothing."""

from collections import Counter
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from sklearn.calibration import calibration_curve
from sklearn.metrics import brier_score_loss, log_loss

from data.demo.workshop import Workshop
from recommender.advice.bands import bands
from recommender.advice.model import cloth, fitted, is_of, seam_of
from recommender.advice.moves import best_settings
from recommender.advice.proposal import propose
from recommender.advice.scoring.figures import average, share
from recommender.advice.scoring.lines import lines
from recommender.advice.scoring.replay import Foretold, foretold, in_time, nearly, replay
from recommender.advice.scoring.score import score
from recommender.advice.scoring.verdict import ENOUGH_FIRST, ENOUGH_TRIALS, after, verdict
from tests.advice.conftest import logged

START = datetime(2025, 3, 1, 9, tzinfo=UTC)


def dated(trials):
    return [replace(trial, when=START + timedelta(hours=n)) for n, trial in enumerate(trials)]


@pytest.fixture(scope="module")
def room():
    return Workshop(seed=43)


@pytest.fixture(scope="module")
def sewn(room):
    """60 swatches of 20 pieces, an hour apart."""
    return dated(logged(room, 20))


@pytest.fixture(scope="module")
def told(room, sewn):
    return list(replay(sewn, room.machines))


@pytest.fixture(scope="module")
def found(sewn, told):
    return score(lines(sewn, told))


def said(chance, **more):
    return Foretold(chance, **({"at_model": False, "at_baseline": False, "bands": {}} | more))


def test_the_scores_are_those_of_scikit_learn(found, sewn, told):
    passed, chance = np.array([trial.passed for trial in sewn], dtype=float), np.array([one.chance for one in told])
    rate = (np.cumsum(passed) - passed + 1) / (np.arange(len(passed)) + 2)
    assert found.total.log_score.value == pytest.approx(-log_loss(passed, chance), rel=1e-12)
    assert found.total.brier == pytest.approx(brier_score_loss(passed, chance), rel=1e-12)
    assert found.total.base_brier == pytest.approx(brier_score_loss(passed, rate), rel=1e-12)
    assert found.total.skill == pytest.approx(1 - brier_score_loss(passed, chance) / brier_score_loss(passed, rate), rel=1e-12)


def test_the_reliability_curve_is_that_of_scikit_learn(found, sewn, told):
    came, was_said = calibration_curve([trial.passed for trial in sewn], [one.chance for one in told], n_bins=10)
    assert [one.said for one in found.reliability] == pytest.approx(was_said, rel=1e-12)
    assert [one.passed.value for one in found.reliability] == pytest.approx(came, rel=1e-12)
    assert sum(one.passed.number for one in found.reliability) == len(sewn)


def test_the_replay_is_the_same_by_hand(room, sewn, told):
    """A model fitted anew from all that was sewn before says the same of each trial."""
    for n in (0, 1, 7, 20, 23, 24, 41):
        model, trial = fitted(sewn[:n], room.machines), sewn[n]
        seam = seam_of(trial, room.machines)
        here = [t for t in sewn[:n] if (t.stitch, t.machine) == (trial.stitch, trial.machine) and cloth(t.fabric) == cloth(trial.fabric)]
        same = [t for t in here if is_of(t, seam)]
        outlook = model.outlook(seam, same)
        proposed = best_settings(outlook, seam, same[-1].settings if same else None)
        assert told[n].chance == pytest.approx(float(outlook.pass_chance(seam.amounts(trial.settings))), rel=1e-9)
        assert told[n].at_model == nearly(seam, trial.settings, proposed)
        assert told[n].at_baseline == nearly(seam, trial.settings, room.baseline(_piece(seam)))
        stated = {} if here else bands(outlook, seam, proposed)
        assert {c: (b.low, b.high) for c, b in told[n].bands.items()} == {
            c: pytest.approx((b.low, b.high), abs=1e-6) for c, b in stated.items()
        }


def test_what_is_scored_is_what_a_proposal_says(room, sewn):
    """Also after fails, which count in both."""
    failed = [place for place in range(12, len(sewn)) if not sewn[place].passed][:8]
    for place in failed:
        model, last = fitted(sewn[: place + 1], room.machines), sewn[place]
        seam = seam_of(last, room.machines)
        here = [t for t in sewn[: place + 1] if (t.stitch, t.machine, t.fabric) == (last.stitch, last.machine, last.fabric)]
        proposal = propose(model, seam, here)
        assert foretold(model, seam, proposal.settings, here).chance == pytest.approx(proposal.pass_chance, rel=1e-9)
        assert foretold(model, seam, proposal.baseline, here).chance == pytest.approx(proposal.baseline_chance, rel=1e-9)


def _piece(seam):
    from data.demo.workshop import Piece

    return Piece(seam.fabric, seam.stitch, seam.machine, seam.needle_thread, seam.looper_thread)


def test_a_replay_taken_up_again_goes_on_as_if_it_had_never_stopped(room, sewn, told):
    again = list(replay(sewn[:50], room.machines, known=44))
    assert [one.chance for one in again] == pytest.approx([one.chance for one in told[44:50]], rel=1e-9)


def test_a_trial_says_nothing_of_those_before_it(room, sewn, told):
    spoiled = [*sewn[:9], replace(sewn[9], passed=not sewn[9].passed, readings={"edge_lie": 2.0})]
    assert [one.chance for one in replay(spoiled, room.machines)] == [one.chance for one in told[:10]]


def test_the_log_is_gone_through_in_the_order_of_sewing(sewn):
    assert in_time([*sewn[30:], *sewn[:30]]) == tuple(sewn)
    same = [replace(trial, when=START) for trial in sewn]
    assert in_time(same) == tuple(same)


def test_every_group_tells_its_own_trials_and_together_they_are_the_log(found, sewn):
    for tallies, name in (
        (found.by_stitch, lambda trial: trial.stitch),
        (found.by_machine, lambda trial: trial.machine),
        (found.by_kind, lambda trial: trial.fabric.kind),
    ):
        assert {of: one.trials for of, one in tallies.items()} == Counter(map(name, sewn))
        gain = sum(one.gain.value * one.trials for one in tallies.values())
        assert gain == pytest.approx(found.total.gain.value * len(sewn))


def test_first_swatches_and_swatches_to_a_pass_are_counted_by_piece(found, sewn):
    firsts = sewn[::3]  # each piece was sewn three times over
    turns = [next((k for k in range(3) if sewn[3 * n + k].passed), None) for n in range(len(firsts))]
    assert found.total.first == share([trial.passed for trial in firsts])
    assert found.total.swatches == average([1.0 + turn for turn in turns if turn is not None])


def test_the_band_stated_before_the_first_swatch_is_held_against_the_setting_that_passed(found, sewn, told):
    hits = Counter()
    for n in range(0, len(sewn), 3):
        passing = next((trial for trial in sewn[n : n + 3] if trial.passed), None)
        for control, band in told[n].bands.items():
            if passing:
                hits[control, passing.settings.controls()[control] in band] += 1
    for control, figure in found.coverage.items():
        assert figure.number == hits[control, True] + hits[control, False]
        assert figure.value == hits[control, True] / figure.number
    assert found.total.held.number == hits.total()


def test_a_log_with_shuffled_readings_makes_the_baseline_lead(room, sewn, found):
    """Such a log teaches nothing of which swatch passes; the true one does."""
    order = np.random.default_rng(43).permutation(len(sewn))
    useless = [replace(trial, readings=sewn[other].readings) for trial, other in zip(sewn, order, strict=True)]
    shuffled = score(lines(useless, list(replay(useless, room.machines))))
    told_of = [name for name, one in shuffled.by_stitch.items() if one.trials >= ENOUGH_TRIALS]
    assert told_of
    assert {shuffled.leads[name] for name in told_of} == {"baseline"}
    assert "The baseline leads" in shuffled.by_stitch[told_of[0]].verdict.why
    assert found.leads[told_of[0]] == "model"
    assert shuffled.total.skill < found.total.skill


def test_below_the_stated_number_of_swatches_there_is_no_verdict(sewn):
    few = lines(sewn[: ENOUGH_TRIALS - 1], [said(0.5)] * (ENOUGH_TRIALS - 1))
    assert verdict(few, "rolled hem", few).lead == "model"
    assert f"there are {ENOUGH_TRIALS - 1}" in verdict(few, "rolled hem", few).why


def test_a_model_that_tells_passes_from_fails_leads_and_one_that_takes_them_for_each_other_does_not(sewn):
    for right, lead in ((0.9, "model"), (0.1, "baseline")):
        known = lines(sewn, [said(right if trial.passed else 1 - right) for trial in sewn])
        assert verdict(known, "whole log", known).lead == lead


def test_fewer_passes_where_both_were_sewn_make_the_baseline_lead(sewn):
    """However well the model foretells, its own first swatches fail here and the baseline's pass."""
    firsts = [replace(sewn[0], fabric=replace(sewn[0].fabric, name=f"cloth {n}"), passed=n % 2 == 0) for n in range(2 * ENOUGH_FIRST)]
    foretold = [said(0.9 if t.passed else 0.1, at_model=not t.passed, at_baseline=t.passed) for t in firsts]
    known = lines(firsts, foretold)
    assert verdict(known, "rolled hem", known).lead == "baseline"
    assert "on the baseline" in verdict(known, "rolled hem", known).why
    fewer = lines(firsts[2:], foretold[2:]) + lines(firsts[:2], [said(0.9), said(0.1)])
    assert verdict(fewer, "rolled hem", fewer).lead == "model"


def test_after_a_swatch_of_its_own_the_moves_lead(sewn):
    known = lines(sewn, [said(0.1 if trial.passed else 0.9) for trial in sewn])
    before = verdict(known, "whole log", known)
    assert after(before).lead == "model"
    assert before.why in after(before).why


def test_an_empty_log_has_an_empty_score():
    empty = score(())
    assert empty.total.trials == 0
    assert not empty.by_stitch
    assert not empty.reliability
    assert empty.total.verdict.lead == "model"
