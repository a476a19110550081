"""What a studio knows as a file's content, so that a long log is not gone through again whenever the studio is opened.

The log is append only, so its last event at that time, with its moment and its random id, says which log it was. What was only added
since is then learned as if the studio had never been closed; after a correction or another machine the model is built from nothing.
"""

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass
from importlib.metadata import version
from pathlib import Path

from recommender.advice.filed import scale_arrays, tuned_of
from recommender.advice.model import Model
from recommender.advice.scoring.ledger import Ledger
from recommender.advice.scoring.ledger_file import told_arrays, told_of
from recommender.advice.scoring.replay import in_time
from recommender.advice.scoring.sources import model_version
from recommender.advice.terms import Terms
from recommender.errors import ModelFileError
from recommender.learning.modelfile import ModelFile, load, save
from recommender.learning.moments import Moments
from recommender.swatches.events import Event
from recommender.swatches.store import Store
from recommender.swatches.trial import Trial
from recommender.trade.machine import Machine

LONG = 500
"""A log of fewer trials is gone through again in no time."""

_SUMS = ("gram", "cross", "square", "count", "log_weight", "group_weight", "group_terms", "group_cross")
_TEACHES = ("corrected", "withdrawn", "machine")
"""Events after which sums cannot simply be added to."""


@dataclass(frozen=True, slots=True)
class Snapshot:
    """What was known once."""

    version: int
    """Number of the log's last event then."""
    trials: int
    """How many trials counted then: the first of those that count now."""
    model: Model
    """What they taught."""
    ledger: Ledger
    """What was said of each before it was learned."""


def keep(path: Path, store: Store, known: Snapshot) -> None:
    """Write it. It only saves time: where it cannot be written, the log is gone through again."""
    ledger, moments = known.ledger, known.model.moments
    arrays = {name: getattr(moments, name) for name in _SUMS}
    arrays |= scale_arrays(known.model.scales) | told_arrays(ledger.told)
    facts = {
        "kind": "known",
        "of": _mark(store, known.version),
        "by": _writer(),
        "version": known.version,
        "trials": known.trials,
        "cloths": list(moments.groups),
        "machines": list(known.model.terms.machines),
        "standard": asdict(known.model.standard),
        "replayed": ledger.replayed,
    }
    with suppress(OSError):
        save(path, ModelFile(arrays, facts))


def recalled(path: Path, store: Store, trials: tuple[Trial, ...], machines: Mapping[str, Machine]) -> Snapshot | None:
    """What was known of this log, where a file says so and the log has only grown since; None otherwise.

    Parameters
    ----------
    trials, machines : those of the log as it is now
    """
    if len(trials) < LONG:
        return None
    try:
        file = load(path)
    except ModelFileError:
        return None
    facts = file.facts
    if facts.get("by") != _writer() or facts["machines"] != sorted(machines) or facts["trials"] > len(trials):
        return None
    then, *since = store.events(facts["version"] - 1) or (None,)
    if then is None or _told(then) != facts["of"] or any(event.kind in _TEACHES for event in since):
        return None
    ledger = Ledger(in_time(trials[: facts["trials"]]), told_of(file.arrays), facts["replayed"])
    return Snapshot(facts["version"], facts["trials"], _model(file), ledger)


def _model(file: ModelFile) -> Model:
    groups = {name: place for place, name in enumerate(file.facts["cloths"])}
    moments = Moments(groups=groups, **{name: file.arrays[name] for name in _SUMS})
    return Model(Terms(tuple(file.facts["machines"])), moments, *tuned_of(file))


def _mark(store: Store, number: int) -> str:
    return _told(store.events(number - 1)[0])


def _told(event: Event) -> str:
    """What tells the log's event of that number from any other log's."""
    return f"{event.number} {event.kind} {event.at.isoformat()} {event.trial_id}"


def _writer() -> list[str]:
    """The code that the sums and the sayings come from."""
    return [model_version(), *(version(name) for name in ("numpy", "scipy", "overedge"))]
