"""Where to look when a control no longer does what its number says."""

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
