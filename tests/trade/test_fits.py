"""What is said where a stitch is not meant for a cloth as it lies (common practice, no source)."""

from dataclasses import replace

import pytest

from recommender.trade.fits import misfit
from recommender.trade.presets import presets
from recommender.trade.stitch import stitch, stitches

CHIFFON, DENIM = (replace(presets()[name], plies=1) for name in ("chiffon", "denim"))


@pytest.mark.parametrize("name", stitches())
def test_a_hem_is_sewn_on_one_layer_and_nothing_rolls_heavy_cloth(name):
    sewn = stitch(name)
    assert misfit(sewn, CHIFFON) == ""
    assert ("1 layer" in misfit(sewn, replace(CHIFFON, plies=2))) == (sewn.family in ("hem", "rolled") and name != "pin tuck")
    assert ("jams" in misfit(sewn, DENIM)) == (sewn.family == "rolled")
