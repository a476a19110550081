"""What is known of a log, kept up with it: the one value of a studio that changes, behind one lock."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from threading import Lock, RLock

from recommender.advice.scoring.ledger import Ledger, following, replaying
from recommender.advice.scoring.ledger_file import keep_ledger
from recommender.advice.scoring.score import Score
from recommender.studio.knowledge import Knowledge, caught_up, is_to_be_kept, kept, score_path
from recommender.studio.later import Later
from recommender.studio.one_thread import one_thread
from recommender.swatches.store import Store
from recommender.trade.machine import Machine


class Follower:
    """Follows one log. Whoever asks is given a frozen value; safe to use from several threads."""

    def __init__(self, store: Store, files: Path, waits: bool) -> None:
        self.files = files
        """Name of the model's files."""
        self._store = store
        self._lock = RLock()
        self._scoring = Lock()
        self._replayed = (0, 0)
        self._known = Knowledge()
        self._later = None if waits else Later("overedge learns")

    @contextmanager
    def now(self) -> Iterator[Knowledge]:
        """What is known of the log as it is now. It is a value: whoever works on it for long keeps nobody waiting."""
        with one_thread:
            with self._lock:
                if self._known.version != self._store.version:
                    self._known = caught_up(self._known, self._store, self.files, put_off=self._later is not None)
                if self._known.due or is_to_be_kept(self._known):
                    self._do_rest()
                known = self._known
            yield known

    def fit(self) -> Knowledge:
        """What is known once the model is built from the log alone, and the model file written."""
        with self._lock, one_thread:
            self._known = caught_up(self._known, self._store, self.files, tune_anew=True)
            return self._known

    @property
    def doing(self) -> str:
        """What is being done in the background, in words; empty while nothing is."""
        return self._later.doing if self._later is not None else ""

    def score(self, progress: Callable[[int, int], object]) -> Score:
        """The score of the log as it is when this begins; one at a time, and whoever waits is told how far the other is."""
        while not self._scoring.acquire(timeout=0.2):
            progress(*self._replayed)
        try:
            with self.now() as known:
                ledger, machines = known.ledger, known.machines
            self._replayed = (ledger.replayed, len(ledger.trials))
            try:
                with one_thread:
                    for step in replaying(ledger, machines):
                        ledger, self._replayed = step, (step.replayed, len(step.trials))
                        progress(*self._replayed)
            finally:
                self._keep(ledger, machines)
            return ledger.score
        finally:
            self._scoring.release()

    @property
    def is_scoring(self) -> bool:
        """Whether somebody's score is being worked out."""
        return self._scoring.locked()

    def _keep(self, ledger: Ledger, machines: Mapping[str, Machine]) -> None:
        """Keep what was replayed, for the log as it is now and in the score's file; nothing is done where nothing is new."""
        with self._lock:
            if not self._known.ledger.behind or dict(machines) != dict(self._known.machines):
                return
            now = following(ledger, self._known.trials, machines, None, self._known.model)
            self._known = replace(self._known, ledger=now, kept=-1)
        keep_ledger(score_path(self.files), ledger, machines)

    def _do_rest(self) -> None:
        """What takes long, and nobody's answer needs: in the background, or here where everybody waits."""
        if self._later is None:
            self._known = kept(self._known, self._store, self.files)
        else:
            self._later.do(self._learn)

    def _learn(self, tell: Callable[[str], object]) -> None:
        """Learn the log, then what came in meanwhile, and write what is known."""
        with self._lock:
            known = self._known
        while known.due:
            with one_thread:
                known = caught_up(Knowledge() if known.due == "learning" else known, self._store, self.files, tell=tell)
            with self._lock, one_thread:
                known = self._known = caught_up(known, self._store, self.files, put_off=True)
        written = kept(known, self._store, self.files) if is_to_be_kept(known) else known
        with self._lock:
            if self._known is known:
                self._known = written
