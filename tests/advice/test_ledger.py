"""What a studio keeps of the replay: cheap to follow, the same in the end, good only for its own log."""

from dataclasses import replace

import pytest

from data.demo.workshop import Workshop
from recommender.advice.model import fitted
from recommender.advice.scoring.ledger import FEW, Ledger, following, replayed
from recommender.advice.scoring.ledger_file import keep_ledger, kept_ledger
from recommender.advice.scoring.replay import replay
from tests.advice.test_score import dated, logged


@pytest.fixture(scope="module")
def room():
    return Workshop(seed=44)


@pytest.fixture(scope="module")
def sewn(room):
    return dated(logged(room, 10))


@pytest.fixture(scope="module")
def told(room, sewn):
    return list(replay(sewn, room.machines))


def chances(ledger):
    return [one.chance for one in ledger.told]


def test_a_few_trials_that_come_in_last_are_told_as_the_replay_tells_them(room, sewn, told):
    before = fitted(sewn[:24], room.machines)
    ledger = following(Ledger(tuple(sewn[:24]), tuple(told[:24]), 24), sewn[: 24 + FEW], room.machines, before, before)
    assert chances(ledger)[24:] == pytest.approx([one.chance for one in told[24 : 24 + FEW]], rel=1e-9)
    assert [one.at_model for one in ledger.told] == [one.at_model for one in told[: 24 + FEW]]
    assert ledger.behind == FEW


def test_many_at_once_have_a_stand_in_until_they_are_replayed(room, sewn, told):
    quick = following(Ledger(), sewn, room.machines, None, fitted(sewn, room.machines))
    assert all(one.apart for one in quick.told)
    assert quick.behind == len(sewn)
    done = replayed(quick, room.machines)
    assert not done.behind
    assert done.told == tuple(told)


def test_a_correction_leaves_what_was_said_before_it(room, sewn, told):
    whole = Ledger(tuple(sewn), tuple(told), len(told))
    now = [*sewn[:20], replace(sewn[20], passed=not sewn[20].passed), *sewn[21:]]
    corrected = following(whole, now, room.machines, fitted(sewn, room.machines), fitted(now, room.machines))
    assert corrected.told[:20] == tuple(told[:20])
    assert corrected.replayed == 20
    assert all(one.apart for one in corrected.told[20:])
    withdrawn = following(whole, sewn[:-1], room.machines, fitted(sewn, room.machines), fitted(sewn[:-1], room.machines))
    assert withdrawn.told == tuple(told[:-1])
    assert not withdrawn.behind


def test_a_kept_ledger_comes_back_for_its_own_log_and_no_other(tmp_path, room, sewn, told):
    whole = Ledger(tuple(sewn), tuple(told), len(told))
    keep_ledger(tmp_path / "score", whole, room.machines)
    assert kept_ledger(tmp_path / "score", sewn, room.machines) == whole
    longer = [*sewn, replace(sewn[-1], id="another")]
    assert kept_ledger(tmp_path / "score", longer, room.machines) == whole
    corrected = [replace(sewn[0], passed=not sewn[0].passed), *sewn[1:]]
    assert kept_ledger(tmp_path / "score", corrected, room.machines) == Ledger()
    assert kept_ledger(tmp_path / "score", sewn[:-1], room.machines) == Ledger()
    assert kept_ledger(tmp_path / "none", sewn, room.machines) == Ledger()


def test_the_bands_are_kept_too(tmp_path, room, sewn, told):
    keep_ledger(tmp_path / "score", Ledger(tuple(sewn), tuple(told), 5), room.machines)
    back = kept_ledger(tmp_path / "score", sewn, room.machines)
    assert back.told == tuple(told[:5])
    assert back.told[0].bands == told[0].bands
    assert len(back.trials) == back.replayed == 5
