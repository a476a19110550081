"""What a studio knows of its log at one moment: a frozen value, brought up to the log by a function.

Where the tuned scales still hold, what is new is added to the model and what is gone removed; otherwise the model is built from
nothing, with scales from a model file if one is of this log. With a long log that takes seconds, for which a sewer need not wait:
what is known then says that it is `due`, and goes on with the scales that there are, or with the trade's rules alone.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from hashlib import sha256
from pathlib import Path
from typing import Literal

from platformdirs import user_cache_path

from recommender.advice.filed import known_scales, model_file
from recommender.advice.model import Model, fitted, n_tuned, swatches
from recommender.advice.outlook import Standard
from recommender.advice.scoring.ledger import Ledger, following
from recommender.advice.scoring.ledger_file import kept_ledger
from recommender.advice.terms import GUESS
from recommender.errors import ModelFileError, ModelFileMissing
from recommender.learning.modelfile import load, save
from recommender.learning.posterior import Scales
from recommender.studio.snapshot import LONG, Snapshot, keep, recalled
from recommender.swatches.store import Store
from recommender.swatches.trial import Trial
from recommender.trade.machine import Machine
from recommender.trade.stitch import stitch
from recommender.trade.tables import share

AT_ONCE = 100
"""A log of so many trials is learned in a few tenths of a second, and never put off."""
STEPS = ("going through the swatches", "weighing what was said of each")
"""What building a model from nothing consists of."""
LAG = 50
"""So many trials may be added before what is known is written again."""

Due = Literal["", "learning", "tuning"]


@dataclass(frozen=True)
class Knowledge:
    """A log's trials and machines with the model and the ledger that follow from them."""

    version: int = -1
    """Number of the log's last event; -1 before the log was looked at."""
    trials: tuple[Trial, ...] = ()
    """The trials that count and whose machine can sew them, in the order of the log."""
    machines: Mapping[str, Machine] = field(default_factory=dict)
    """The machines by name."""
    model: Model = field(default_factory=lambda: fitted((), {}))
    """What the trials taught."""
    ledger: Ledger = field(default_factory=Ledger)
    """What was said of each trial before it was learned."""
    notice: str = ""
    """Why the model file could not be used or written; empty where it could, or where there was none yet."""
    due: Due = ""
    """What was put off: learning the log, of which the model knows nothing yet, or tuning its scales."""
    kept: int = -1
    """How many trials the snapshot holds that was last written or read; -1 where there is none, or it no longer holds."""

    @property
    def learned(self) -> tuple[Trial, ...]:
        """The trials that are in the model: none while the log is still to be learned."""
        return () if self.due == "learning" else self.trials


def caught_up(
    before: Knowledge,
    store: Store,
    files: Path,
    *,
    tune_anew: bool = False,
    put_off: bool = False,
    tell: Callable[[str], object] = lambda _: None,
) -> Knowledge:
    """What is known once the log is followed to its end; a model tuned anew is filed.

    Parameters
    ----------
    files : the name of the model's files, see `model_path`
    tune_anew : tune the scales whatever was tuned before
    put_off : leave what takes seconds `due`
    tell : told of each of `STEPS` when it begins
    """
    version, trials = store.version, store.trials()
    machines = store.machines()  # after the trials, whose machines it then knows whatever others write meanwhile
    trials = _usable(trials, machines)
    if before.version < 0 and not tune_anew:
        before = _recalled(store, files, trials, machines) or before
    if before.version >= 0 and not (before.due or tune_anew) and trials == before.trials and dict(machines) == dict(before.machines):
        return replace(before, version=version)  # photos, care and plans teach nothing
    holds = _tuned_on(trials) == _tuned_on(before.trials) and not tune_anew and not before.due
    alike, notice = dict(machines) == dict(before.machines), ""
    if put_off and not (holds and alike) and len(trials) > AT_ONCE:
        return _put_off(before, version, trials, machines)
    if holds and alike:
        model, notice = _exchanged(before, trials), before.notice
    else:
        tell(STEPS[0])
        known, notice = (None, "") if tune_anew else _filed(files, trials, machines)
        model = fitted(trials, machines, known)
    if not holds:
        notice = _file(files, model, trials, machines) or notice
    tell(STEPS[1])
    ledger = _entered(before, trials, machines, model, files)
    kept = before.kept if holds and alike and trials[: len(before.trials)] == before.trials else -1
    return Knowledge(version, trials, machines, model, ledger, notice, kept=kept)


def is_to_be_kept(known: Knowledge) -> bool:
    """Whether so much was learned since the snapshot that it should be written again."""
    return not known.due and len(known.trials) >= LONG and (known.kept < 0 or len(known.trials) - known.kept >= LAG)


def kept(known: Knowledge, store: Store, files: Path) -> Knowledge:
    """The same once it is written."""
    keep(snapshot_path(files), store, Snapshot(known.version, len(known.trials), known.model, known.ledger))
    return replace(known, kept=len(known.trials))


def model_path(store: Store) -> Path:
    """Beside the log's file, so that both are copied together; for a log on a server in the user's cache."""
    if store.path is not None:
        return store.path.with_name(f"{store.path.stem}-model")
    return user_cache_path("overedge", appauthor=False) / f"model-{sha256(store.where.encode()).hexdigest()[:16]}"


def score_path(files: Path) -> Path:
    """Beside the model's files."""
    return files.with_name(f"{files.name.removesuffix('-model')}-score")


def snapshot_path(files: Path) -> Path:
    """Beside the model's files."""
    return files.with_name(f"{files.name.removesuffix('-model')}-known")


def _usable(trials: tuple[Trial, ...], machines: Mapping[str, Machine]) -> tuple[Trial, ...]:
    """The trials whose machine, as it is described now, can sew their stitch."""
    pairs = {(trial.stitch, trial.machine) for trial in trials}
    able = {(name, machine) for name, machine in pairs if not stitch(name).lacking(machines[machine])}
    return tuple(trial for trial in trials if (trial.stitch, trial.machine) in able)


def _recalled(store: Store, files: Path, trials: tuple[Trial, ...], machines: Mapping[str, Machine]) -> Knowledge | None:
    """What a snapshot of this log says."""
    found = recalled(snapshot_path(files), store, trials, machines)
    if found is None:
        return None
    return Knowledge(found.version, trials[: found.trials], machines, found.model, found.ledger, kept=found.trials)


def _put_off(before: Knowledge, version: int, trials: tuple[Trial, ...], machines: Mapping[str, Machine]) -> Knowledge:
    """The trials as they are, with as much of a model as costs little: the old scales, or the prior where there is nothing else."""
    if before.version < 0 or before.due == "learning" or dict(machines) != dict(before.machines):
        return Knowledge(version, trials, machines, fitted((), machines, (GUESS, Standard())), notice=before.notice, due="learning")
    model = _exchanged(before, trials)
    ledger = following(before.ledger, trials, machines, before.model, model)
    return Knowledge(version, trials, machines, model, ledger, before.notice, due="tuning", kept=before.kept)


def _tuned_on(trials: tuple[Trial, ...]) -> tuple[Trial, ...]:
    """The trials on which the scales rest."""
    return trials[: n_tuned(len(trials))]


def _exchanged(before: Knowledge, trials: tuple[Trial, ...]) -> Model:
    """The model with what is new added and what is gone removed."""
    then, now = {t.id: t for t in before.trials}, {t.id: t for t in trials}
    gone = [t for t in before.trials if now.get(t.id) is not t and now.get(t.id) != t]
    new = [t for t in trials if then.get(t.id) is not t and then.get(t.id) != t]
    model = before.model
    if gone:
        model = model.removing(swatches(gone, before.machines, model.terms))
    return model.adding(swatches(new, before.machines, model.terms)) if new else model


def _entered(before: Knowledge, trials: tuple[Trial, ...], machines: Mapping[str, Machine], model: Model, files: Path) -> Ledger:
    """The ledger with what is new in the log."""
    if before.version < 0:
        kept = kept_ledger(score_path(files), trials, machines)
        kept = kept if kept.trials else kept_ledger(share("models") / "starter-score", trials, machines)  # of the demo's log alone
        return following(kept, trials, machines, None, model)
    if dict(machines) == dict(before.machines):
        return following(before.ledger, trials, machines, before.model, model)
    return following(Ledger(), trials, machines, None, model)


def _filed(files: Path, trials: tuple[Trial, ...], machines: Mapping[str, Machine]) -> tuple[tuple[Scales, Standard] | None, str]:
    """Scales and standard from the studio's model file or the starter model, where one is of this log, and why not where not."""
    try:
        return known_scales(load(files), trials, machines), ""
    except ModelFileMissing:
        return _started(trials, machines), ""
    except ModelFileError as error:
        return None, str(error)


def _started(trials: tuple[Trial, ...], machines: Mapping[str, Machine]) -> tuple[Scales, Standard] | None:
    """The same from the starter model, which is of the demo studio's log and of no other."""
    try:
        return known_scales(load(share("models") / "starter"), trials, machines)
    except ModelFileError:
        return None


def _file(files: Path, model: Model, trials: tuple[Trial, ...], machines: Mapping[str, Machine]) -> str:
    """Write the model file, and say why where it cannot be: it only saves time."""
    try:
        save(files, model_file(model, trials, machines))
    except OSError as error:
        return f"model file {files.name}: cannot be written ({error.strerror}); the model is rebuilt whenever the studio is opened"
    return ""
