"""Chances over whole logs, each said before its trial was learned, on the repository's simulated workshop."""

import numpy as np
import pytest
from threadpoolctl import threadpool_limits

from data.demo import generate
from data.demo.workshop import Workshop
from recommender.advice.scoring.lines import lines
from recommender.advice.scoring.replay import in_time, replay
from recommender.advice.scoring.score import reliability

pytestmark = [pytest.mark.slow, pytest.mark.timeout(1800)]

ROOMS = range(500, 506)
FABRICS = 100


@pytest.fixture(scope="module")
def told():
    """The lines of six rooms' logs, kept as the demo's story has it: from the baseline, mended by the trouble-shooting chart."""
    found = []
    with pytest.MonkeyPatch.context() as patch, threadpool_limits(1):
        patch.setattr(generate, "FABRICS", FABRICS)
        for room in ROOMS:
            patch.setattr(generate, "SEED", room)
            trials, machines = in_time(list(generate.trials())), Workshop(room).machines
            found.append(lines(trials, list(replay(trials, machines))))
            print(f"room {room}: {len(trials)} trials, Brier skill {skill(found[-1]):.3f}")
    return found


def skill(found):
    passed = np.array([line.trial.passed for line in found], dtype=float)
    model, base = np.array([line.told.chance for line in found]), np.array([line.rate for line in found])
    return 1 - ((model - passed) ** 2).mean() / ((base - passed) ** 2).mean()


@pytest.mark.xfail(strict=True, reason="0.18 +- 0.03 was reached; what is said comes true, but does not tell the swatches apart enough")
def test_over_whole_logs_of_a_hundred_fabrics_chances_have_a_brier_skill_of_a_quarter(told):
    pooled, by_room = skill([line for room in told for line in room]), [skill(room) for room in told]
    print(f"Brier skill over whole logs: {pooled:.3f} +- {np.std(by_room, ddof=1) / np.sqrt(len(by_room)):.3f}")
    assert pooled >= 0.25


def test_in_every_room_chances_tell_more_than_the_base_rate(told):
    assert min(skill(room) for room in told) > 0


def test_as_many_pass_as_was_said(told):
    """Every part of the chances with at least 50 swatches is within three standard errors and two points of what came of it."""
    parts = [one for one in reliability([line for room in told for line in room]) if one.passed.number >= 50]
    for one in parts:
        print(f"said {one.said:.2f}, passed {one.passed.value:.2f} +- {one.passed.error:.2f} of {one.passed.number}")
        assert abs(one.said - one.passed.value) <= 3 * one.passed.error + 0.02
    assert len(parts) >= 5
