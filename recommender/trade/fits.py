"""Whether a stitch is meant for a cloth as it lies: what to know before a swatch is spoilt or a needle bent."""

from recommender.trade.fabric import Fabric
from recommender.trade.stitch import Stitch
from recommender.trade.words import counted


def misfit(sewn: Stitch, fabric: Fabric) -> str:
    """What speaks against a stitch in a cloth, in a sentence or two; empty where nothing does. Common practice, no source.

    >>> from recommender.trade.stitch import stitch
    >>> denim = Fabric(name="denim", construction="woven", fibre="cotton", gsm=400, plies=2)
    >>> misfit(stitch("narrow hem"), denim)
    'The narrow hem is sewn on 1 layer as a rule, this has 2.'
    >>> misfit(stitch("four-thread overlock"), denim)
    ''
    """
    told = []
    if sewn.plies is not None and fabric.plies > sewn.plies:
        told.append(f"The {sewn.name} is sewn on {counted(sewn.plies, 'layer')} as a rule, this has {fabric.plies}.")
    if not sewn.heavy and fabric.weight_class == "heavy":
        told.append(
            f"Cloth as heavy as this hardly goes into a {sewn.name}: it jams, or bends the needle. Sew slowly, or take another stitch."
        )
    return " ".join(told)
