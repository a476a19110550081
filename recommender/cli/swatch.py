"""`propose` and `record`: one swatch at a time."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING, Annotated

import typer

from recommender.cli.fleet import print_warnings, warnings_of, watched
from recommender.cli.options import (
    BEFORE_TURNING,
    FLAGS_HELP,
    READINGS_HELP,
    JsonOption,
    SeamOptions,
    StudioOption,
    describes_seam,
    moment,
    read_readings,
    read_settings,
)
from recommender.cli.show import plain, print_json, print_table
from recommender.errors import InvalidValue, UnknownName
from recommender.trade.asked import Asked, asking
from recommender.trade.words import chance, counted

if TYPE_CHECKING:
    from recommender.advice.moves import Move
    from recommender.advice.proposal import Proposal
    from recommender.advice.why import Term
    from recommender.studio import Studio
    from recommender.trade.machine import Machine
    from recommender.trade.preparation import Step
    from recommender.trade.settings import Settings

_CAUSES = 4
"""Causes of a difference that are told one by one."""
_STILL = "no control to move; look at needle, thread and threading first."


@dataclass(frozen=True, kw_only=True)
class SewnSeam(SeamOptions):
    """The options of a seam, none of which is needed where a planned swatch is named."""

    stitch: Annotated[str, typer.Option(help="The stitch by its name; leave it out with --pending.")] = ""


@describes_seam
def propose(options: SeamOptions, *, studio: StudioOption = None, as_json: JsonOption = False) -> None:
    """Propose settings for a cloth, beside the baseline, each with its band and why it differs."""
    from recommender.studio import Studio
    from recommender.trade.fits import misfit
    from recommender.trade.needles import needle_for
    from recommender.trade.preparation import preparation
    from recommender.trade.stitch import stitch

    with Studio.open(studio) as opened:
        proposal = opened.propose(**options.seam(opened))
        on = opened.machines[proposal.machine]
        steps = preparation(stitch(proposal.stitch), on, needle_for(proposal.fabric, proposal.needle_thread))
        (watch,) = opened.drift(proposal.machine)
        warnings, unfit = warnings_of([watch], [proposal]), misfit(stitch(proposal.stitch), proposal.fabric)
    if as_json:
        more = {"chance_known": proposal.chance_known, "moves": _moves(proposal.moves), "preparation": steps, "unfit": unfit}
        print_json({**plain(proposal), **more, "drift": watched(watch), "warnings": warnings})
    else:
        if unfit:
            typer.echo(f"CAUTION: {unfit}")
        _print_proposal(proposal, on, steps, warnings)


@partial(describes_seam, of=SewnSeam)
def record(
    options: SeamOptions,
    *,
    passed: Annotated[bool, typer.Option("--pass/--fail", help="By your own standard.")],
    pending: Annotated[
        str | None, typer.Option(metavar="ID", help="The planned swatch that was sewn, as `overedge pending` lists it; it leaves the list.")
    ] = None,
    setting: Annotated[
        list[str] | None,
        typer.Option(metavar="CONTROL=VALUE", help="A control that was set otherwise than proposed; say it once for each."),
    ] = None,
    reading: Annotated[list[str] | None, typer.Option(metavar="NAME=SCORE", help=READINGS_HELP)] = None,
    flag: Annotated[list[str] | None, typer.Option(metavar="NAME", help=FLAGS_HELP)] = None,
    seam_change: Annotated[float | None, typer.Option(help="Measured change of the seam's length, in %; longer is positive.")] = None,
    needle_size: Annotated[str | None, typer.Option(metavar="SIZE", help="Needle size as on its packet, such as 80 or 80/12.")] = None,
    needle_hours: Annotated[float | None, typer.Option(help="Hours this needle has sewn.")] = None,
    who: Annotated[str, typer.Option(help="Who sewed it.")] = "",
    note: Annotated[str, typer.Option(help="Anything else.")] = "",
    when: Annotated[datetime | None, typer.Option(help="When it was sewn, in your time zone; now if left out.")] = None,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Log a swatch that was sewn as proposed or planned, or with a --setting otherwise; after a fail, say what to move next."""
    from recommender.advice.after_a_fail import after_a_fail
    from recommender.studio import Studio

    with Studio.open(studio) as opened:
        seam, start = _meant(opened, options, pending)
        trial = opened.record(
            **seam,
            settings=read_settings(start, setting or ()),
            passed=passed,
            readings=read_readings(reading or ()),
            flags=flag or (),
            seam_change=seam_change,
            needle_size=needle_size,
            needle_hours=needle_hours,
            who=who,
            note=note,
            when=moment(when),
            pending=pending,
        )
        following = None if passed else opened.propose(**seam)
        warnings = [] if following is None else warnings_of(opened.drift(trial.machine), [following])
        todo = None if following is None else after_a_fail(trial, start, following.moves, opened.machines[trial.machine])
    if as_json:
        after = None if todo is None else {**plain(todo), "moves": _moves(todo.moves)}
        print_json({"trial": trial, "warnings": warnings, "after": after})
        return
    typer.echo(
        f"Logged as {trial.id}: {trial.fabric.name}, {trial.stitch} on {trial.machine}, {'passed' if trial.passed else 'failed'}, with"
    )
    print_table(["control", "set to"], [[control, f"{value:g}"] for control, value in trial.settings.controls().items()])
    if todo is not None:
        print_warnings(warnings)
        for title, steps in (("Before the dials:", todo.first), ("At the end of a dial:", todo.ends)):
            _print_lines(title, [f"{step.text} CAUTION: {step.caution}" for step in steps])
        still = "leave every control; once that is mended, sew it again as it was." if todo.again else _STILL
        _print_lines("Next:", [*(move.sentence for move in todo.moves), *filter(None, [todo.which_needle])] or [still])
        typer.echo(BEFORE_TURNING)


def _meant(studio: "Studio", options: SeamOptions, pending: str | None) -> tuple[Asked, "Settings"]:
    """The seam that was sewn, and the settings where nothing else is said: those of the planned swatch, or the proposed ones."""
    if pending is None:
        if not options.stitch:
            raise InvalidValue("stitch: nothing given, expected --stitch with a cloth, or --pending")
        seam = options.seam(studio)
        return seam, studio.propose(**seam).leading
    if options.given:
        raise InvalidValue("record: got --pending and more about the seam, expected --pending alone or a described seam")
    waiting = {one.id: one for one in studio.pending()}
    if pending not in waiting:
        raise UnknownName(f"planned swatch: got {pending[:80]!r}, expected the id of one that waits, as `overedge pending` lists it")
    return asking(waiting[pending]), waiting[pending].settings


def _moves(moves: "Iterable[Move]") -> list[dict[str, object]]:
    return [{**plain(move), "sentence": move.sentence} for move in moves]


def _print_proposal(proposal: "Proposal", machine: "Machine", steps: "Iterable[Step]", warnings: "Iterable[str]") -> None:
    from recommender.advice.passing import passing

    fabric = proposal.fabric
    typer.echo(f"{fabric.name} ({fabric.gsm:g} g/m2 {fabric.construction}, {fabric.fibre}), {proposal.stitch} on {proposal.machine}")
    print_warnings(warnings)
    baseline = proposal.baseline.controls()
    rows = [
        [
            control,
            f"{value:g}",
            f"{baseline[control]:g}",
            f"{proposal.bands[control].low:.2f} to {proposal.bands[control].high:.2f}",
            passing(proposal, control, machine.dial(control)).said,
        ]
        for control, value in proposal.settings.controls().items()
    ]
    print_table(["control", "proposed", "baseline", "band (80 %)", "pass window"], rows)
    typer.echo(proposal.lead_why)
    typer.echo(_chance(proposal))
    _print_lines("Why it differs from the baseline:", _why(proposal))
    _print_lines("Why the baseline is what it is:", [f"{rule.name}: {rule.reason}" for rule in proposal.rules])
    if proposal.last is not None:
        _print_lines("From the last swatch of this cloth:", [move.sentence for move in proposal.moves] or ["leave everything as it is."])
    typer.echo("Prepare the machine; its manual and local rules come first:")
    for number, step in enumerate(steps, start=1):
        typer.echo(f"  {number}. {step.text}" + (f"\n     CAUTION: {step.caution}" if step.caution else ""))


def _chance(proposal: "Proposal") -> str:
    if not proposal.chance_known:
        return f"Chance of passing: too few ratings to say ({proposal.ratings})."
    chances = f"{chance(proposal.pass_chance)}, with the baseline {chance(proposal.baseline_chance)}"
    return f"Chance of passing: {chances}, from {proposal.ratings} ratings."


def _why(proposal: "Proposal") -> list[str]:
    """Each control that differs, with its largest causes and their bands; what the others add is one number, so that they add up."""
    now, before = proposal.settings.controls(), proposal.baseline.controls()
    lines = []
    for control, terms in proposal.why.items():
        if abs(change := now[control] - before[control]) > 1e-9:
            rest = [f"{sum(term.amount for term in terms[_CAUSES:]):+.2f} the rest"] if len(terms) > _CAUSES else []
            lines.append(f"{control} {change:+.2f}, of which")
            lines += [f"  {line}" for line in [*map(_cause, terms[:_CAUSES]), *rest]]
    return lines


def _cause(term: "Term") -> str:
    if term.trials is None:
        return f"{term.amount:+.2f} {term.name}"
    swatches = counted(term.trials, "swatch")
    return f"{term.amount:+.2f} {term.name} ({term.low:+.2f} to {term.high:+.2f}, from {swatches})"


def _print_lines(title: str, lines: list[str]) -> None:
    if lines:
        typer.echo("\n".join([title, *(f"  {line}" for line in lines)]))
