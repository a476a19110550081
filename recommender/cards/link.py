"""The address that opens a card's setting in the studio that it came from.

A logged swatch is named by its id. A seam that was not sewn is described by the columns of the log that differ from their defaults, so
that nothing has to be kept for it.
"""

from collections.abc import Mapping
from functools import cache
from typing import Any
from urllib.parse import quote, urlencode, urlsplit

from recommender.errors import InvalidValue
from recommender.swatches.cells import number_of, value_of
from recommender.swatches.columns import COLUMNS, Column
from recommender.trade.asked import Asked
from recommender.trade.fabric import Fabric
from recommender.trade.names import shown
from recommender.trade.rules import rules_of
from recommender.trade.thread import Thread

TRIAL = "trial"
"""Name of the parameter that holds a trial's id."""
BOOK = "swatch_book"
"""The page that opens a trial."""

_GROUPS = ("cloth", "needle thread", "looper thread", "stitch and machine")
_LONGEST = 500


def trial_address(base: str, trial_id: str) -> str:
    """What opens a logged swatch.

    >>> trial_address("http://192.0.2.7:8501", "0f3c")
    'http://192.0.2.7:8501/swatch_book?trial=0f3c'

    Raises
    ------
    InvalidValue
        If the dashboard's address is none.
    """
    return f"{_base(base)}/{BOOK}?{TRIAL}={quote(trial_id, safe='')}"


def seam_address(base: str, seam: Asked) -> str:
    """What opens New fabric with a seam filled in.

    >>> cloth = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)
    >>> seam_address("http://192.0.2.7:8501/", Asked(fabric=cloth, stitch="rolled hem", machine="bench",
    ...     needle_thread=Thread(tex=27), looper_thread=Thread(tex=18)))
    'http://192.0.2.7:8501/?fabric=rib+jersey&construction=knit&fibre=cotton&gsm=220&stretch=60&looper_tex=18&stitch=rolled+hem&machine=bench'

    Raises
    ------
    InvalidValue
        If the dashboard's address is none.
    """
    told = {name: value for name, value in _told(seam).items() if value is not None and value != COLUMNS[name].default}
    return f"{_base(base)}/?{urlencode({name: _written(value) for name, value in told.items()})}"


def is_seam(given: Mapping[str, str]) -> bool:
    """Whether parameters describe a seam at all, rightly or wrongly."""
    return any(name in _columns() for name in given)


def read_seam(given: Mapping[str, str]) -> Asked:
    """The seam that parameters of an address describe; parameters that others put there are left alone.

    >>> read_seam({"fabric": "voile", "construction": "woven", "fibre": "cotton", "gsm": "70", "stitch": "rolled hem", "machine": "bench"})[
    ...     "fabric"].plies
    2

    Raises
    ------
    InvalidValue
        If something of it is missing, unknown or wrong; the message names the first fault.
    """
    row = {name: _read(column, given.get(name, "")) for name, column in _columns().items()}
    if faults := [fault for name, column in _columns().items() if (fault := column.fault(row[name])) is not None]:
        more = f", and {len(faults) - 1} more like it" if len(faults) > 1 else ""
        raise InvalidValue(f"address: {faults[0]}{more}; scan the card again, or describe the cloth here")
    fabric = {("name" if name == "fabric" else name): row[name] for name, column in _columns().items() if column.group == "cloth"}
    needle, looper = ({name: row[f"{place}_{name}"] for name in rules_of(Thread)} for place in ("needle", "looper"))
    return Asked(
        fabric=Fabric(**fabric),
        stitch=row["stitch"],
        machine=row["machine"],
        needle_thread=Thread(**needle),
        looper_thread=Thread(**looper),
    )


@cache
def _columns() -> dict[str, Column]:
    return {name: column for name, column in COLUMNS.items() if column.group in _GROUPS}


def _told(seam: Asked) -> dict[str, Any]:
    """Every column of a seam with its value."""
    fabric, threads = seam["fabric"], {"needle": seam["needle_thread"], "looper": seam["looper_thread"]}
    row = {("fabric" if name == "name" else name): getattr(fabric, name) for name in rules_of(Fabric)}
    row |= {f"{place}_{name}": getattr(thread, name) for place, thread in threads.items() for name in rules_of(Thread)}
    row |= {"stitch": seam["stitch"], "machine": seam["machine"]}
    return {name: row[name] for name in _columns()}


def _written(value: Any) -> str:
    return str(value).removesuffix(".0") if isinstance(value, float) else str(value)


def _read(column: Column, text: str) -> Any:
    if not text:
        return column.default
    if len(text) > _LONGEST:
        raise InvalidValue(f"address {column.name}: got {len(text)} characters, expected {_LONGEST} at most")
    if column.rule.kind in ("number", "integer"):
        number = number_of(text)  # without units of its own: an address is written by `seam_address`
        return text if number is None else number
    return text if column.rule.kind == "text" else value_of(column, text)


def _base(base: str) -> str:
    wrong = InvalidValue(f"dashboard address: got {shown(base)}, expected one such as http://192.0.2.7:8501")
    try:
        parts = urlsplit(base)
    except ValueError as error:
        raise wrong from error
    if parts.scheme not in ("http", "https") or not parts.netloc:
        raise wrong
    return f"{parts.scheme}://{parts.netloc}{parts.path.rstrip('/')}"
