"""Overedge: starting settings for overlock sewing, learned from logged swatches."""

import importlib
from typing import Any

_HOMES = {
    "Studio": "studio",
    "Fabric": "trade.fabric",
    "Thread": "trade.thread",
    "Machine": "trade.machine",
    "Dial": "trade.machine",
    "Settings": "trade.settings",
    "presets": "trade.presets",
    "stitches": "trade.stitch",
}
"""Public name -> its module; a name is imported when first asked for, so that a quick command stays quick."""

__all__ = sorted(_HOMES)  # noqa: PLE0605  # a sorted list of the names above is a list of strings


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(f"{__name__}.{_HOMES[name]}"), name)


def __dir__() -> list[str]:
    return __all__
