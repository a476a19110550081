"""`trials`, `history`, `correct`, `withdraw`, `export` and `copy`: the swatches that are in the log."""

from collections.abc import Iterable, Sequence
from functools import partial
from pathlib import Path
from shlex import quote
from typing import TYPE_CHECKING, Annotated, Any

import typer

from recommender.cli.options import JsonOption, StudioOption, check_free
from recommender.cli.show import plain, print_json, print_table
from recommender.errors import InvalidValue
from recommender.trade.names import unknown
from recommender.trade.words import counted, moment

if TYPE_CHECKING:
    from recommender.swatches.trace import Step
    from recommender.swatches.trial import Trial

TrialArgument = Annotated[str, typer.Argument(metavar="ID", help="The swatch's id, as `overedge trials` lists it.")]
ReplaceOption = Annotated[bool, typer.Option("--replace", help="Write over a file that is there.")]
ByOption = Annotated[str, typer.Option(help="Who says so.")]


def trials(
    *,
    fabric: Annotated[str | None, typer.Option(help="Only those of this cloth.")] = None,
    stitch: Annotated[str | None, typer.Option(help="Only those of this stitch.")] = None,
    machine: Annotated[str | None, typer.Option(help="Only those of this machine.")] = None,
    passed: Annotated[bool | None, typer.Option("--passed/--failed", help="Only those that passed, or only those that failed.")] = None,
    withdrawn: Annotated[bool, typer.Option("--withdrawn", help="Those that were withdrawn, instead of those that count.")] = False,
    last: Annotated[int, typer.Option("-n", min=0, help="How many, the last ones of the log; 0 for all.")] = 20,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """List the logged swatches with their ids, the last one below."""
    from recommender.studio import Studio

    names = {"fabric": fabric, "stitch": stitch, "machine": machine}
    with Studio.open(studio) as opened:
        there = opened.withdrawn() if withdrawn else opened.trials()
    found = [trial for trial in there if _is_wanted(trial, names) and passed in (None, trial.passed)]
    shown = found[-last:] if last else found
    if as_json:
        print_json(shown)
        return
    if not found:
        typer.echo("No such swatch is in the log." if there else f"No swatch {'was withdrawn' if withdrawn else 'is logged yet'}.")
        return
    rows = [[trial.id, moment(trial.when), trial.fabric.name, trial.stitch, trial.machine, _rating(trial)] for trial in shown]
    print_table(["id", "sewn", "cloth", "stitch", "machine", "rating and readings"], rows, text_columns=6)
    if len(shown) < len(found):
        typer.echo(f"The last {len(shown)} of {len(found)}; for all of them: -n 0")


def history(trial: TrialArgument, studio: StudioOption = None, as_json: JsonOption = False) -> None:
    """Show what was ever logged of one swatch: recorded, corrected, withdrawn, with who, when and why."""
    from recommender.studio import Studio
    from recommender.swatches.trace import last_state, trace

    with Studio.open(studio) as opened:
        events = opened.history(trial)
    steps, on = trace(events), last_state(events).stitch
    if as_json:
        print_json([{**plain(step), "changes": [{**plain(c), "sentence": c.sentence(on)} for c in step.changes]} for step in steps])
        return
    for step in steps:
        typer.echo("\n".join([_head(step), *(f"  {change.sentence(on)}" for change in step.changes)]))


def correct(
    trial: TrialArgument,
    *,
    change: Annotated[
        list[str] | None,
        typer.Option(
            "--set",
            metavar="COLUMN=VALUE",
            help="A column of the CSV template and what it should be, with a unit where you like; nothing after the sign takes the value "
            "out. Say it once for each.",
        ),
    ] = None,
    whole_cloth: Annotated[
        bool,
        typer.Option(
            "--whole-cloth", help="Correct what describes the cloth on all its swatches, planned ones too, not on this one alone."
        ),
    ] = False,
    why: Annotated[str, typer.Option(help="The reason; it stays in the swatch's history.")] = "",
    by: ByOption = "",
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Correct a swatch, or without --set let a withdrawn one count again; what stood before stays in its history."""
    from recommender.advice.model import same_cloth
    from recommender.studio import Studio
    from recommender.swatches.trace import CLOTH, changes_between, is_withdrawn, last_state

    values = read_changes(change or ())
    if whole_cloth and not any(name in CLOTH for name in values):
        raise InvalidValue(f"whole cloth: nothing that describes the cloth is set, expected --set with one of: {', '.join(CLOTH)}")
    with Studio.open(studio) as opened:
        before = opened.history(trial)
        if not values and not is_withdrawn(before):
            raise InvalidValue(f"swatch {trial!r}: nothing to correct, expected --set COLUMN=VALUE such as --set edge_lie=-1")
        was = {one.id: one for one in (*opened.trials(), last_state(before))}
        planned = {one.id: one for one in opened.pending()}
        after = opened.correct_columns(trial, values, why, by, along=partial(same_cloth, was[trial].fabric) if whole_cloth else None)
        changed = {one.id: changes_between(was[one.id], one) for one in opened.trials() if one != was.get(one.id, one)}
        waiting = [one.id for one in opened.pending() if one != planned.get(one.id, one)]
    own = changed.pop(trial, ())
    if as_json:
        along = [{"id": other, "changes": changes} for other, changes in changed.items()]
        print_json({"trial": after, "changes": own, "along": along, "planned": waiting})
        return
    others = [counted(len(changed), "other swatch")] if changed else []
    others += [counted(len(waiting), "planned swatch")] if waiting else []
    of_cloth = f"{' and '.join(others)} of the cloth" if others else ""
    if own or is_withdrawn(before):
        typer.echo(f"Corrected {trial}, and with it {of_cloth}." if of_cloth else f"Corrected {trial}.")
    else:
        typer.echo(f"{trial} is so already; {f'corrected {of_cloth}' if of_cloth else 'nothing was logged'}.")
    for line in dict.fromkeys(one.sentence(after.stitch) for changes in (own, *changed.values()) for one in changes):
        typer.echo(f"  {line}")


def withdraw(
    trial: TrialArgument,
    why: Annotated[str, typer.Option(help="The reason; it stays in the swatch's history.")],
    by: ByOption = "",
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Take a swatch out of what counts; it stays in the log with the reason, and `correct` lets it count again."""
    from recommender.studio import Studio

    with Studio.open(studio) as opened:
        opened.withdraw(trial, why, by)
        left = len(opened.trials())
    if as_json:
        print_json({"withdrawn": trial, "trials": left})
    else:
        typer.echo(f"Withdrew {trial}; {counted(left, 'swatch counts', 'swatches count')}.")


def export(
    file: Annotated[Path, typer.Argument(dir_okay=False, help="The CSV file to write.")],
    replace: ReplaceOption = False,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Write the trials that count to a CSV file that a spreadsheet reads and `import` takes back."""
    from recommender.studio import Studio

    check_free(file, replace=replace)
    with Studio.open(studio) as opened:
        written = opened.export_csv(file)
    if as_json:
        print_json({"file": file, "trials": written})
    else:
        typer.echo(f"Wrote {counted(written, 'swatch')} to {file}.")


def copy(
    file: Annotated[Path, typer.Argument(dir_okay=False, help="The file to write.")],
    replace: ReplaceOption = False,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Copy the whole studio to one file, photos and care and histories too; opened with --studio, it is the same studio."""
    from recommender.studio import Studio

    check_free(file, replace=replace)
    with Studio.open(studio) as opened:
        opened.copy(file)
    if as_json:
        print_json({"file": file, "bytes": file.stat().st_size})
    else:
        typer.echo(f"Copied to {file}. It opens with: overedge serve --studio {quote(str(file))}")


def read_changes(pairs: Iterable[str]) -> dict[str, Any]:
    """Values by column, each typed as `COLUMN=VALUE` in the way of a CSV file.

    >>> read_changes(["gsm=6.5 oz", "edge_lie=", "note=a = b", "passed=no"])
    {'gsm': 220.387..., 'edge_lie': None, 'note': 'a = b', 'passed': False}
    """
    from recommender.swatches.cells import value_of
    from recommender.swatches.columns import COLUMNS
    from recommender.swatches.trace import CORRECTABLE

    values: dict[str, Any] = {}
    for pair in pairs:
        name, sign, cell = (part.strip() for part in pair.partition("="))
        if not sign:
            raise InvalidValue(f"set: got {pair!r}, expected a column and its value such as edge_lie=-1")
        if name not in CORRECTABLE:
            raise unknown("column", name, CORRECTABLE)
        if name in values:
            raise InvalidValue(f"set: got {name} twice, expected it once")
        values[name] = value_of(COLUMNS[name], cell)
    return values


def _is_wanted(trial: "Trial", names: dict[str, str | None]) -> bool:
    there = {"fabric": trial.fabric.name, "stitch": trial.stitch, "machine": trial.machine}
    return all(name is None or name.casefold() == there[noun].casefold() for noun, name in names.items())


def _rating(trial: "Trial") -> str:
    seen: Sequence[str] = [f"{name} {score:+g}" for name, score in trial.readings.items()]
    return ", ".join(["passed" if trial.passed else "failed", *seen, *sorted(trial.flags)])


def _head(step: "Step") -> str:
    who, why = f" by {step.by}" if step.by else "", f": {step.why}" if step.why else ""
    return f"{moment(step.at)}  {step.kind}{who}{why}"
