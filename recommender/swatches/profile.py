"""A machine's profile as text, for the log."""

import json
from dataclasses import fields
from typing import Any

from recommender.trade.machine import Dial, Machine


def profile_text(machine: Machine) -> str:
    """The profile as JSON; the same profile gives the same text.

    >>> profiled(profile_text(Machine.generic("bench"))) == Machine.generic("bench")
    True
    """
    values = {f.name: _plain(getattr(machine, f.name)) for f in fields(machine) if f.name != "tension"}
    tension = {position: _plain(dial) for position, dial in machine.tension.items()}
    return json.dumps({**values, "tension": tension}, ensure_ascii=False, sort_keys=True)


def profiled(text: str) -> Machine:
    """The machine of a profile that `profile_text` wrote."""
    values: dict[str, Any] = json.loads(text)
    dials = {name: Dial(**value) for name, value in values.items() if isinstance(value, dict) and name != "tension"}
    tension = {position: Dial(**dial) for position, dial in values["tension"].items()}
    return Machine(**{**values, **dials, "tension": tension})


def _plain(value: Any) -> Any:
    return {f.name: getattr(value, f.name) for f in fields(value)} if isinstance(value, Dial) else value
