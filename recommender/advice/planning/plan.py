"""The next swatches: which settings, of which seam, are worth a piece of cloth.

Swatches are chosen one after the other by `recommender.advice.planning.exchange`, each knowing that those before it, and those that are
pending, will have been read. What they will say is not known, so the chances to pass stay as they are.
"""

import math
from collections.abc import Callable, Sequence

from recommender.advice.model import Model, cloth
from recommender.advice.moves import best_settings
from recommender.advice.planning.exchange import Bench, Design, Find
from recommender.advice.planning.foresight import target
from recommender.advice.planning.joint import joint
from recommender.advice.planning.options import options
from recommender.advice.planning.planned import PlannedSwatch
from recommender.advice.seam import Seam
from recommender.errors import InvalidValue
from recommender.swatches.trial import Trial
from recommender.trade.settings import Settings

LEARNING = 1.0
"""The one number that trades passing now against learning: how many points of pass chance one percent of band width is worth."""

_MOST = 50


def plan(
    model: Model,
    stash: Sequence[Seam],
    n: int,
    *,
    learning: float = LEARNING,
    pending: Sequence[tuple[Seam, Settings]] = (),
    earlier: Callable[[Seam], Sequence[Trial]] = lambda _: (),
) -> tuple[PlannedSwatch, ...]:
    """The next n swatches, in the order in which they are worth sewing; fewer where nothing is left that was not planned or failed.

    Parameters
    ----------
    stash : seams that swatches can be sewn of, and whose bands are to shrink
    learning : points of pass chance that one percent of band width is worth; 0 for passing alone, infinite for learning alone
    pending : swatches that are planned or sewn and not yet rated
    earlier : the swatches that were sewn of a seam: the proposal starts from the last one, and what failed is not planned again

    Raises
    ------
    InvalidValue
        If there is nothing to sew or to learn of, or `n` or `learning` cannot be.
    """
    _check(stash, n, learning)
    seams = {_key(seam): seam for seam in (*stash, *(seam for seam, _ in pending))}
    benches = {key: _bench(place, model, seam, earlier(seam)) for place, (key, seam) in enumerate(seams.items())}
    at_hand = [benches[key] for key in dict.fromkeys(map(_key, stash))]
    aims = tuple(target(bench.place, bench.seam, bench.outlook) for bench in at_hand)
    design = Design(joint(model, tuple(seams.values())), aims, learning, {}, {})
    for seam, settings in pending:
        design = design.after(benches[_key(seam)], seam.amounts(settings))
    planned = []
    for _ in range(n):
        found = design.best(at_hand)
        if math.isinf(found.worth):
            break
        after = design.after(found.bench, found.amounts)
        planned.append(_told(found, _tells(design, after)))
        design = after
    return tuple(planned)


def _key(seam: Seam) -> tuple[object, ...]:
    """What tells one seam from another."""
    lies = seam.fabric.plies, seam.fabric.grain
    return cloth(seam.fabric), lies, seam.stitch.name, seam.machine.name, seam.needle_thread, seam.looper_thread


def _check(stash: Sequence[Seam], n: object, learning: object) -> None:
    if not stash:
        raise InvalidValue("plan: got no cloth to sew swatches of, expected at least one; log a swatch first, or name one")
    if not isinstance(n, int) or isinstance(n, bool) or not 1 <= n <= _MOST:
        raise InvalidValue(f"number of swatches: got {n!r}, expected a whole number from 1 to {_MOST}")
    if not isinstance(learning, int | float) or not learning >= 0:
        raise InvalidValue(f"learning: got {learning!r}, expected a number from 0, for passing alone, upwards")


def _bench(place: int, model: Model, seam: Seam, earlier: Sequence[Trial]) -> Bench:
    outlook = model.outlook(seam, earlier)
    proposal = best_settings(outlook, seam, earlier[-1].settings if earlier else None)
    return Bench(place, seam, outlook, proposal, options(seam, proposal))


def _tells(before: Design, after: Design) -> str:
    """The control whose bands one swatch shrinks most, over all targets."""
    shrunk: dict[str, float] = {}
    for aim in before.targets:
        lost = aim.widths(before.told) - aim.widths(after.told)
        for control, by in zip(before.told.seams[aim.place].controls, lost.tolist(), strict=True):
            shrunk[control] = shrunk.get(control, 0.0) + by
    return max(shrunk, key=lambda control: shrunk[control])


def _told(found: Find, tells: str) -> PlannedSwatch:
    seam = found.bench.seam
    values = {c: seam.value(c, amount) for c, amount in zip(seam.controls, found.amounts.tolist(), strict=True)}
    on_steps = {control: seam.machine.dial(control).nearest(value) for control, value in values.items()}
    return PlannedSwatch(
        fabric=seam.fabric,
        stitch=seam.stitch.name,
        machine=seam.machine.name,
        needle_thread=seam.needle_thread,
        looper_thread=seam.looper_thread,
        settings=found.bench.proposal.having(on_steps),
        proposal=found.bench.proposal,
        pass_chance=float(found.bench.outlook.pass_chance(found.amounts)),
        ratings=found.bench.outlook.standard.ratings,
        gain=found.gain,
        tells=tells,
    )
