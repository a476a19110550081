"""What a reading cannot tell of two needles."""

from collections.abc import Sequence

from recommender.advice.moves import Move
from recommender.advice.words import spoken
from recommender.swatches.trial import Trial
from recommender.trade.looks import reading

_NEEDLES = ("tension: left needle", "tension: right needle")


def which_needle(trial: Trial, moves: Sequence[Move]) -> str:
    """Where to look before one needle of two is moved after a swatch whose needle line is off; empty where that is not so.

    A needle line is read as one, whichever needle's it is; which of the two is moved for it follows from what the log says of both.
    """
    told = [move.control for move in moves if move.control in _NEEDLES]
    if len(told) != 1 or not trial.readings.get("needle_line") or not {*_NEEDLES} <= {*trial.settings.controls()}:
        return ""
    (other,) = {*_NEEDLES} - {*told}
    line, its = reading("needle_line", trial.stitch), spoken(other).removesuffix(" tension")
    look = line.plus if trial.readings["needle_line"] > 0 else line.minus
    return (
        f'The reading "{look}" does not tell the two needles apart. Look whose line it is, the left needle\'s lies further from the edge: '
        f"where it is the {its}'s, turn that dial by as much instead, and say so when you rate the next swatch."
    )
