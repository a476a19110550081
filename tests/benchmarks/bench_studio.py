"""Median times of what a sewer waits for, with a long log: `make bench`."""

import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np

from data.demo.workshop import Piece, Workshop
from recommender.studio import Studio
from recommender.swatches.store import Store
from recommender.swatches.trial import Trial

TRIALS = 2000
ROUNDS = 40


def logged(shop: Workshop, rng: np.random.Generator) -> Iterator[Trial]:
    """Invented trials: each new cloth at the baseline, then with every control jogged by a step or two."""
    while True:
        piece = shop.fabric()
        start = shop.baseline(piece)
        for spread in (0, 1, 2):
            jogged = {
                name: piece.machine.dial(name).nearest(value + spread * int(rng.integers(-1, 2)) * piece.machine.dial(name).step)
                for name, value in start.controls().items()
            }
            settings = start.having(jogged)
            outcome = shop.sew(*piece, settings, rng)
            yield Trial(**seam_of(piece), settings=settings, passed=outcome.passed, readings=outcome.readings)


def seam_of(piece: Piece) -> dict[str, object]:
    """A piece as the studio takes it."""
    return {**piece._asdict(), "stitch": piece.stitch.name, "machine": piece.machine.name}


def median(deed: Callable[[], object]) -> float:
    """Median time of one go, in ms."""
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        deed()
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
            store.record_new([trial for trial, _ in zip(logged(shop, rng), range(TRIALS), strict=False)])
        with Studio.open(place) as studio:
            start = time.perf_counter()
            studio.propose(**seam_of(shop.fabric()))
            first = 1000 * (time.perf_counter() - start)

            def propose() -> None:
                studio.propose(**seam_of(shop.fabric()))

            def record_and_propose() -> None:
                piece = shop.fabric()
                settings = shop.baseline(piece)
                outcome = shop.sew(*piece, settings, rng)
                studio.record(**seam_of(piece), settings=settings, passed=outcome.passed, readings=outcome.readings)
                studio.propose(**seam_of(piece))

            print(f"{TRIALS} trials logged; medians of {ROUNDS}")
            print(f"first propose, with the fit: {first:8.1f} ms")
            print(f"propose with bands:          {median(propose):8.1f} ms")
            print(f"record + propose:            {median(record_and_propose):8.1f} ms")


if __name__ == "__main__":
    main()
