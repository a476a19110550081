"""`score`: how good the proposals have been."""

from collections.abc import Iterable
from math import exp, isfinite
from typing import TYPE_CHECKING

import typer

from recommender.cli.options import JsonOption, StudioOption
from recommender.cli.show import plain, print_json, print_table
from recommender.trade.words import counted, percent

if TYPE_CHECKING:
    from recommender.advice.scoring.figures import Figure
    from recommender.advice.scoring.score import Score
    from recommender.advice.scoring.tally import Tally


def score(studio: StudioOption = None, as_json: JsonOption = False) -> None:
    """Replay the log, predicting each swatch before it is learned, and tell how good the proposals were beside the baseline."""
    from recommender.studio import Studio

    with Studio.open(studio) as opened:
        if (behind := opened.unscored) > 30:
            typer.echo(f"Replaying {counted(behind, 'swatch')} ...", err=True)
        found = opened.score()
    if as_json:
        print_json({**plain(found), "leads": found.leads})
    elif not found.total.trials:
        typer.echo("Nothing can be said yet: no swatch is logged.")
    else:
        _print_score(found)


def _print_score(found: "Score") -> None:
    swatches = counted(found.total.trials, "swatch")
    typer.echo(f"{swatches} in the order of sewing, each predicted before it was learned. +- is a standard error.")
    typer.echo("Given: to what then happened, by the model and by the rate of passes of the stitch so far.")
    headers = ["", "swatches", "given: model", "given: rate", "Brier skill", "leads"]
    for title, tallies in _groups(found):
        print_table([title, *headers[1:]], [_forecast(one) for one in tallies], text_columns=1)
    typer.echo("Passed, of swatches sewn on one and not on the other (the sewer chose which, so cloths may differ):")
    headers = ["", "first, as proposed", "first, baseline", "any, as proposed", "any, baseline", "all first", "swatches to a pass"]
    for title, tallies in _groups(found):
        print_table([title, *headers[1:]], [_sewn(one) for one in tallies], text_columns=1)
    typer.echo("Chances as they were said, and what came of them:")
    print_table(["said", "passed", "swatches"], [[percent(b.said), _share(b.passed), str(b.passed.number)] for b in found.reliability])
    typer.echo("Settings that passed and lay in the 80 % band stated before the first swatch (what passes need not be the best):")
    rows = [[control, _share(one), str(one.number)] for control, one in found.coverage.items()]
    print_table(["control", "held", "cloths"], [*rows, ["all", _share(found.total.held), str(found.total.held.number)]])
    for one in found.by_stitch.values():
        typer.echo(one.verdict.why)


def _groups(found: "Score") -> "list[tuple[str, Iterable[Tally]]]":
    return [
        ("in total", [found.total]),
        ("stitch", found.by_stitch.values()),
        ("machine", found.by_machine.values()),
        ("kind of cloth", found.by_kind.values()),
    ]


def _forecast(one: "Tally") -> list[str]:
    from recommender.advice.scoring.verdict import ENOUGH_TRIALS

    model, rate = (percent(exp(score.value)) for score in (one.log_score, one.baseline_log_score))
    leads = one.verdict.lead if one.trials >= ENOUGH_TRIALS else "no verdict"
    return [one.name, str(one.trials), model, rate, f"{one.skill:.2f}" if isfinite(one.skill) else "-", leads]


def _sewn(one: "Tally") -> list[str]:
    passed = [f"{_share(figure)} of {figure.number}" if figure.number else "-" for figure in _passes(one)]
    return [one.name, *passed, _mean(one.swatches)]


def _passes(one: "Tally") -> "tuple[Figure, ...]":
    return one.first_at_model, one.first_at_baseline, one.at_model, one.at_baseline, one.first


def _share(figure: "Figure") -> str:
    return f"{percent(figure.value)} +- {100 * figure.error:.0f}" if figure.number else "-"


def _mean(figure: "Figure") -> str:
    return "-" if not figure.number else f"{figure.value:.2f}" + (f" +- {figure.error:.2f}" if isfinite(figure.error) else "")
