"""Settings of swatches that passed, handed on to the other machine of the simulated workshop."""

from itertools import islice

import numpy as np
import pytest
from scipy.optimize import least_squares

from data.demo.workshop import Piece, Workshop
from recommender.advice.model import seam_of
from recommender.advice.seam import Seam
from recommender.advice.search import reach
from recommender.advice.translate import MARKS_APART, Translation, translate
from recommender.trade.settings import Settings
from tests.slow.room import Room

pytestmark = [pytest.mark.slow, pytest.mark.timeout(3600)]

ROOMS = range(610, 616)
LOGGED, HANDED_ON = 150, 30


def piece(seam: Seam) -> Piece:
    return Piece(seam.fabric, seam.stitch, seam.machine, seam.needle_thread, seam.looper_thread)


def apart(shop: Workshop, seam: Seam, given: Settings, there: Seam, settings: Settings) -> np.ndarray:
    """True readings on the other machine less those on the one."""
    one, other = shop.truth(piece(seam), given).readings, shop.truth(piece(there), settings).readings
    return np.array([other[name] - one[name] for name in one])


def matching(shop: Workshop, seam: Seam, given: Settings, there: Seam, found: Translation) -> dict[str, float]:
    """The settings nearest to the home marks' that truly sew the same."""
    start, reaches = there.amounts(found.plain), MARKS_APART * reach(there)

    def settings(amounts: np.ndarray) -> Settings:
        return there.settings({control: there.value(control, float(by)) for control, by in zip(there.controls, amounts, strict=True)})

    def misfit(amounts: np.ndarray) -> np.ndarray:
        return np.concatenate([apart(shop, seam, given, there, settings(amounts)) / 0.1, (amounts - start) / reaches])

    return settings(least_squares(misfit, start).x).controls()


@pytest.fixture(scope="module")
def handed_on() -> tuple[np.ndarray, np.ndarray]:
    """By swatch: root mean square apart when translated and by the home marks, passes alike; and by control whether the band holds."""
    rows, held = [], []
    for seed in ROOMS:
        room = Room(seed)
        list(islice(room.sewing(), LOGGED))
        for trial in [trial for trial in room.log if trial.passed][-HANDED_ON:]:
            seam = seam_of(trial, room.shop.machines)
            other = next(machine for name, machine in room.shop.machines.items() if name != trial.machine)
            if seam.stitch.lacking(other):
                continue
            there = Seam(seam.fabric, seam.stitch, other, seam.needle_thread, seam.looper_thread)
            found = translate(room.model, seam, trial.settings, there)
            tried = (found.settings, found.plain)
            off = [float(np.sqrt((apart(room.shop, seam, trial.settings, there, one) ** 2).mean())) for one in tried]
            rows.append([*off, *(room.shop.sew(*piece(there), one, room.rng).good for one in tried)])
            best = matching(room.shop, seam, trial.settings, there, found)
            held += [found.bands[control].low - 1e-9 <= value <= found.bands[control].high + 1e-9 for control, value in best.items()]
    return np.array(rows, dtype=float), np.array(held)


def test_a_translation_sews_nearer_to_the_same_and_passes_more_often_than_the_home_marks(handed_on):
    rows, _ = handed_on
    print(f"{len(rows)} swatches: apart {rows[:, 0].mean():.3f}, by the home marks {rows[:, 1].mean():.3f}; ", end="")
    print(f"pass {rows[:, 2].mean():.3f}, by the home marks {rows[:, 3].mean():.3f}")
    assert rows[:, 0].mean() < 0.6 * rows[:, 1].mean()
    assert rows[:, 2].mean() > rows[:, 3].mean() + 0.2


def test_bands_of_a_translation_hold_the_settings_that_sew_the_same(handed_on):
    """At least as often as they say; they are wide rather than narrow."""
    _, held = handed_on
    print(f"80 % bands hold {held.mean():.3f} of {len(held)} controls")
    assert held.mean() >= 0.75
