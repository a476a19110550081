"""`import`, `template`, `check`, `fit` and `matters`: the whole log at once."""

from collections.abc import Iterable
from pathlib import Path
from shlex import quote
from typing import TYPE_CHECKING, Annotated

import typer

from recommender.advice.words import spoken
from recommender.cli.options import JsonOption, StudioOption, check_free
from recommender.cli.show import plain, print_json, print_table
from recommender.errors import InvalidValue
from recommender.trade.readings import READINGS
from recommender.trade.words import counted, percent, signed

if TYPE_CHECKING:
    from recommender.advice.matters import Matters
    from recommender.studio.report import FitReport

_PROPERTIES = "cloth, thread, stitch, machine"


def import_(
    file: Annotated[Path, typer.Argument(exists=True, dir_okay=False, help="The CSV file.")],
    rejects: Annotated[
        Path | None,
        typer.Option(
            dir_okay=False, help="Where to write the rows that did not go in, each with what is wrong; beside the file if left out."
        ),
    ] = None,
    machine: Annotated[
        list[str] | None,
        typer.Option(metavar="TYPED=KNOWN", help="A machine's name in the file, and its name in the studio; say it once for each."),
    ] = None,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Take the good rows of a spreadsheet into the log; status 1 where a row did not go in."""
    from recommender.studio import Studio

    with Studio.open(studio) as opened:
        report = opened.import_csv(file, rejects, machines=read_names(machine or ()))
        machines = list(opened.machines)
    if as_json:
        print_json({**plain(report), "rejected": report.rejected})
    else:
        typer.echo(f"{file}: {report.sentence}.")
        if report.rows:
            rows = [[str(row.line), fault] for row in report.rows for fault in row.faults]
            print_table(["line", "what is wrong"], rows, text_columns=2)
            if machines and any(fault.startswith("machine: got ") for _, fault in rows):
                example = quote(f"NAME IN THE FILE={machines[0]}")
                typer.echo(f"Where a machine has another name in the file, import it again and say which it is: --machine {example}")
    if report.rejected:
        raise typer.Exit(1)


def read_names(pairs: Iterable[str]) -> dict[str, str]:
    """Names of machines in the studio by those in a file, each typed as `TYPED=KNOWN`.

    >>> read_names(["the old one = bench"])
    {'the old one': 'bench'}
    """
    names: dict[str, str] = {}
    for pair in pairs:
        typed, sign, known = (part.strip() for part in pair.partition("="))
        if not (typed and sign and known):
            raise InvalidValue(f"machine: got {pair!r}, expected its name in the file and in the studio, such as 'old one=bench'")
        if typed in names:
            raise InvalidValue(f"machine: got {typed!r} twice, expected it once")
        names[typed] = known
    return names


def template(
    file: Annotated[Path, typer.Argument(dir_okay=False, help="The file to write.")],
    as_json: JsonOption = False,
) -> None:
    """Write an empty CSV file with every column and its help, to fill in with a spreadsheet."""
    from recommender.swatches.exporting import template_rows, write_template

    check_free(file)
    write_template(file)
    if as_json:
        print_json({"file": file, "columns": template_rows()[0]})
    else:
        typer.echo(f"Wrote {file}; fill in a row for each swatch, then: overedge import {file}")


def fit(studio: StudioOption = None, as_json: JsonOption = False) -> None:
    """Check the log and work the model out from it anew."""
    from recommender.studio import Studio

    with Studio.open(studio) as opened:
        report = opened.fit()
    if as_json:
        print_json(report)
    else:
        kept = f"Model fitted, but not kept. {report.trouble}." if report.trouble else f"Model fitted and kept in {report.model_file}."
        typer.echo(f"{kept} Swatches: {report.trials}, cloths: {report.cloths}, ratings: {report.ratings}.")
        _print_noise(report)
    if report.trouble:
        raise typer.Exit(1)


def _print_noise(report: "FitReport") -> None:
    typer.echo(f"A swatch passes here while its readings stay within {report.tolerance:.2f} of 0. What the model cannot say:")
    print_table(["reading", "standard deviation"], [[name, f"{sd:.2f}"] for name, sd in report.noise.items()])


def check(studio: StudioOption = None, as_json: JsonOption = False) -> None:
    """Hold every swatch of the log against every rule of its columns; status 1 where something is wrong."""
    from recommender.studio import Studio

    with Studio.open(studio) as opened:
        report = opened.check()
    faults = [{"trial": fault.id, "column": fault.column, "fault": fault.sentence} for fault in report.faults]
    if as_json:
        print_json({"passed": report.passed, "trials": report.rows, "rules": report.rules, "faults": faults})
    else:
        swatches, wrong = counted(report.rows, "swatch"), counted(len(faults), "fault") if faults else "no faults"
        typer.echo(f"{swatches} against {len(report.rules)} rules: {wrong}.")
        if faults:
            print_table(["swatch", "column", "fault"], [list(fault.values()) for fault in faults], text_columns=3)
    if not report.passed:
        raise typer.Exit(1)


def matters(
    machine: Annotated[str | None, typer.Option(help="Also tell what one step of each of this machine's dials does.")] = None,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Tell which controls and which properties of the cloth matter most over the log."""
    from recommender.studio import Studio

    with Studio.open(studio) as opened:
        found, pulls = opened.matters(), opened.pulls(machine) if machine is not None else {}
    if as_json:
        print_json({**plain(found), "pulls": plain(pulls)})
        return
    _print_matters(found)
    for reading, ranked in pulls.items():
        noun = READINGS[reading]
        typer.echo(f"{noun.title}, one step up on {machine}: below 0 towards {noun.minus!r}, above towards {noun.plus!r}.")
        rows = [[spoken(p.control), f"{p.step:g}", *(signed(value) for value in (p.mean, p.low, p.high))] for p in ranked]
        print_table(["control", "step", "moves it by", "from", "to"], rows)


def _print_matters(found: "Matters") -> None:
    if not found.trials:
        typer.echo("Nothing can be said yet: no swatch of this log has a reading.")
        return
    tables = [(title, shares) for title, shares in (("control", found.controls), (_PROPERTIES, found.properties)) if shares]
    if tables:
        swatches = counted(found.trials, "swatch")
        typer.echo(f"Share of what the readings vary by, over {swatches}; with a probability of 80 % it lies between the last two.")
    for title, shares in tables:
        print_table([title, "share", "from", "to"], [[s.name, percent(s.share), percent(s.low), percent(s.high)] for s in shares])
    if found.unmoved:
        typer.echo(f"Never moved, so nothing can be said of it: {', '.join(found.unmoved)}.")
    if found.alike:
        typer.echo(f"The same on all swatches, so nothing can be said of it: {', '.join(found.alike)}.")
    for pair in found.confused:
        typer.echo(pair.sentence)
