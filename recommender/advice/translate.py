"""A setting of one machine as another machine's settings.

Both machines sew the same cloth, so what is peculiar to the cloth falls out of the difference of their readings. With a the row of
the swatch on the first machine, b the row of the second with every control carried over by its offset from the home mark, L its
levers and m how far each control is moved from there, the readings differ by

    r_k(m) = (b - a + m L)' beta_k

and the settings looked for are those of least

    sum_k E[r_k(m)]^2 / slack^2 + sum_j (m_j / reach_j)^2                                                    (11)

where the reach is how far two machines' marks are believed to lie apart. With nothing logged the readings are expected to be equal at
m = 0, so that the offsets carry over as they are. Read as a density, as in equation (7), the same says how far that is to be trusted.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from recommender.advice.bands import COVERAGE, HALF, Band, best_draws
from recommender.advice.model import Model
from recommender.advice.outlook import Outlook
from recommender.advice.proposal import ENOUGH_RATINGS
from recommender.advice.seam import Seam
from recommender.advice.search import Scale, drawn, ends, reach, scales, stepped
from recommender.advice.words import spoken
from recommender.learning import Array
from recommender.swatches.trial import Trial
from recommender.trade.fabric import Fabric
from recommender.trade.readings import READINGS
from recommender.trade.settings import Settings
from recommender.trade.thread import Thread

ALIKE = 0.15
"""Slack of (11): how near the readings of two swatches lie that a sewer, who reads in half steps, takes for the same. It is half of what
a proposal allows."""

MARKS_APART = 2 / 3
"""Reach of the difference of two machines' marks, as a share of how far the best setting may lie from the baseline: one dial number
for a tension, as where each of two marks is off by 0.7."""


@dataclass(frozen=True, slots=True)
class Carried:
    """One control on both machines."""

    control: str
    """Its name in `Settings.controls()`."""
    given: float
    """Where it stands on the first machine."""
    plain: float
    """The same offset from the home mark on the other machine, on its steps and inside its range."""
    value: float
    """Where to set it on the other machine."""
    band: Band
    """Where the setting that sews the same lies, with a probability of 80 %."""

    @property
    def sentence(self) -> str:
        """The same in words.

        >>> Carried("tension: upper looper", 5, 4, 4.5, Band(3.6, 5.4)).sentence
        'Upper looper tension: 5 becomes 4.5 (band 3.60 to 5.40; by the home marks alone 4).'
        """
        noun, band = spoken(self.control).capitalize(), f"band {self.band.low:.2f} to {self.band.high:.2f}"
        return f"{noun}: {self.given:g} becomes {self.value:g} ({band}; by the home marks alone {self.plain:g})."


@dataclass(frozen=True, slots=True, kw_only=True)
class Translation:
    """One machine's settings of a seam as another's."""

    fabric: Fabric
    """The cloth."""
    stitch: str
    """Name of the stitch."""
    needle_thread: Thread
    """Thread in the needles."""
    looper_thread: Thread
    """Thread in the loopers."""
    machine: str
    """Name of the machine that the settings are from."""
    to: str
    """Name of the machine that they are for."""
    given: Settings
    """What is set on the first machine."""
    plain: Settings
    """The same offsets from the home marks on the other machine, which is what can be said without a log."""
    settings: Settings
    """What to set on the other machine, on its steps and inside its ranges."""
    carried: tuple[Carried, ...]
    """Control by control."""
    apart: Mapping[str, Band]
    """By reading: how far the other machine's is likely to lie above the first one's, with a probability of 80 %."""
    pass_chance: float
    """Chance that a swatch with `settings` passes on the other machine."""
    ratings: int
    """Number of rated swatches behind it."""

    @property
    def bands(self) -> Mapping[str, Band]:
        """By control: where the setting that sews the same lies."""
        return MappingProxyType({one.control: one.band for one in self.carried})

    @property
    def chance_known(self) -> bool:
        """Whether there are ratings enough to say how likely a pass is."""
        return self.ratings >= ENOUGH_RATINGS

    @property
    def sentences(self) -> tuple[str, ...]:
        """What to set, control by control."""
        return tuple(one.sentence for one in self.carried)


def translate(model: Model, seam: Seam, given: Settings, there: Seam, earlier: Sequence[Trial] = ()) -> Translation:
    """The settings on another machine at which a seam is expected to come out as it does with `given`.

    Parameters
    ----------
    seam, there : the same cloth, stitch and threads on the one machine and on the other
    earlier : its swatches on the other machine
    """
    start = carried_over(seam, given, there)
    offsets = there.amounts(start)
    outlook = _difference(model, seam, given, there, start)
    scale = tuple(Scale(one.values, one.amounts - offset) for one, offset in zip(scales(there), offsets, strict=True))
    moved = _equal(outlook, MARKS_APART * reach(there), scale)
    values = [one.setting(by) for one, by in zip(scale, moved, strict=True)]
    plain, settings = _on_steps(there, start), start.having(dict(zip(there.controls, values, strict=True)))
    return Translation(
        fabric=seam.fabric,
        stitch=seam.stitch.name,
        needle_thread=seam.needle_thread,
        looper_thread=seam.looper_thread,
        machine=seam.machine.name,
        to=there.machine.name,
        given=given,
        plain=plain,
        settings=settings,
        carried=_carried(_stood(seam, given), plain, settings, _bands(outlook, there, offsets, scale)),
        apart=_apart(outlook, moved),
        pass_chance=float(model.outlook(there, earlier).pass_chance(there.amounts(settings))),
        ratings=model.standard.ratings,
    )


def carried_over(seam: Seam, given: Settings, there: Seam) -> Settings:
    """Every control as far from the other machine's mark for this stitch as it was from the one's, held inside the range.

    Feed and stitch length are carried over by proportion.
    """
    stood, values = _stood(seam, given), {}
    for control in there.controls:
        mark, other = _mark(seam, control), _mark(there, control)
        value = other * stood[control] / mark if control in ("differential", "length") else other + stood[control] - mark
        values[control] = _held(there, control, value)
    start = there.settings(values)
    here, beyond = seam.machine.foot_pressure, there.machine.foot_pressure
    if here is None or beyond is None or given.foot_pressure is None:
        return start
    pressed = min(max(beyond.home + given.foot_pressure - here.home, beyond.low), beyond.high)
    return replace(start, foot_pressure=pressed)


def _stood(seam: Seam, given: Settings) -> dict[str, float]:
    """Where each control stood; one that was not logged stood on the baseline."""
    return {**seam.baseline.settings.controls(), **given.controls()}


def _mark(seam: Seam, control: str) -> float:
    """Where this stitch begins on this machine before a rule looks at the cloth: the home mark, moved as the stitch wants it."""
    return seam.machine.dial(control).home + seam.baseline.rules[0].moves.get(control, 0.0)


def _held(seam: Seam, control: str, value: float) -> float:
    dial = seam.machine.dial(control)
    return min(max(value, dial.low), dial.high)


def _on_steps(seam: Seam, settings: Settings) -> Settings:
    return settings.having({control: seam.machine.dial(control).nearest(value) for control, value in settings.controls().items()})


def _difference(model: Model, seam: Seam, given: Settings, there: Seam, start: Settings) -> Outlook:
    """What is believed of the other machine's readings less the one's, as a function of how far its controls are moved from `start`."""
    terms, found = model.terms, model.belief
    frame = terms.frame(there)
    apart = terms.row(there, frame, start) - terms.row(seam, terms.frame(seam), given)
    rows = np.vstack([apart, frame.lever])
    return Outlook(found.mean @ rows.T, rows @ found.cov @ rows.T, model.scales.noise, model.standard)


def _equal(outlook: Outlook, reaches: Array, scale: tuple[Scale, ...]) -> Array:
    """The moves of least (11) on the machine's steps, shape (n_controls,)."""
    problem, free = drawn(outlook.mean[None], reaches, ALIKE), np.ones((1, len(scale)), dtype=bool)
    return np.asarray(stepped(problem, scale, np.zeros((1, len(scale))), free)[0])


def _bands(outlook: Outlook, there: Seam, offsets: Array, scale: tuple[Scale, ...]) -> dict[str, Band]:
    tails = (1 - COVERAGE) / 2
    draws = best_draws(outlook, MARKS_APART * reach(there), *ends(scale), slack=ALIKE) + offsets
    low, high = np.quantile(draws, [tails, 1 - tails], axis=0).tolist()
    return {c: Band(there.value(c, low[place]), there.value(c, high[place])) for place, c in enumerate(there.controls)}


def _carried(stood: Mapping[str, float], plain: Settings, settings: Settings, bands: Mapping[str, Band]) -> tuple[Carried, ...]:
    """Control by control, each band stretched to hold what is set."""
    found = []
    for control, value in settings.controls().items():
        band = bands[control]
        held = Band(min(band.low, value), max(band.high, value))
        found.append(Carried(control, stood[control], plain.controls()[control], value, held))
    return tuple(found)


def _apart(outlook: Outlook, moved: Array) -> Mapping[str, Band]:
    mean, variance = outlook.readings(moved)
    half = HALF * np.sqrt(variance)
    ends = zip(READINGS, (mean - half).tolist(), (mean + half).tolist(), strict=True)
    return MappingProxyType({name: Band(low, high) for name, low, high in ends})
