"""Vulgar fractions, as a tape measure and a bolt's label have them: 1/32, 7 1/2, 7½."""

import re
from unicodedata import normalize

from recommender.errors import InvalidValue
from recommender.trade.names import shown

_SIGNS = re.compile("[¼-¾⅐-⅞]")
_WRITTEN = re.compile(r"(?:(?P<whole>[\d.,]+)(?:\s+|\s?-\s?))?(?P<over>[\d.,]+)\s?/\s?(?P<under>[\d.,/]+)", re.ASCII)


def in_decimals(title: str, text: str) -> str:
    """The text with every fraction in it, mixed ones too, as a decimal number; `title` is what a refusal calls the amount.

    >>> in_decimals("width", "1/32 inch"), in_decimals("weight", "7 1/2 oz/yd2"), in_decimals("weight", "7½ oz")
    ('0.031250000000 inch', '7.500000000000 oz/yd2', '7.500000000000 oz')

    Raises
    ------
    InvalidValue
        If it is no fraction of whole numbers, has a 0 under its stroke, or is no part of one behind a whole number.
    """
    plain = _SIGNS.sub(lambda sign: f" {normalize('NFKC', sign[0])}", text).replace("\N{FRACTION SLASH}", "/")
    return _WRITTEN.sub(lambda found: _decimal(title, text, found), plain).strip()


def _decimal(title: str, text: str, found: re.Match[str]) -> str:
    whole, over, under = (found[name] or "0" for name in ("whole", "over", "under"))
    is_fraction = (whole + over + under).isdecimal() and int(under) > 0
    if not is_fraction or (found["whole"] and int(over) >= int(under)):
        raise InvalidValue(f"{title}: got {shown(text)}, expected a fraction such as 1/2 or 7 1/2, with a number above 0 under its stroke")
    return f"{int(whole) + int(over) / int(under):.12f}"
