"""`card`: one setting on paper."""

from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from recommender.cli.fleet import GivenSeam
from recommender.cli.options import JsonOption, SeamOptions, StudioOption, check_free, describes_seam
from recommender.cli.show import print_json
from recommender.errors import InvalidValue
from recommender.trade.asked import asking

if TYPE_CHECKING:
    from recommender.cards.card import Card
    from recommender.studio import Studio
    from recommender.swatches.trial import Trial
    from recommender.trade.words import Units


@partial(describes_seam, of=GivenSeam)
def card(
    options: SeamOptions,
    *,
    file: Annotated[Path, typer.Argument(dir_okay=False, help="The PDF file to write.")],
    trial: Annotated[str | None, typer.Option(help="Id of a logged swatch, instead of the seam's description.")] = None,
    size: Annotated[str, typer.Option(help="a6, with the preparation on its back, or label, 62 x 40 mm.")] = "a6",
    address: Annotated[
        str, typer.Option(metavar="URL", help="Where your tablets find the dashboard; the card then bears a square that opens it there.")
    ] = "",
    units: Annotated[str, typer.Option(help="metric or imperial: how weight, stitch length and cutting width are read on it.")] = "metric",
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Write the setup card of a logged swatch, or of a proposal, to be pinned up beside the machine."""
    from recommender.cards.pdf import card_pdf
    from recommender.studio import Studio
    from recommender.trade.words import Units

    check_free(file)
    with Studio.open(studio) as opened:
        read = Units(units)
        made = _of_trial(opened, options, trial, address, read) if trial else _of_seam(opened, options, address, read)
    file.write_bytes(card_pdf(made, size))
    if as_json:
        print_json({"file": file, "size": size, "address": made.address, "standing": made.standing, "doubt": made.doubt})
    else:
        typer.echo(f"Wrote {file}. {made.standing} {made.doubt}".rstrip())


def _of_trial(studio: "Studio", options: SeamOptions, trial_id: str, address: str, units: "Units") -> "Card":
    from recommender.cards.card import card_of_trial
    from recommender.cards.link import trial_address

    if options.given:
        raise InvalidValue("card: got --trial and more about the seam, expected --trial alone or a described seam")
    trial = _counting(studio, trial_id)
    proposal, machine = studio.propose(**asking(trial)), studio.machines[trial.machine]
    (watch,) = studio.drift(trial.machine)
    link = trial_address(address, trial.id) if address else ""
    return card_of_trial(trial, proposal, machine, address=link, units=units, doubted=watch.doubts(trial.when), invented=studio.invented)


def _of_seam(studio: "Studio", options: SeamOptions, address: str, units: "Units") -> "Card":
    from recommender.cards.card import card_of_proposal
    from recommender.cards.link import seam_address

    if not options.stitch:
        raise InvalidValue("card: nothing given, expected --trial, or --stitch with a cloth")
    proposal = studio.propose(**options.seam(studio))
    (watch,) = studio.drift(proposal.machine)
    link = seam_address(address, asking(proposal)) if address else ""
    machine, now = studio.machines[proposal.machine], datetime.now(UTC)
    return card_of_proposal(proposal, machine, when=now, address=link, units=units, doubted=watch.doubted, invented=studio.invented)


def _counting(studio: "Studio", trial_id: str) -> "Trial":
    """The trial of that id; one that was withdrawn gets no card."""
    if found := next((trial for trial in studio.trials() if trial.id == trial_id), None):
        return found
    studio.history(trial_id)  # says so where there never was one
    raise InvalidValue(f"swatch: got {trial_id!r}, which was withdrawn, expected one that counts")
