"""Where to look when a control no longer does what its number says, and when something else went wrong."""

from collections.abc import Collection

from recommender.trade.preparation import Step
from recommender.trade.tables import table


def upkeep(control: str) -> tuple[Step, ...]:
    """What to look at for one control, in order: lint, needle, thread path, then service. Source: `data/upkeep.toml`.

    Parameters
    ----------
    control
        A tension or the differential, by its name in `Settings.controls()`.

    >>> [step.place for step in upkeep("tension: upper looper")]
    ['power', 'dials', 'needle', 'looper', 'seam', 'power']
    """
    thread = control.removeprefix("tension: ")
    kind = "feed" if thread == control else "needle" if "needle" in thread else "looper"
    rows = [row for row in table("upkeep")["look"] if kind in row["for"]]
    return tuple(Step(row["text"].format(thread=thread), row["caution"], row["place"]) for row in rows)


def after_mishaps(flags: Collection[str]) -> tuple[Step, ...]:
    """What to look at, in order, before the dials of a swatch to which something else happened. Source: `data/upkeep.toml`.

    Parameters
    ----------
    flags
        Names in `recommender.trade.readings.FLAGS`.

    >>> [step.place for step in after_mishaps(["thread_break"])], after_mishaps([])
    (['power', 'needle', 'looper', 'power', 'dials'], ())
    """
    return tuple(
        Step(row["text"], row["caution"], row["place"]) for row in table("upkeep")["mishap"] if not {*flags}.isdisjoint(row["for"])
    )
