"""`care`: what was done to the machines."""

from datetime import datetime
from typing import Annotated

import typer

from recommender.cli.options import JsonOption, StudioOption, moment, one_of
from recommender.cli.show import print_json, print_table
from recommender.errors import InvalidValue
from recommender.trade import words
from recommender.trade.care import DEEDS


def care(
    *,
    machine: Annotated[str | None, typer.Option(help="The machine; with --deed it must be named, without it all are listed.")] = None,
    deed: Annotated[str | None, typer.Option(help=f"What was done; {one_of(DEEDS)}. Without it, list what was noted.")] = None,
    when: Annotated[datetime | None, typer.Option(help="When it was done, in your time zone; now if left out.")] = None,
    who: Annotated[str, typer.Option(help="Who did it.")] = "",
    note: Annotated[str, typer.Option(help="Anything else.")] = "",
    withdraw: Annotated[
        int | None, typer.Option(metavar="NUMBER", help="Take back an entry that is wrong, by its number; --why must be given.")
    ] = None,
    why: Annotated[str, typer.Option(help="Why the entry is taken back.")] = "",
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Note what was done to a machine, such as a needle that was changed, take an entry back, or list what was noted, the newest first."""
    from recommender.studio import Studio

    with Studio.open(studio) as opened:
        if withdraw is not None:
            if machine or deed or when or note:
                raise InvalidValue("care: got --withdraw and more about a deed, expected --withdraw with --why, and --who where you like")
            opened.withdraw_care(withdraw, why, who)
            noted = opened.care()
        elif why:
            raise InvalidValue("care: got --why without an entry, expected --withdraw NUMBER with it")
        elif deed is None:
            if when or who or note:
                raise InvalidValue("deed: nothing given, expected --deed with --when, --who or --note")
            noted = opened.care(machine)
        elif machine is None:
            raise InvalidValue("machine: nothing given, expected --machine with --deed")
        else:
            noted = (opened.note_care(machine, deed, when=moment(when), who=who, note=note),)
    if as_json:
        print_json(noted)
    elif not noted:
        typer.echo('Nothing is noted yet; note a deed with: overedge care --machine NAME --deed "needle changed"')
    else:
        rows = [[str(one.number), words.moment(one.when), one.machine, one.deed, one.who, one.note] for one in noted]
        print_table(["number", "when", "machine", "deed", "who", "note"], rows, text_columns=6)
