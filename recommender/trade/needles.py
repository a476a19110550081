"""Needles: their two numbers, and which one for which cloth."""

import re
from dataclasses import dataclass, replace
from functools import cache

from recommender.errors import InvalidValue
from recommender.trade.fabric import Fabric
from recommender.trade.names import shown
from recommender.trade.tables import table
from recommender.trade.thread import Thread

_WRITTEN = re.compile(r"(?:nm|size|no\.?)?\s*([0-9]{1,3})(?:\s*/\s*([0-9]{1,3}))?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Needle:
    """A needle for a cloth."""

    size: int
    """Metric size: 100 x the blade's diameter in mm."""
    point: str
    """Shape of the point."""
    reason: str
    """Why this one."""
    source: str
    """Who says so."""

    @property
    def packet(self) -> str:
        """Size and point, as they stand on the packet."""
        return f"{packet_size(self.size)}, {self.point}"


@cache
def _imperial() -> dict[int, int]:
    return {row["metric"]: row["imperial"] for row in table("needles")["sizes"]}


def sizes() -> tuple[str, ...]:
    """Every needle size as it stands on the packet.

    >>> sizes()[4]
    '80/12'
    """
    return tuple(f"{metric}/{imperial}" for metric, imperial in _imperial().items())


def needle_size(given: str | float) -> int:
    """The metric size of a needle, from either number or both; no metric number is an imperial one too, so a bare one will do.

    >>> needle_size("80/12"), needle_size("size 14"), needle_size(75)
    (80, 90, 75)

    Raises
    ------
    InvalidValue
        If there is no such needle, or the two numbers are of two needles.
    """
    numbers = _numbers(given)
    sizes_meant = {metric for metric, imperial in _imperial().items() for number in numbers if number in (metric, imperial)}
    kinds_meant = len({number in _imperial() for number in numbers})
    if len(sizes_meant) != 1 or kinds_meant != len(numbers):
        raise InvalidValue(f"needle size: got {shown(given)}, expected one of: {', '.join(sizes())}")
    return sizes_meant.pop()


def packet_size(metric: float) -> str:
    """Both numbers of a metric size.

    >>> packet_size(90)
    '90/14'
    """
    size = needle_size(metric)
    return f"{size}/{_imperial()[size]}"


def needle_for(fabric: Fabric, thread: Thread) -> Needle:
    """The needle to begin with for a cloth and a needle thread: the one for the cloth, or the finest that lets the thread through.

    >>> jersey = Fabric(name="jersey", construction="knit", fibre="cotton", gsm=180, stretch=35)
    >>> needle_for(jersey, Thread(tex=27)).packet, needle_for(jersey, Thread(tex=60)).packet
    ('80/12, light ball point', '90/14, light ball point')
    """
    found, least = _needle_for(fabric), _finest_for(thread)
    if least <= found.size:
        return found
    return replace(found, size=least, reason=f"A finer one than {packet_size(least)} does not let this thread through its eye.")


def _finest_for(thread: Thread) -> int:
    """The finest size that lets a thread through, or the coarsest that there is."""
    through = [row["metric"] for row in table("needles")["sizes"] if thread.tex <= row["tex"]]
    return min(through, default=max(_imperial()))


def _needle_for(fabric: Fabric) -> Needle:
    words = {"construction": fabric.construction, "weight": fabric.weight_class}
    for row in table("needles")["choice"]:
        if all(words[key] in choices for key, choices in row["when"].items()):
            return Needle(row["size"], row["point"], row["reason"], row["source"])
    raise InvalidValue(f"needle: got {fabric.kind}, expected a cloth that a row of data/needles.toml covers")


def _numbers(given: object) -> tuple[int, ...]:
    if isinstance(given, str):
        found = _WRITTEN.fullmatch(given.strip())
        return tuple(int(number) for number in found.groups() if number) if found else ()
    return tuple(metric_or_imperial for pair in _imperial().items() for metric_or_imperial in pair if metric_or_imperial == given)
