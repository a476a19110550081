"""What tablets have typed, as a file."""

import stat
from dataclasses import replace

import pytest
from parts import shelf
from parts.drafts import Draft

from recommender import Fabric

JERSEY = Fabric(name="rib *jersey*", construction="knit", fibre="cotton", gsm=220, stretch=60)
SEAM = {"stitch": "four-thread overlock", "machine": "bench"}


@pytest.fixture
def path(tmp_path):
    return tmp_path / "tablets" / "one.json"


def test_a_draft_and_what_was_typed_come_back(studio, path):
    proposal = studio.propose(fabric=JERSEY, **SEAM)
    asked = replace(proposal.settings.having({"differential": 1.9, "tension: right needle": 5}), foot_pressure=2.5)
    draft = Draft(proposal, passed=False, readings={"edge_lie": 1.5}, pending=None, asked=asked, held={"differential": 1.9})
    shelf.put(path, {"draft": draft, "cloth.name": "rib *jersey*", "flags": ["jam"], "set.length": 2.5, "shown": draft.proposal})
    back = shelf.taken(path, studio)
    assert (back["cloth.name"], back["flags"], back["set.length"]) == ("rib *jersey*", ["jam"], 2.5)
    assert (back["draft"].proposal, back["draft"].passed, back["draft"].readings) == (draft.proposal, False, {"edge_lie": 1.5})
    assert (back["draft"].trial_id, back["draft"].held) == (draft.trial_id, {"differential": 1.9})
    assert back["draft"].asked == asked
    assert "shown" not in back
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_swatch_that_is_saved_is_no_draft_any_more(studio, path):
    proposal = studio.propose(fabric=JERSEY, **SEAM)
    draft = Draft(proposal, passed=True, saved=studio.record(fabric=JERSEY, **SEAM, settings=proposal.settings, passed=True))
    shelf.put(path, {"draft": draft})
    assert shelf.taken(path, studio) == {}


@pytest.mark.parametrize("text", ["", "[1]", '{"draft": {"seam": {}}}', '{"draft": 5}', '{"draft": {"seam": {"fabric": {"gsm": 1}}}}'])
def test_a_file_that_says_nothing_gives_nothing(studio, path, text):
    path.parent.mkdir()
    path.write_text(text)
    assert shelf.taken(path, studio) == {}


def test_what_the_file_says_already_is_not_written_again(path):
    said = shelf.put(path, {"note": "half", "cloth.weight.behind": ("6.5 oz/yd2", 220.0)})
    path.unlink()
    assert shelf.put(path, {"note": "half", "cloth.weight.behind": ("6.5 oz/yd2", 220.0)}, said) == said
    assert not path.exists()
    assert shelf.put(path, {"note": "half a sen"}, said) != said
    assert path.exists()


def test_only_so_many_tablets_are_kept(monkeypatch, path):
    monkeypatch.setattr(shelf, "MOST", 2)
    for number in range(4):
        shelf.put(path.with_name(f"{number}.json"), {"note": str(number)})
    assert len(list(path.parent.glob("*.json"))) == 2
