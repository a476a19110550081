"""What a replay is computed by, as a digest: what other code has said is not taken for what this code would say."""

from functools import cache
from hashlib import sha256
from pathlib import Path

from recommender.trade.tables import share

_PACKAGE = Path(__file__).parents[2]

MODULES = (
    "advice.bands",
    "advice.calibration",
    "advice.draws",
    "advice.levers",
    "advice.model",
    "advice.moves",
    "advice.outlook",
    "advice.roam",
    "advice.scoring.replay",
    "advice.seam",
    "advice.search",
    "advice.terms",
    "learning.evidence",
    "learning.moments",
    "learning.posterior",
    "trade.baseline",
    "trade.fabric",
    "trade.machine",
    "trade.readings",
    "trade.rules",
    "trade.settings",
    "trade.stitch",
    "trade.thread",
)
"""Modules that can change what is said of a trial: what the replay imports, but for those that only find or name things."""

TABLES = ("baseline", "levers", "stitches")
"""The trade's tables that they read."""


@cache
def model_version() -> str:
    """A digest of the model's sources and tables; the same wherever and however the package is installed."""
    modules = (_PACKAGE.joinpath(*name.split(".")).with_suffix(".py") for name in MODULES)
    return digest((*modules, *(share("data") / f"{name}.toml" for name in TABLES)))


def digest(files: tuple[Path, ...]) -> str:
    """A digest of the names and the text of some files, in their order."""
    found = sha256()
    for file in files:
        text = file.read_text(encoding="utf-8")  # as text, so that the ends of lines make no difference
        found.update(f"{file.name}\0{text}\0".encode())
    return found.hexdigest()
