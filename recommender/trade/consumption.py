"""How much thread a seam takes."""

from recommender.trade.fabric import Fabric
from recommender.trade.settings import Settings
from recommender.trade.stitch import Stitch
from recommender.trade.tables import table

_USUAL = 350.0
"""g/m2 of a cloth that is 1 mm thick, where the thickness is not given (from memory)."""


def thread_ratio(stitch: Stitch, settings: Settings, fabric: Fabric) -> float | None:
    """Metres of thread, all threads together, for a metre of seam; None where no rule is published for the stitch.

    Waste at the ends is not in it. Source: `data/consumption.toml`.

    >>> from recommender.trade.stitch import stitch
    >>> jersey = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=210)
    >>> plain = Settings(tension={"left needle": 4, "upper looper": 4, "lower looper": 4}, differential=1, length=2.5, width=6)
    >>> round(thread_ratio(stitch("three-thread overlock wide"), plain, jersey), 1)
    14.5
    """
    rule = next((row for row in table("consumption")["rule"] if (row["iso"], row["family"]) == (stitch.iso, stitch.family)), None)
    if rule is None:
        return None
    layer = fabric.gsm / _USUAL if fabric.thickness is None else fabric.thickness
    loops = rule["width"] * settings.width + rule["thickness"] * layer * fabric.plies
    return float(rule["start"] + loops / settings.length)
