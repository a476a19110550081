"""What a studio could sew swatches of in a free hour: its cloths, each with the stitches and machines that suit."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from recommender.advice.model import same_cloth
from recommender.advice.seam import Seam
from recommender.swatches.trial import Trial
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Machine
from recommender.trade.stitch import stitch, stitches
from recommender.trade.thread import ORDINARY, Thread

MOST = 24
"""So many seams are looked at; of a larger stash as many, evenly spread over it."""


def stash(
    trials: Sequence[Trial], machines: Mapping[str, Machine], fabrics: Iterable[Fabric] | None = None, names: Sequence[str] | None = None
) -> tuple[Seam, ...]:
    """The seams at hand.

    Parameters
    ----------
    fabrics : the cloths at hand; None for all that were logged, as last described
    names : the stitches wanted; None for those that each cloth was sewn with, or for a new cloth the one that the log has most often
    """
    at_hand = tuple({trial.fabric.name: trial.fabric for trial in trials}.values()) if fabrics is None else tuple(fabrics)
    seams = [
        Seam(fabric, stitch(name), machine, *_threads(trials, fabric, name))
        for fabric in at_hand
        for name in (_sewn_with(trials, fabric) if names is None else names)
        for machine in machines.values()
        if not stitch(name).lacking(machine)
    ]
    if len(seams) <= MOST:
        return tuple(seams)
    return tuple(seams[place * len(seams) // MOST] for place in range(MOST))


def _sewn_with(trials: Sequence[Trial], fabric: Fabric) -> Iterable[str]:
    own = dict.fromkeys(trial.stitch for trial in trials if same_cloth(trial.fabric, fabric))
    usual = Counter(trial.stitch for trial in trials).most_common(1)
    return own or [usual[0][0] if usual else stitches()[0]]


def _threads(trials: Sequence[Trial], fabric: Fabric, name: str) -> tuple[Thread, Thread]:
    """The threads of this cloth's last swatch with the stitch, else of the stitch's last, else ordinary ones."""
    with_stitch = [trial for trial in trials if trial.stitch == name]
    own = [trial for trial in with_stitch if same_cloth(trial.fabric, fabric)]
    last = (own or with_stitch)[-1:]
    return (last[0].needle_thread, last[0].looper_thread) if last else (ORDINARY, ORDINARY)
