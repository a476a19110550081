"""What a studio is made of: where its log lies, and how much there is of everything."""

from dataclasses import dataclass
from datetime import datetime
from importlib.metadata import version
from pathlib import Path

from recommender.studio.knowledge import Knowledge
from recommender.swatches.store import Store
from recommender.swatches.tables import SCHEMA
from recommender.trade.words import moment


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """The studio in numbers."""

    where: str
    """Path of the log, or its address without the password."""
    is_file: bool
    """Whether the log is a file, and not on a server."""
    program: str
    """Version of this program."""
    layout: int
    """Number of the log's layout."""
    entries: int
    """Everything that was ever logged, corrections and machines included."""
    last: datetime | None
    """When the last of it was entered; None where there is nothing yet."""
    swatches: int
    """Swatches that count."""
    passed: int
    """Those among them that passed."""
    fabrics: int
    """Names of cloths among them."""
    machines: int
    """Machines."""
    learned: int
    """Swatches that the model knows: those whose machine can sew them, and none while it still learns them."""

    @property
    def backup(self) -> str:
        """How to keep the log safe, in a sentence or two."""
        if self.last is None:
            return "Nothing is logged yet, so there is nothing to copy."
        missing = f"A copy made before {moment(self.last)} lacks the last entry."
        if not self.is_file:
            return f"The log is on a database server: its keeper makes the copies. {missing}"
        name = Path(self.where).name
        return (
            f"Download a copy of the studio now and then, or make one with overedge copy, and keep it on another disk. {missing} Whoever "
            f"copies {name} by hand copies the files beside it whose names begin with {name} too, while nobody saves."
        )


def facts_of(store: Store, known: Knowledge) -> Facts:
    """The facts of a log and of what is known of it."""
    trials, entries = store.trials(), store.version
    last = store.events(entries - 1) if entries else ()
    return Facts(
        where=store.where,
        is_file=store.path is not None,
        program=version("overedge"),
        layout=SCHEMA,
        entries=entries,
        last=last[-1].at if last else None,
        swatches=len(trials),
        passed=sum(trial.passed for trial in trials),
        fabrics=len({trial.fabric.name for trial in trials}),
        machines=len(store.machines()),
        learned=len(known.learned),
    )
