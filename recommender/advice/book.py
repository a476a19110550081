"""The swatch book: every cloth of a log with its swatches, and the best setting found for each of its stitches and machines.

Pure functions over the trials that count. A cloth is here what it is to the model: a name and all that describes it, so that two rolls
of one name and another weight stand in the book twice.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property

from recommender.advice.model import cloth
from recommender.errors import UnknownName
from recommender.swatches.trial import Trial
from recommender.trade.fabric import Fabric
from recommender.trade.names import unknown
from recommender.trade.readings import READINGS

UNREAD = 0.25
"""How far from 0 a reading is taken to be that nobody made on a swatch that passed: between right and the smallest step (our choice)."""


@dataclass(frozen=True, slots=True)
class Best:
    """The best setting of a cloth for one stitch on one machine."""

    trial: Trial
    """The last swatch that passed with it: the one to sew again."""
    swatches: tuple[Trial, ...]
    """Every swatch that was sewn with it, in the order of the log."""

    @property
    def passes(self) -> int:
        """How many of them passed."""
        return _passes(self.swatches)


@dataclass(frozen=True)
class Sewn:
    """One stitch on one machine, as it was sewn on a cloth."""

    stitch: str
    """Name of the stitch."""
    machine: str
    """Name of the machine."""
    trials: tuple[Trial, ...]
    """Its swatches, in the order of the log; at least one."""

    @cached_property
    def best(self) -> Best | None:
        """The best setting; None where no swatch passed."""
        return best_of(self.trials)  # worked out when asked for: a list shows a few of a thousand

    @property
    def passes(self) -> int:
        """How many swatches passed."""
        return _passes(self.trials)


@dataclass(frozen=True, slots=True)
class Entry:
    """One cloth in the book."""

    title: str
    """Its name, and a number where an earlier cloth of the book has the same name; no other entry has this title."""
    fabric: Fabric
    """The cloth as it was last described."""
    sewn: tuple[Sewn, ...]
    """Each stitch and machine that it was sewn with, the last one first; at least one."""

    @property
    def trials(self) -> tuple[Trial, ...]:
        """Its swatches, the last one first."""
        return tuple(sorted((trial for one in self.sewn for trial in one.trials), key=lambda trial: trial.when, reverse=True))

    @property
    def count(self) -> int:
        """How many swatches there are."""
        return sum(len(one.trials) for one in self.sewn)

    @property
    def passes(self) -> int:
        """How many swatches passed."""
        return sum(one.passes for one in self.sewn)

    @property
    def best(self) -> Best | None:
        """Of the best settings, that of the stitch and machine that were sewn last; None where nothing passed."""
        return next((one.best for one in self.sewn if one.best is not None), None)

    @property
    def last(self) -> datetime:
        """When its last swatch was sewn."""
        return _last(self.sewn[0].trials)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What to look for in the book; what is left out may be anything."""

    text: str = ""
    """Words that all stand in the cloth's name, fibre, construction or weight class, or in a swatch's stitch, machine, sewer or note."""
    fibres: frozenset[str] = frozenset()
    """Main fibres, one of which it has."""
    gsm_low: float | None = None
    """Least weight of one layer, g/m2."""
    gsm_high: float | None = None
    """Greatest weight of one layer, g/m2."""
    stitch: str | None = None
    """A stitch that it was sewn with."""
    machine: str | None = None
    """A machine that it was sewn on; together with a stitch: that stitch on that machine."""
    passed: bool | None = None
    """Whether a swatch of it (of that stitch, on that machine) has passed."""


def book(trials: Iterable[Trial]) -> tuple[Entry, ...]:
    """The book of a log, the cloth that was sewn last first.

    Parameters
    ----------
    trials
        The trials that count, in the order of the log.
    """
    cloths: dict[str, list[Trial]] = {}
    for trial in trials:
        cloths.setdefault(cloth(trial.fabric), []).append(trial)
    titles = _titles([sewn[0].fabric.name.strip() for sewn in cloths.values()])
    entries = [_entry(title, sewn) for title, sewn in zip(titles, cloths.values(), strict=True)]
    return tuple(sorted(entries, key=lambda entry: entry.last, reverse=True))


def find(entries: Iterable[Entry], wanted: Wanted) -> tuple[Entry, ...]:
    """The entries that are wanted, in their order, each with the stitches and machines that are wanted and no others."""
    words = wanted.text.casefold().split()
    narrowed = (_narrowed(entry, wanted) for entry in entries if _is_of(entry.fabric, wanted))
    there = (entry for entry in narrowed if entry.sewn and (wanted.passed is None or (entry.passes > 0) == wanted.passed))
    return tuple(entry for entry in there if not words or _says(entry, words))


def entry_titled(entries: Sequence[Entry], title: str) -> Entry:
    """The entry of that title, or of that name whatever its capitals.

    Raises
    ------
    UnknownName
        If there is none.
    """
    bare = title.casefold().strip()
    found = [entry for entry in entries if entry.title == title] or [entry for entry in entries if entry.title.casefold() == bare]
    if found:
        return found[0]
    if not entries:
        raise UnknownName(f"cloth: got {title[:80]!r}, but no swatch is logged in this studio yet")
    raise unknown("cloth", title, [entry.title for entry in entries][:12])


def entry_of(entries: Iterable[Entry], trial: Trial) -> Entry | None:
    """The entry of a trial's cloth, or None where the book has none."""
    key = cloth(trial.fabric)
    return next((entry for entry in entries if cloth(entry.fabric) == key), None)


def best_of(trials: Sequence[Trial]) -> Best | None:
    """The best of the settings that swatches of one cloth, stitch and machine were sewn with; None where none passed.

    Of the settings that passed, with the same threads, the best is the one of which the greatest share passed; of equals the one with
    the fewest faults seen, then the one whose readings lay nearest to 0, then the one that passed most often, then the last.
    """
    settings: dict[tuple[object, ...], list[tuple[int, Trial]]] = {}
    for place, trial in enumerate(trials):
        settings.setdefault(_setting(trial), []).append((place, trial))
    passed = [group for group in settings.values() if any(trial.passed for _, trial in group)]
    if not passed:
        return None
    best = tuple(trial for _, trial in max(passed, key=_worth))
    return Best([trial for trial in best if trial.passed][-1], best)


def off(trial: Trial) -> float:
    """How far the readings lay from 0: the mean of their squares, one that nobody made taken as `UNREAD`."""
    return sum(trial.readings.get(name, UNREAD) ** 2 for name in READINGS) / len(READINGS)


def _worth(group: Sequence[tuple[int, Trial]]) -> tuple[float, ...]:
    passed = [trial for _, trial in group if trial.passed]
    flags, reach = sum(len(trial.flags) for trial in passed), sum(map(off, passed))
    return len(passed) / len(group), -flags / len(passed), -reach / len(passed), len(passed), group[-1][0]


def _setting(trial: Trial) -> tuple[object, ...]:
    return *trial.settings.controls().values(), trial.settings.foot_pressure, trial.needle_thread, trial.looper_thread


def _entry(title: str, trials: Sequence[Trial]) -> Entry:
    pairs: dict[tuple[str, str], list[Trial]] = {}
    for trial in trials:
        pairs.setdefault((trial.stitch, trial.machine), []).append(trial)
    sewn = (Sewn(stitch, machine, tuple(here)) for (stitch, machine), here in pairs.items())
    return Entry(title, trials[-1].fabric, tuple(sorted(sewn, key=lambda one: _last(one.trials), reverse=True)))


def _titles(names: Sequence[str]) -> list[str]:
    """Each name once: `rib`, and for the next cloth of that name `rib (2)`."""
    titles: dict[str, str] = {}
    for name in names:
        number, title = 1, name
        while title.casefold() in titles:
            number += 1
            title = f"{name} ({number})"
        titles[title.casefold()] = title
    return list(titles.values())


def _is_of(fabric: Fabric, wanted: Wanted) -> bool:
    light = wanted.gsm_low is not None and fabric.gsm < wanted.gsm_low
    heavy = wanted.gsm_high is not None and fabric.gsm > wanted.gsm_high
    return not light and not heavy and (not wanted.fibres or fabric.fibre in wanted.fibres)


def _narrowed(entry: Entry, wanted: Wanted) -> Entry:
    if wanted.stitch is None and wanted.machine is None:
        return entry
    sewn = (one for one in entry.sewn if wanted.stitch in (None, one.stitch) and wanted.machine in (None, one.machine))
    return replace(entry, sewn=tuple(sewn))


def _says(entry: Entry, words: Sequence[str]) -> bool:
    fabric = entry.fabric
    said = {entry.title, fabric.construction, fabric.fibre, fabric.kind}
    for one in entry.sewn:
        said |= {one.stitch, one.machine, *(trial.who for trial in one.trials), *(trial.note for trial in one.trials)}
    text = "\n".join(said).casefold()
    return all(word in text for word in words)


def _passes(trials: Iterable[Trial]) -> int:
    return sum(trial.passed for trial in trials)


def _last(trials: Iterable[Trial]) -> datetime:
    return max(trial.when for trial in trials)
