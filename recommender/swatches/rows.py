"""From a trial to a flat row and back."""

from collections.abc import Mapping
from functools import lru_cache
from typing import Any, TypedDict

from recommender.errors import InvalidValue
from recommender.swatches.columns import COLUMNS, defaults, row_faults, tension_column
from recommender.swatches.moments import moment
from recommender.swatches.trial import Trial
from recommender.trade.fabric import Fabric
from recommender.trade.readings import FLAGS, READINGS
from recommender.trade.rules import rules_of
from recommender.trade.settings import Settings
from recommender.trade.thread import POSITIONS, Thread

_FABRIC = tuple(rules_of(Fabric))
_FABRIC_COLUMNS = tuple("fabric" if name == "name" else name for name in _FABRIC)
_THREAD = tuple(rules_of(Thread))
_SETTINGS = tuple(rules_of(Settings))
_TRIAL = tuple(rules_of(Trial))
_TENSIONS = {position: tension_column(position) for position in POSITIONS}


def trial_of(row: Mapping[str, Any]) -> Trial:
    """The trial that a row describes; columns left out have their defaults, a row without an id gets one.

    Raises
    ------
    InvalidValue
        If anything is wrong with the row; the message holds every fault.
    """
    if faults := row_faults(row):
        raise InvalidValue("; ".join(faults))
    return built({**defaults(), **row})


def built(row: Mapping[str, Any]) -> Trial:
    """The trial of a full row that was checked when it was logged."""
    given = {name: row[name] for name in ("id",) if row[name] is not None}
    if row["when"] is not None:
        given["when"] = moment(row["when"])
    return Trial(
        **given,
        **{name: row[name] for name in _TRIAL},
        **sewn_of(row),
        readings={name: row[name] for name in READINGS if row[name] is not None},
        flags=frozenset(name for name in FLAGS if row[name]),
    )


class Sewn(TypedDict):
    """What a row says of cloth, threads and settings."""

    fabric: Fabric
    needle_thread: Thread
    looper_thread: Thread
    settings: Settings


def sewn_of(row: Mapping[str, Any]) -> Sewn:
    """Cloth, threads and settings of a full row."""
    return Sewn(
        fabric=_fabric(*[row[name] for name in _FABRIC_COLUMNS]),
        needle_thread=_thread(*[row["needle_" + name] for name in _THREAD]),
        looper_thread=_thread(*[row["looper_" + name] for name in _THREAD]),
        settings=Settings(
            tension={position: row[column] for position, column in _TENSIONS.items() if row[column] is not None},
            **{name: row[name] for name in _SETTINGS},
        ),
    )


def row_of(trial: Trial) -> dict[str, Any]:
    """The flat row of a trial: every column, None where nothing was given; numbers, text and yes/no only.

    `trial_of(row_of(trial)) == trial` for every trial.
    """
    row = sewn_row(trial.fabric, (trial.needle_thread, trial.looper_thread), trial.settings)
    row |= {name: trial.readings.get(name) for name in READINGS}
    row |= {name: name in trial.flags for name in FLAGS}
    row |= {name: getattr(trial, name) for name in _TRIAL}
    row |= {"when": trial.when.isoformat(), "id": trial.id}
    return {name: row[name] for name in COLUMNS}


def sewn_row(fabric: Fabric, threads: tuple[Thread, Thread], settings: Settings) -> dict[str, Any]:
    """The columns of cloth, needle and looper thread, and settings."""
    row: dict[str, Any] = {column: getattr(fabric, name) for name, column in zip(_FABRIC, _FABRIC_COLUMNS, strict=True)}
    row |= {"needle_" + name: getattr(threads[0], name) for name in _THREAD}
    row |= {"looper_" + name: getattr(threads[1], name) for name in _THREAD}
    row |= {column: settings.tension.get(position) for position, column in _TENSIONS.items()}
    return row | {name: getattr(settings, name) for name in _SETTINGS}


@lru_cache(maxsize=4096, typed=True)  # typed: True is no 1 here, and a cloth is sewn many times
def _fabric(*values: Any) -> Fabric:
    return Fabric(**dict(zip(_FABRIC, values, strict=True)))


@lru_cache(maxsize=1024, typed=True)
def _thread(*values: Any) -> Thread:
    return Thread(**dict(zip(_THREAD, values, strict=True)))
