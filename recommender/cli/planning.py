"""`next`: the swatches that are worth a piece of cloth."""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NamedTuple

import typer

from recommender.cli.options import JsonOption, SeamOptions, StudioOption, describes_seam
from recommender.cli.show import percent, plain, print_json, print_table
from recommender.errors import FileFault, InvalidValue, OveredgeError
from recommender.trade.fabric import Fabric
from recommender.trade.settings import Settings
from recommender.trade.thread import Thread

if TYPE_CHECKING:
    from recommender.advice.planning.planned import PlannedSwatch
    from recommender.studio import Studio

_MINDED = ("knife", "dials", "seam")
"""Places whose cautions are told with a plan; `propose` tells all."""


@dataclass(frozen=True, kw_only=True)
class WantedSeam(SeamOptions):
    """The options of a seam, none of which is needed."""

    stitch: Annotated[str, typer.Option(help="The stitch by its name; without one, plan a free hour.")] = ""


class Waiting(NamedTuple):
    """A swatch that was planned and has not been rated."""

    fabric: Fabric
    stitch: str
    machine: str
    needle_thread: Thread
    looper_thread: Thread
    settings: Settings


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
    pending: Annotated[
        list[Path] | None,
        typer.Option(exists=True, dir_okay=False, help="What `next --json` or `propose --json` printed and is not rated yet."),
    ] = None,
    stash: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME", help="For a free hour: a logged or usual cloth at hand; say it once for each. All logged if left out."
        ),
    ] = None,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Plan the next swatches: of one fabric and stitch, or, without a stitch, those that teach most in a free hour.

    With --machine alone: those that teach most of that machine. Five of them make a new one known.
    """
    from recommender.studio import Studio

    waiting = [one for path in pending or () for one in read_pending(path)]
    with Studio.open(studio) as opened:
        if options.stitch:
            if stash:
                raise InvalidValue("stash: got --stash and --stitch, expected --stash only for a free hour, without a stitch")
            planned = opened.next(number, **options.seam(opened), learning=learning, pending=waiting)
        else:
            at_hand = _at_hand(opened, options, stash or [])
            planned = opened.next(number, machine=options.machine, fabrics=at_hand, learning=learning, pending=waiting)
        cautions = _cautions(opened, planned)
    if as_json:
        print_json([{**plain(swatch), "sentence": swatch.sentence} for swatch in planned])
    else:
        _print_plan(planned, cautions)


def read_pending(path: Path) -> Iterator[Waiting]:
    """The swatches of a file that `next --json` or `propose --json` printed.

    Raises
    ------
    FileFault
        If it holds anything else.
    """
    try:
        given = json.loads(path.read_text(encoding="utf-8"))
        for one in given if isinstance(given, list) else [given]:
            yield Waiting(
                fabric=Fabric(**one["fabric"]),
                stitch=str(one["stitch"]),
                machine=str(one["machine"]),
                needle_thread=Thread(**one["needle_thread"]),
                looper_thread=Thread(**one["looper_thread"]),
                settings=Settings(**one["settings"]),
            )
    except (ValueError, TypeError, KeyError, OveredgeError) as error:
        raise FileFault(f"{path}: expected what `overedge next --json` prints, but {type(error).__name__}: {error}") from error


def _at_hand(studio: "Studio", options: SeamOptions, names: Sequence[str]) -> list[Fabric] | None:
    """The cloths of a free hour; None for all that were logged."""
    from recommender.trade.names import unknown
    from recommender.trade.presets import presets

    if any(value is not None for name, value in vars(options).items() if name not in ("stitch", "machine")):
        raise InvalidValue("stitch: nothing given, expected --stitch with a fabric, or only --stash and --machine for a free hour")
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
        key = swatch.fabric, swatch.stitch, swatch.machine, swatch.needle_thread, swatch.looper_thread
        seams.setdefault(key, []).append((number, swatch))
        typer.echo(f"{number}. {swatch.sentence}")
    for of_seam in seams.values():
        first = of_seam[0][1]
        typer.echo(f"\n{first.fabric.name}, {first.stitch} on {first.machine}")
        rows = [
            [control, f"{value:g}", *(f"{swatch.settings.controls()[control]:g}" for _, swatch in of_seam)]
            for control, value in first.proposal.controls().items()
        ]
        chances = (percent(swatch.pass_chance) if swatch.chance_known else "not known" for _, swatch in of_seam)
        rows.append(["chance of passing", "", *chances])
        rows.append(["bands narrower by", "", *(f"{100 * swatch.gain:.1f} %" for _, swatch in of_seam)])
        print_table(["control", "proposed", *(f"swatch {number}" for number, _ in of_seam)], rows)
    last = "Sew, read and log each; the machine's manual and local rules come first."
    typer.echo("\n".join(["", last, *(f"CAUTION: {caution}" for caution in cautions)]))
