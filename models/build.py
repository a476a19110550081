"""The starter model: the model of the demo studio's invented log.

`python -m models.build`, from the top of the repository, writes `starter.npz` and `starter.json` anew from `data/`.
"""

import json
import tempfile
import tomllib
from pathlib import Path

from threadpoolctl import threadpool_limits

from recommender.advice.filed import model_file
from recommender.advice.model import fitted
from recommender.learning.modelfile import save
from recommender.swatches.importing import import_csv
from recommender.swatches.profile import machine_of
from recommender.swatches.store import Store

HERE = Path(__file__).parent
DEMO = HERE.parent / "data" / "demo"


def build(target: Path) -> None:
    """Write the two files of the starter model under the name `target`."""
    with tempfile.TemporaryDirectory() as folder, Store.open(Path(folder) / "demo.sqlite") as store, threadpool_limits(1):
        for profile in tomllib.loads((DEMO / "machines.toml").read_text(encoding="utf-8"))["machine"]:
            store.add_machine(machine_of(json.dumps(profile)))
        report = import_csv(store, DEMO / "trials.csv", Path(folder) / "rejects.csv")
        if report.rejected:
            raise SystemExit(f"demo log: {report.sentence}; expected every row to be good")
        trials, machines = store.trials(), store.machines()
        save(target, model_file(fitted(trials, machines), trials, machines))


if __name__ == "__main__":
    build(HERE / "starter")
