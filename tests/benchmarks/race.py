"""The race: every rival on two simulated studios of different physics, at five lengths of the log: `make race`."""

import argparse
import time
from dataclasses import dataclass
from pathlib import Path

from joblib import Parallel, delayed, parallel_config

from tests.benchmarks.figures import Race
from tests.benchmarks.laps import STUDIOS, Cell, run

PAGE = Path(__file__).parents[2] / "models" / "README.md"
OPEN, CLOSE = "<!-- race -->", "<!-- /race -->"


@dataclass(frozen=True, slots=True)
class Size:
    """How large a race is."""

    logged: tuple[int, ...] = (0, 10, 30, 100, 200)
    """Fabrics in the log."""
    seeds: int = 12
    """Studios of each kind."""
    tests: int = 25
    """Unseen cloths for each studio."""


FULL = Size()
QUICK = Size(logged=(0, 12), seeds=1, tests=3)


def held(size: Size, jobs: int = 2) -> Race:
    """Run the race; the same size gives the same figures, but for the seconds."""
    # The longest logs first, so that no worker is left alone with one at the end.
    cells = [Cell(studio, logged, seed) for logged in sorted(size.logged, reverse=True) for studio in STUDIOS for seed in range(size.seeds)]
    with parallel_config(backend="loky", inner_max_num_threads=1):
        laps = Parallel(n_jobs=jobs)(delayed(run)(cell, size.tests) for cell in cells)
    return Race([lap for of_cell in laps for lap in of_cell])


def written(text: str, page: Path = PAGE) -> None:
    """Put the tables between the page's marks, and leave the rest of it alone."""
    before, rest = page.read_text(encoding="utf-8").split(OPEN)
    _, after = rest.split(CLOSE)
    page.write_text(f"{before}{OPEN}\n\n{text}\n{CLOSE}{after}", encoding="utf-8")


def main() -> None:
    """Race, print, and write the page."""
    parser = argparse.ArgumentParser(prog="race", description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a small race that is printed and written nowhere")
    parser.add_argument("--jobs", type=int, default=2, help="processes")
    asked = parser.parse_args()
    begun = time.perf_counter()
    text = held(QUICK if asked.quick else FULL, asked.jobs).text()
    print(text)
    if not asked.quick:
        written(text)
    print(f"{(time.perf_counter() - begun) / 60:.1f} minutes")


if __name__ == "__main__":
    main()
