"""Named cloths to start a description from."""

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from recommender.trade.fabric import Fabric
from recommender.trade.tables import table


@cache
def presets() -> Mapping[str, Fabric]:
    """Typical cloths by name, to be edited to the one in hand.

    Source: `data/presets.toml`, a source on every row.

    >>> presets()["chiffon"].kind
    'light woven'
    """
    rows = ({key: value for key, value in row.items() if key != "source"} for row in table("presets")["preset"])
    fabrics = (Fabric(**row) for row in rows)
    return MappingProxyType({fabric.name: fabric for fabric in fabrics})
