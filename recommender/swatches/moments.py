"""Dates and times as they stand in a row: text, so that a file, a form and a database hold the same."""

from datetime import UTC, datetime

from recommender.errors import InvalidValue
from recommender.swatches.trial import in_utc, is_ahead
from recommender.trade.rules import Rule

MOMENT_RULE = Rule(
    kind="text",
    low=10,
    high=40,
    required=False,
    help="Date, or date and time, such as 2025-03-14 16:30; without a zone it is read as UTC. Left out, it is the moment of logging.",
    source="written as ISO 8601 says",
)
"""The rule of a moment; besides, it must be a date that exists."""


MOMENT_EXPECTED = "a date from 1951 until tomorrow such as 2025-03-14 or 2025-03-14 16:30"
"""What a moment may be, as the end of a sentence."""


def moment(text: str) -> datetime:
    """The moment that a text in the log names, in UTC.

    >>> moment("2025-03-14 16:30+01:00").isoformat()
    '2025-03-14T15:30:00+00:00'

    Raises
    ------
    InvalidValue
        If it names none.
    """
    try:
        return _read(text)
    except ValueError as error:
        raise InvalidValue(_fault("when", text)) from error


def moment_fault(name: str, value: object) -> str | None:
    """The sentence that says why a value is no moment to log, or None where it is one, or is None."""
    is_one = value is None or (isinstance(value, str) and MOMENT_RULE.fault(name, value) is None and is_date(value))
    return None if is_one else _fault(name, value)


def is_date(text: str) -> bool:
    """Whether a text names a moment that exists and has come."""
    try:
        return not is_ahead(_read(text))
    except ValueError:  # InvalidValue is one, too
        return False


def _fault(name: str, value: object) -> str:
    return f"{name}: got {str(value)[:40]!r}, expected {MOMENT_EXPECTED}"


def _read(text: str) -> datetime:
    read = datetime.fromisoformat(text)
    return in_utc(read if read.tzinfo else read.replace(tzinfo=UTC))
