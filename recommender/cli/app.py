"""The commands, gathered."""

from typing import Annotated

import typer

from recommender.cli import card, care, fleet, log, machine, planning, score, serving, swatch, trials

app = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    help="Starting settings for overlock sewing, learned from logged swatches. The machine's manual and local rules come first.",
    epilog='Example: overedge propose --like "T-shirt jersey" --stitch "four-thread overlock" --machine bench',
)


@app.callback()
def _whole(
    studio: Annotated[
        str | None,
        typer.Option(metavar="PATH|URL", envvar="OVEREDGE_STUDIO", help="The studio that the command works on."),
    ] = None,
) -> None:
    """Say once, before the command, what holds for each of them."""


for name, command, example in (
    ("propose", swatch.propose, 'overedge propose --like "T-shirt jersey" --stitch "four-thread overlock" --thread "27 tex"'),
    (
        "record",
        swatch.record,
        'overedge record --like chiffon --stitch "rolled hem" --setting differential=0.9 --fail --reading edge_lie=-1',
    ),
    ("next", planning.next_, 'overedge next --like "T-shirt jersey" --stitch "four-thread overlock" -n 3'),
    ("pending", planning.pending, 'overedge pending --drop 0f3c5a7e9b1d2f40 --why "no cloth left"'),
    ("card", card.card, 'overedge card rib.pdf --like "T-shirt jersey" --stitch "four-thread overlock" --address http://192.0.2.7:8501'),
    ("import", log.import_, "overedge import notebook.csv --rejects rejects.csv"),
    ("template", log.template, "overedge template notebook.csv"),
    ("fit", log.fit, "overedge fit --json"),
    ("matters", log.matters, "overedge matters"),
    ("score", score.score, "overedge score"),
    ("drift", fleet.drift, "overedge drift --machine bench --since 2026-03-01"),
    ("care", care.care, 'overedge care --machine bench --deed "needle changed" --note "size 80"'),
    ("translate", fleet.translate, "overedge translate --trial 0f3c5a7e9b1d2f40 --to bench"),
    ("trials", trials.trials, 'overedge trials --fabric "rib jersey" --failed'),
    ("history", trials.history, "overedge history 0f3c5a7e9b1d2f40"),
    ("correct", trials.correct, 'overedge correct 0f3c5a7e9b1d2f40 --set edge_lie=-1 --why "read from the wrong side"'),
    ("withdraw", trials.withdraw, 'overedge withdraw 0f3c5a7e9b1d2f40 --why "sewn with a bent needle"'),
    ("export", trials.export, "overedge export notebook.csv"),
    ("copy", trials.copy, "overedge copy our-room-copy.sqlite"),
    ("check", log.check, "overedge check"),
    ("demo", serving.demo, "overedge demo --port 8501"),
    ("serve", serving.serve, "overedge serve --studio our-room.sqlite --port 8600"),
):
    app.command(name, epilog=f"Example: {example}")(command)
app.add_typer(machine.app, name="machine")
