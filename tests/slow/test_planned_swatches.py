"""Planned swatches shrink the bands sooner than a random spread and than one control at a time, on the simulated workshop."""

import math
from collections.abc import Callable, Iterator
from itertools import count

import numpy as np
import pytest

from data.demo.workshop import Piece, Workshop
from recommender.advice.bands import bands
from recommender.advice.model import Model, fitted, n_tuned, swatches
from recommender.advice.moves import best_settings
from recommender.advice.planning.options import options
from recommender.advice.planning.plan import plan
from recommender.advice.seam import Seam
from recommender.advice.search import reach
from recommender.swatches.trial import Trial
from recommender.trade.settings import Settings
from tests.advice.conftest import trial_of

pytestmark = [pytest.mark.slow, pytest.mark.timeout(1800)]

ROOMS = range(700, 708)
SEAMS, SWATCHES, AT_ONCE = 12, 32, 4

Chosen = tuple[int, Settings]
Method = Callable[[list[Seam], np.random.Generator], Callable[[Model], Iterator[Chosen]]]


def in_turns(rng: np.random.Generator) -> Iterator[int]:
    """Every seam once, in random order, then again: chosen by pure chance they would do worse."""
    while True:
        yield from rng.permutation(SEAMS).tolist()


def planned(seams: list[Seam], _: np.random.Generator) -> Callable[[Model], Iterator[Chosen]]:
    def choose(model: Model) -> Iterator[Chosen]:
        for swatch in plan(model, seams, AT_ONCE, learning=math.inf):
            yield next(i for i, seam in enumerate(seams) if seam.fabric == swatch.fabric), swatch.settings

    return choose


def at_random(seams: list[Seam], rng: np.random.Generator) -> Callable[[Model], Iterator[Chosen]]:
    """Every control anywhere in the box that a plan may use, but about the baseline."""
    turns = in_turns(rng)

    def choose(_: Model) -> Iterator[Chosen]:
        for _ in range(AT_ONCE):
            seam = seams[turn := next(turns)]
            yield turn, set_to(seam, [rng.choice(level) for level in options(seam, seam.baseline.settings).levels])

    return choose


def one_at_a_time(seams: list[Seam], rng: np.random.Generator) -> Callable[[Model], Iterator[Chosen]]:
    """The baseline, then one control after the other moved to an end of the same box."""
    turns, visits = in_turns(rng), [count() for _ in seams]

    def choose(_: Model) -> Iterator[Chosen]:
        for _ in range(AT_ONCE):
            seam = seams[turn := next(turns)]
            box = options(seam, seam.baseline.settings)
            amounts = box.start.copy()
            if visit := next(visits[turn]):
                moved = (visit - 1) % len(amounts)
                amounts[moved] = box.levels[moved][rng.choice([0, -1])]
            yield turn, set_to(seam, amounts.tolist())

    return choose


def set_to(seam: Seam, amounts: list[float]) -> Settings:
    dials = zip(seam.controls, seam.dials, amounts, strict=True)
    return seam.settings({control: dial.nearest(seam.value(control, amount)) for control, dial, amount in dials})


def mean_width(model: Model, seams: list[Seam]) -> float:
    """Mean width of all bands of all seams, in units of each control's reach."""
    return float(np.mean(np.concatenate([widths(model, seam) for seam in seams])))


def widths(model: Model, seam: Seam) -> np.ndarray:
    outlook = model.outlook(seam)
    found = bands(outlook, seam, best_settings(outlook, seam, None))
    low, high = (seam.amounts(seam.settings({c: getattr(band, end) for c, band in found.items()})) for end in ("low", "high"))
    return (high - low) / reach(seam)


def course(room: int, method: Method) -> np.ndarray:
    """Mean band width of a room's seams after every few swatches, the model learning as a studio's does."""
    shop, rng = Workshop(room), np.random.default_rng(room)
    pieces = [shop.fabric() for _ in range(SEAMS)]
    seams = [Seam(*piece) for piece in pieces]
    choose, log = method(seams, rng), list[Trial]()
    model = fitted(log, shop.machines)
    found = [mean_width(model, seams)]
    while len(log) < SWATCHES:
        new = [sewn(shop, pieces[turn], settings, rng, len(log) + i) for i, (turn, settings) in enumerate(choose(model))]
        tuned_anew = n_tuned(len(log) + len(new)) != n_tuned(len(log))
        log += new
        model = fitted(log, shop.machines) if tuned_anew else model.adding(swatches(new, shop.machines, model.terms))
        found.append(mean_width(model, seams))
    return np.array(found)


def sewn(shop: Workshop, piece: Piece, settings: Settings, rng: np.random.Generator, number: int) -> Trial:
    came_out = shop.sew(*piece, settings, rng)
    return trial_of(piece, settings, came_out.passed, dict(came_out.readings), number)


def swatches_to(width: float, course: np.ndarray) -> float:
    """After how many swatches a course is first as narrow, read off the line between its points; infinite where it never is."""
    if not (course <= width).any():
        return math.inf
    after = int(np.argmax(course <= width))
    share = (course[after - 1] - width) / (course[after - 1] - course[after])
    return AT_ONCE * (after - 1 + float(share))


def saved(planned: np.ndarray, rival: np.ndarray, after: int) -> float:
    """Share of the swatches that a plan spares to be as narrow as a rival after so many, both the mean over the rooms."""
    width = rival.mean(axis=0)[after // AT_ONCE]
    return 1 - swatches_to(width, planned.mean(axis=0)) / swatches_to(width, rival.mean(axis=0))


@pytest.fixture(scope="module")
def courses() -> dict[str, np.ndarray]:
    """The courses of all rooms, by method."""
    methods = {"planned": planned, "random": at_random, "one at a time": one_at_a_time}
    found = {name: np.array([course(room, method) for room in ROOMS]) for name, method in methods.items()}
    for name, of_rooms in found.items():
        print(f"{name}: mean band width after every {AT_ONCE} swatches: {' '.join(f'{width:.3f}' for width in of_rooms.mean(axis=0))}")
    return found


@pytest.mark.parametrize(("name", "fewer"), [("random", 0.30), ("one at a time", 0.15)])
def test_planned_swatches_need_fewer_for_the_same_band_width(courses, name, fewer):
    """12 seams in each of 8 rooms; how wide the rival's bands are after 32 swatches, and when the plan's were as narrow."""
    plan_of, rival = courses["planned"], courses[name]
    rng = np.random.default_rng(0)
    drawn = rng.integers(len(ROOMS), size=(500, len(ROOMS)))
    for after in (SWATCHES // 2, 3 * SWATCHES // 4, SWATCHES):
        low, high = np.quantile([saved(plan_of[rooms], rival[rooms], after) for rooms in drawn], [0.1, 0.9], method="nearest")
        print(
            f"{name}, as narrow as after {after}: {saved(plan_of, rival, after):.0%} fewer ({low:.0%} to {high:.0%} over the rooms, 80 %)"
        )
    assert saved(plan_of, rival, SWATCHES) >= fewer
