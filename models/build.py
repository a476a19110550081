"""The starter model: the model of the demo studio's invented log, and the log's score.

`python -m models.build`, from the top of the repository, writes `starter` and `starter-score` anew from `data/`, a quarter of a
minute. What is in them follows from the model's code: whoever changes that runs it again.
"""

import json
import tempfile
import tomllib
from collections.abc import Mapping
from pathlib import Path

from threadpoolctl import threadpool_limits

from recommender.advice.filed import model_file
from recommender.advice.model import fitted
from recommender.advice.scoring.ledger import Ledger, following, replayed
from recommender.advice.scoring.ledger_file import ledger_file
from recommender.learning.modelfile import save
from recommender.swatches.importing import import_csv
from recommender.swatches.profile import profiled
from recommender.swatches.store import Store
from recommender.swatches.trial import Trial
from recommender.trade.machine import Machine

HERE = Path(__file__).parent
DEMO = HERE.parent / "data" / "demo"


def demo_log() -> tuple[tuple[Trial, ...], Mapping[str, Machine]]:
    """The trials and the machines of the demo studio."""
    with tempfile.TemporaryDirectory() as folder, Store.open(Path(folder) / "demo.sqlite") as store:
        for profile in tomllib.loads((DEMO / "machines.toml").read_text(encoding="utf-8"))["machine"]:
            store.add_machine(profiled(json.dumps(profile)))
        report = import_csv(store, DEMO / "trials.csv", Path(folder) / "rejects.csv")
        if report.rejected:
            raise SystemExit(f"demo log: {report.sentence}; expected every row to be good")
        return store.trials(), store.machines()


def build(target: Path) -> None:
    """Write the two files of the starter model under the name `target`."""
    trials, machines = demo_log()
    with threadpool_limits(1):
        save(target, model_file(fitted(trials, machines), trials, machines))


def build_score(target: Path) -> None:
    """Write the two files of its log's score under the name `target`."""
    trials, machines = demo_log()
    with threadpool_limits(1):
        ledger = following(Ledger(), trials, machines, None, fitted(trials, machines))
        save(target, ledger_file(replayed(ledger, machines), machines))


if __name__ == "__main__":
    build(HERE / "starter")
    build_score(HERE / "starter-score")
