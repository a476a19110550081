"""`next` and `pending`: the swatches that are worth a piece of cloth, and those that wait for one."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Annotated, Any

import typer

from recommender.cli.fleet import print_warnings, warnings_of, watches
from recommender.cli.options import JsonOption, SeamOptions, StudioOption, describes_seam
from recommender.cli.show import plain, print_json, print_table
from recommender.errors import InvalidValue
from recommender.trade.asked import asking
from recommender.trade.fabric import Fabric
from recommender.trade.words import chance

if TYPE_CHECKING:
    from recommender.advice.planning.planned import PlannedSwatch
    from recommender.studio import Studio

_MINDED = ("knife", "dials", "seam")
"""Places whose cautions are told with a plan; `propose` tells all."""


@dataclass(frozen=True, kw_only=True)
class WantedSeam(SeamOptions):
    """The options of a seam, none of which is needed."""

    stitch: Annotated[str, typer.Option(help="The stitch by its name; without one, plan a free hour.")] = ""


@partial(describes_seam, of=WantedSeam)
def next_(
    options: SeamOptions,
    *,
    number: Annotated[int, typer.Option("--number", "-n", help="How many swatches.")] = 3,
    learning: Annotated[
        float | None,
        typer.Option(
            help="How many points of pass chance one percent of band width is worth: 0 for passing alone, inf for learning alone; "
            "1 if left out, inf in a free hour."
        ),
    ] = None,
    stash: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME", help="For a free hour: a logged or usual cloth at hand; say it once for each. All logged if left out."
        ),
    ] = None,
    set_aside: Annotated[bool, typer.Option("--set-aside", help="Put them on the list that `overedge pending` shows.")] = False,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Plan the next swatches: of one cloth and stitch, or, without a stitch, those that teach most in a free hour.

    With --machine alone: those that teach most of that machine. Five of them make a new one known. What waits on the list of planned
    swatches counts as sewn.
    """
    from recommender.studio import Studio

    with Studio.open(studio) as opened:
        if options.stitch:
            if stash:
                raise InvalidValue("stash: got --stash and --stitch, expected --stash only for a free hour, without a stitch")
            planned = opened.next(number, **options.seam(opened), learning=learning)
        else:
            at_hand = _at_hand(opened, options, stash or [])
            planned = opened.next(number, machine=options.machine, fabrics=at_hand, learning=learning)
        cautions = _cautions(opened, planned)
        found = watches(opened, (swatch.machine for swatch in planned))
        waiting = [_put_aside(opened, swatch) if set_aside else None for swatch in planned]
    if as_json:
        told = [{**plain(swatch), "sentence": swatch.sentence, "warnings": warnings_of(found, [swatch])} for swatch in planned]
        print_json([{**swatch, "pending": mark} for swatch, mark in zip(told, waiting, strict=True)])
        return
    print_warnings(warnings_of(found, planned))
    _print_plan(planned, cautions)
    for place, mark in enumerate(waiting, start=1):
        if mark is not None:
            typer.echo(f"Set aside swatch {place}; once it is sewn: overedge record --pending {mark} --pass (or --fail)")


def pending(
    *,
    drop: Annotated[list[str] | None, typer.Option(metavar="ID", help="Take this one off the list unsewn; say it once for each.")] = None,
    why: Annotated[str, typer.Option(help="Why it is no longer wanted.")] = "",
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """List the planned swatches that wait to be sewn, the oldest first."""
    from recommender.studio import Studio

    if why and not drop:
        raise InvalidValue("why: got a reason and nothing to take off the list, expected --drop with it")
    with Studio.open(studio) as opened:
        for mark in drop or ():
            opened.drop(mark, why)
        waiting = opened.pending()
        found = watches(opened, (one.machine for one in waiting))
    if as_json:
        print_json([{**plain(one), "name": one.name, "warnings": warnings_of(found, [one])} for one in waiting])
        return
    if not waiting:
        typer.echo("No swatch waits to be sewn; plan some with: overedge next --set-aside")
    print_warnings(warnings_of(found, waiting))
    for one in waiting:
        dials = ", ".join(f"{control} {value:g}" for control, value in one.settings.controls().items())
        typer.echo(f"{one.id}  {one.entry}\n  {dials}" + (f"\n  {one.reason}" if one.reason else ""))


def _put_aside(studio: "Studio", swatch: "PlannedSwatch") -> str:
    """The planned swatch's id on the list."""
    return studio.set_aside(**asking(swatch), settings=swatch.settings, reason=swatch.reason).id


def _at_hand(studio: "Studio", options: SeamOptions, names: Sequence[str]) -> list[Fabric] | None:
    """The cloths of a free hour; None for all that were logged."""
    from recommender.trade.names import unknown
    from recommender.trade.presets import presets

    if options.given - {"stitch", "machine"}:
        raise InvalidValue("stitch: nothing given, expected --stitch with a cloth, or only --stash and --machine for a free hour")
    known = {**presets(), **studio.fabrics()}
    for name in names:
        if name not in known:
            raise unknown("stash", name, known)
    return [known[name] for name in names] or None


def _cautions(studio: "Studio", planned: "Sequence[PlannedSwatch]") -> list[str]:
    from recommender.trade.preparation import preparation
    from recommender.trade.stitch import stitch

    steps = [step for swatch in planned for step in preparation(stitch(swatch.stitch), studio.machines[swatch.machine])]
    return list(dict.fromkeys(step.caution for step in steps if step.place in _MINDED and step.caution))


def _print_plan(planned: "Sequence[PlannedSwatch]", cautions: Sequence[str]) -> None:
    seams: dict[Any, list[tuple[int, PlannedSwatch]]] = {}
    for number, swatch in enumerate(planned, start=1):
        seams.setdefault(tuple(asking(swatch).values()), []).append((number, swatch))
        typer.echo(f"{number}. {swatch.sentence}")
    for of_seam in seams.values():
        first = of_seam[0][1]
        typer.echo(f"\n{first.fabric.name}, {first.stitch} on {first.machine}")
        rows = [
            [control, f"{value:g}", *(f"{swatch.settings.controls()[control]:g}" for _, swatch in of_seam)]
            for control, value in first.proposal.controls().items()
        ]
        chances = (chance(swatch.pass_chance) if swatch.chance_known else "not known" for _, swatch in of_seam)
        rows.append(["chance of passing", "", *chances])
        rows.append(["bands narrower by", "", *(f"{100 * swatch.gain:.1f} %" for _, swatch in of_seam)])
        print_table(["control", "proposed", *(f"swatch {number}" for number, _ in of_seam)], rows)
    last = "Sew, read and log each; the machine's manual and local rules come first."
    typer.echo("\n".join(["", last, *(f"CAUTION: {caution}" for caution in cautions)]))
