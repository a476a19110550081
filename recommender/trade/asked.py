"""A seam as a person names it, before stitch and machine are looked up."""

from typing import Protocol, TypedDict

from recommender.trade.fabric import Fabric
from recommender.trade.thread import Thread


class Asked(TypedDict):
    """What to propose for, as the names of `Studio.propose`."""

    fabric: Fabric
    stitch: str
    machine: str
    needle_thread: Thread
    looper_thread: Thread


class Named(Protocol):
    """Whatever is of one seam: a logged swatch, a planned one, a proposal."""

    @property
    def fabric(self) -> Fabric:
        """The cloth."""

    @property
    def stitch(self) -> str:
        """Name of the stitch."""

    @property
    def machine(self) -> str:
        """Name of the machine."""

    @property
    def needle_thread(self) -> Thread:
        """Thread in the needles."""

    @property
    def looper_thread(self) -> Thread:
        """Thread in the loopers."""


def asking(one: Named) -> Asked:
    """Its seam, to ask for it again."""
    return Asked(
        fabric=one.fabric, stitch=one.stitch, machine=one.machine, needle_thread=one.needle_thread, looper_thread=one.looper_thread
    )
