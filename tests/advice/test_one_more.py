"""What one control more would change."""

from dataclasses import replace

import numpy as np
import pytest

from recommender.advice.model import seam_of
from recommender.advice.moves import moves_between
from recommender.advice.one_more import one_more
from recommender.advice.proposal import propose


@pytest.fixture(scope="module")
def cases(taught, log, shop):
    """Failed swatches: seam, what is believed of it, the swatch, what is proposed after it, and one control more."""
    found = []
    for trial in [trial for trial in log if not trial.passed][:12]:
        seam = seam_of(trial, shop.machines)
        outlook, proposal = taught.outlook(seam), propose(taught, seam, [trial])
        found.append((seam, outlook, trial, proposal, one_more(outlook, seam, trial.settings, proposal.settings)))
    assert sum(more is not None for *_, more in found) >= 6
    return [case for case in found if case[-1] is not None]


def test_it_moves_what_the_proposal_moves_and_one_control_besides(cases):
    for _, _, trial, proposal, more in cases:
        few = {move.control for move in proposal.moves}
        assert more.further.control not in few
        assert {move.control for move in more.moves} <= few | {more.further.control}
        assert more.moves == moves_between(trial.settings, more.settings)
        assert more.further in more.moves


def test_its_chance_is_that_of_its_settings_and_every_setting_that_moves_is_on_the_dial(cases):
    for seam, outlook, _, _, more in cases:
        assert more.pass_chance == pytest.approx(float(outlook.pass_chance(seam.amounts(more.settings))))
        assert all(seam.machine.dial(move.control).nearest(move.end) == pytest.approx(move.end) for move in more.moves)


def test_no_other_further_control_would_cost_less_of_the_pass_chance(cases):
    """Every further control is tried alone over its whole dial, the others as proposed; the search may trade a little for the readings."""
    for seam, outlook, _, proposal, more in cases:
        few = {move.control for move in proposal.moves}
        others = [control for control in seam.controls if control not in few]
        tried = [
            proposal.settings.having({c: seam.machine.dial(c).at(step)}) for c in others for step in range(seam.machine.dial(c).steps + 1)
        ]
        chances = outlook.pass_chance(np.array([seam.amounts(settings) for settings in tried]))
        assert more.pass_chance > chances.max() - 0.08


def test_fails_elsewhere_are_heeded_in_the_choice_and_in_the_chance(cases):
    for seam, outlook, trial, proposal, more in cases:
        failing = replace(outlook, failed=np.repeat(seam.amounts(more.settings)[None], 4, axis=0))
        again = one_more(failing, seam, trial.settings, proposal.settings)
        assert again.pass_chance == pytest.approx(float(failing.pass_chance(seam.amounts(again.settings))))
        assert again.pass_chance < float(outlook.pass_chance(seam.amounts(again.settings)))


def test_where_every_control_moves_there_is_none_more(cases):
    seam, outlook, trial, *_ = cases[0]
    ends = {
        c: seam.machine.dial(c).high if value != seam.machine.dial(c).high else seam.machine.dial(c).low
        for c, value in trial.settings.controls().items()
    }
    assert one_more(outlook, seam, trial.settings, seam.settings(ends)) is None
