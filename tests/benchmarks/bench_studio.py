"""Median times of what a sewer waits for, with a long log: `make bench`."""

import statistics
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np

from data.demo.workshop import Piece, Workshop
from recommender.studio import Studio
from recommender.swatches.store import Store
from recommender.swatches.trial import Trial

TRIALS = 2000
ROUNDS = 40


def swatches_of(shop: Workshop, rng: np.random.Generator) -> Iterator[dict[str, Any]]:
    """Invented swatches: each new cloth at the baseline, then with every control jogged by a step or two."""
    while True:
        piece = shop.fabric()
        start = shop.baseline(piece)
        for spread in (0, 1, 2):
            dials = {name: piece.machine.dial(name) for name in start.controls()}
            jogged = {
                name: dials[name].nearest(v + spread * int(rng.integers(-1, 2)) * dials[name].step) for name, v in start.controls().items()
            }
            settings = start.having(jogged)
            outcome = shop.sew(*piece, settings, rng)
            yield {**seam_of(piece), "settings": settings, "passed": outcome.passed, "readings": outcome.readings}


def seam_of(piece: Piece) -> dict[str, Any]:
    """A piece as the studio takes it."""
    return {**piece._asdict(), "stitch": piece.stitch.name, "machine": piece.machine.name}


def median(deed: Callable[[dict[str, Any]], object], prepared: Sequence[dict[str, Any]]) -> float:
    """Median time of one go, in ms."""
    times = []
    for values in prepared:
        start = time.perf_counter()
        deed(values)
        times.append(1000 * (time.perf_counter() - start))
    return statistics.median(times)


def main() -> None:
    """Print the figures."""
    shop, rng = Workshop(seed=11), np.random.default_rng(11)
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "studio.sqlite"
        with Store.open(place) as store:
            for machine in shop.machines.values():
                store.add_machine(machine)
            store.record_new([Trial(**swatch) for swatch in islice(swatches_of(shop, rng), TRIALS)])
        new = [seam_of(shop.fabric()) for _ in range(ROUNDS)]
        swatches = list(islice(swatches_of(shop, rng), ROUNDS))
        with Studio.open(place) as studio:

            def record_and_propose(swatch: dict[str, Any]) -> None:
                studio.record(**swatch)
                studio.propose(**{name: swatch[name] for name in new[0]})

            print(f"{TRIALS} trials logged; medians of {ROUNDS}")
            print(f"first propose, with the fit: {median(lambda seam: studio.propose(**seam), new[:1]):8.1f} ms")
            print(f"propose with bands:          {median(lambda seam: studio.propose(**seam), new):8.1f} ms")
            print(f"record + propose:            {median(record_and_propose, swatches):8.1f} ms")


if __name__ == "__main__":
    main()
