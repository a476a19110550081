"""`drift` and `translate`: machines that change, and other machines."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING, Annotated

import typer

from recommender.cli.options import BEFORE_TURNING, JsonOption, SeamOptions, StudioOption, describes_seam, moment, read_settings
from recommender.cli.show import plain, print_json, print_table
from recommender.errors import InvalidValue
from recommender.trade.words import chance, percent

if TYPE_CHECKING:
    from recommender.advice.planning.planned import Planned
    from recommender.advice.translate import Translation
    from recommender.advice.watching.drift import Drift
    from recommender.studio import Studio

_WATCHED = ("told", "sentence", "warning", "doubted", "stood_before", "look", "noted_since")
"""What is told of a watch as JSON."""
_NAMED = 3
"""Suspects that are named beside the likeliest."""


@dataclass(frozen=True, kw_only=True)
class GivenSeam(SeamOptions):
    """The options of a seam, none of which is needed where a trial is named."""

    stitch: Annotated[str, typer.Option(help="The stitch by its name; leave it out with --trial.")] = ""


def drift(
    machine: Annotated[str | None, typer.Option(help="The machine; every one of the studio if left out.")] = None,
    since: Annotated[
        datetime | None,
        typer.Option(
            help="Only what was sewn from then on, in your time zone, is looked at; if left out, from the last service on, or from the "
            "care that answered an alarm."
        ),
    ] = None,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Tell whether machines still behave as their log says, and where to look first; status 1 where one has drifted."""
    from recommender.studio import Studio

    with Studio.open(studio) as opened:
        found = opened.drift(machine, moment(since))
    if as_json:
        print_json([{**plain(one), **watched(one)} for one in found])
    else:
        _print_drift(found)
    if any(one.told for one in found):
        raise typer.Exit(1)


@partial(describes_seam, of=GivenSeam)
def translate(
    options: SeamOptions,
    *,
    to: Annotated[str, typer.Option(help="The machine that the settings are wanted for.")],
    trial: Annotated[str | None, typer.Option(help="Id of a logged swatch, instead of the seam's description.")] = None,
    setting: Annotated[
        list[str] | None,
        typer.Option(
            metavar="CONTROL=VALUE",
            help="A control that is set otherwise than proposed; say it once for each. Without any: as the last swatch that passed.",
        ),
    ] = None,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Turn the settings of one machine into those with which another sews the same, with bands."""
    from recommender.studio import Studio

    with Studio.open(studio) as opened:
        found = _of_trial(opened, options, trial, to, setting) if trial else _of_seam(opened, options, to, setting)
        both = [replace(found, machine=name) for name in (found.machine, found.to)]
        warnings = warnings_of(watches(opened, (found.machine, found.to)), both)
    if as_json:
        print_json({**plain(found), "sentences": found.sentences, "chance_known": found.chance_known, "warnings": warnings})
    else:
        _print_translation(found, warnings)


def watched(found: "Drift") -> dict[str, object]:
    """What a watch tells, for a program to read."""
    return {name: getattr(found, name) for name in _WATCHED}


def watches(studio: "Studio", machines: Iterable[str]) -> "list[Drift]":
    """What is known of some machines, each once."""
    return [found for name in dict.fromkeys(machines) for found in studio.drift(name)]


def warnings_of(found: "Iterable[Drift]", swatches: "Sequence[Planned]") -> list[str]:
    """What to know of machines before their dials are set for some swatches, a sentence each."""
    return [one.warning for one in found if one.warns(swatches)]


def print_warnings(warnings: Iterable[str]) -> None:
    """Warnings of machines, each on a line of its own with the way to more."""
    for warning in warnings:
        typer.echo(f"{warning} More: overedge drift")


def _of_trial(studio: "Studio", options: SeamOptions, trial: str, to: str, setting: Sequence[str] | None) -> "Translation":
    if setting or options.given:
        raise InvalidValue("translate: got --trial and more about the seam, expected --trial alone or a described seam")
    return studio.translate(trial=trial, to=to)


def _of_seam(studio: "Studio", options: SeamOptions, to: str, setting: Sequence[str] | None) -> "Translation":
    if not options.stitch:
        raise InvalidValue("translate: nothing given, expected --trial, or --stitch with a cloth and --machine")
    seam = options.seam(studio)
    given = read_settings(studio.propose(**seam).settings, setting) if setting else None
    return studio.translate(**seam, settings=given, to=to)


def _print_drift(found: "Sequence[Drift]") -> None:
    if not found:
        typer.echo("No machine yet; add one with: overedge machine add NAME --generic")
    for one in found:
        typer.echo(one.sentence)
        if one.stood_before:
            typer.echo(f"  {one.stood_before}")
        for other in one.suspects[1 : 1 + _NAMED] if one.told else ():
            typer.echo(f"  Or, with {percent(other.chance)}: {other.sentence}")
        if one.noted_since:
            typer.echo(f"  {one.noted_since}")
        for number, step in enumerate(one.look, start=1):
            typer.echo(f"  {number}. {step.text}" + (f"\n     CAUTION: {step.caution}" if step.caution else ""))


def _print_translation(found: "Translation", warnings: Iterable[str]) -> None:
    typer.echo(f"{found.fabric.name}, {found.stitch}: from {found.machine} to {found.to}")
    print_warnings(warnings)
    rows = [
        [one.control, f"{one.given:g}", f"{one.value:g}", f"{one.band.low:.2f} to {one.band.high:.2f}", f"{one.plain:g}"]
        for one in found.carried
    ]
    print_table(["control", found.machine, found.to, "band (80 %)", "by the home marks alone"], rows)
    known = f"{chance(found.pass_chance)}, from {found.ratings} ratings"
    typer.echo(f"Chance of passing on {found.to}: {known if found.chance_known else f'too few ratings to say ({found.ratings})'}.")
    typer.echo(f"{BEFORE_TURNING} Sew a swatch before the seam.")
