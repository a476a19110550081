"""Help for a name that does not exist."""

from collections.abc import Iterable
from difflib import get_close_matches

from recommender.errors import UnknownName


def shown(value: object) -> str:
    """A value as it stands in a message, cut short where it is long.

    >>> shown(2800.0), shown("2800"), shown(0.1 + 0.2)
    ('2800', "'2800'", '0.3')
    """
    text = f"{value:.15g}" if isinstance(value, float) else repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


def unknown(noun: str, got: object, names: Iterable[str]) -> UnknownName:
    """The error that lists the names there are, with the likeliest one first.

    >>> str(unknown("stitch", "roled hem", ["rolled hem", "narrow hem"]))
    "stitch: got 'roled hem', did you mean 'rolled hem'? Expected one of: rolled hem, narrow hem"
    """
    known = {name.casefold(): name for name in names}
    close = get_close_matches(str(got)[:80].strip().casefold(), known, n=1)
    hint = f"did you mean {known[close[0]]!r}? Expected" if close else "expected"
    return UnknownName(f"{noun}: got {shown(got)}, {hint} one of: {', '.join(known.values())}")
