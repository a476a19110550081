"""What a pass window tells of a dial: not everything that can be reckoned is knowledge."""

from dataclasses import dataclass

from recommender.advice.bands import Band
from recommender.advice.proposal import Proposal
from recommender.trade.machine import Dial
from recommender.trade.words import number

UNKNOWN = "not known yet"
ANYWHERE = "the whole dial"


@dataclass(frozen=True, slots=True)
class Passing:
    """The pass window of one control on its dial."""

    window: Band | None
    """The window, to be drawn; None where it shows nothing that a sewer could keep to."""
    said: str
    """The same in words.

    >>> Passing(Band(3, 4.5), "3 to 4.5").said, Passing(None, ANYWHERE).said
    ('3 to 4.5', 'the whole dial')
    """


def passing(proposal: Proposal, control: str, dial: Dial) -> Passing:
    """The pass window of a control, where there are ratings enough to know it and the dial goes beyond it."""
    if not proposal.chance_known:
        return Passing(None, UNKNOWN)
    window = proposal.windows[control]
    if window.low <= dial.low and window.high >= dial.at(dial.steps):
        return Passing(None, ANYWHERE)
    return Passing(window, f"{number(window.low)} to {number(window.high)}")
