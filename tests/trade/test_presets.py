"""Named cloths to start from."""

from recommender.trade.baseline import baseline
from recommender.trade.fabric import CONSTRUCTIONS
from recommender.trade.machine import Machine
from recommender.trade.presets import presets
from recommender.trade.stitch import stitch, stitches
from recommender.trade.tables import table
from recommender.trade.thread import ORDINARY


def test_there_are_a_dozen_presets_and_more_of_every_construction():
    assert len(presets()) >= 12
    assert {fabric.construction for fabric in presets().values()} == set(CONSTRUCTIONS)
    assert {"T-shirt jersey", "chiffon", "sweatshirt fleece", "denim"} <= presets().keys()


def test_every_preset_has_its_own_name_and_a_source():
    rows = table("presets")["preset"]
    assert len(rows) == len(presets())
    assert all(row["source"] for row in rows)
    assert all(name == fabric.name for name, fabric in presets().items())


def test_every_preset_can_be_sewn_with_every_stitch():
    machine = Machine.generic("bench")
    for fabric in presets().values():
        for name in stitches():
            start = baseline(fabric, stitch(name), machine, ORDINARY, ORDINARY).settings
            assert all(machine.dial(control).holds(value) for control, value in start.controls().items())
