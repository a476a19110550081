"""What tablets have typed, as a file, so that a server that is started again gives it back.

It lies in the user's cache, readable by nobody else, as plain JSON. A proposal is not written: it is asked for again.
"""

import json
import os
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import asdict, replace
from hashlib import sha256
from pathlib import Path
from secrets import token_hex
from typing import Any

from platformdirs import user_cache_path

from parts.drafts import Draft
from recommender import Fabric, Studio, Thread
from recommender.errors import OveredgeError

MOST = 200
"""Tablets whose files are kept."""

_PLAIN = (str, int, float, bool, type(None))
_TOLD = ("passed", "pending", "trial_id")


def shelf(studio: Studio, tablet: str) -> Path:
    """The file of one tablet and one studio."""
    name = sha256(f"{studio.where} {tablet}".encode()).hexdigest()[:32]
    return user_cache_path("overedge", appauthor=False) / "tablets" / f"{name}.json"


def put(path: Path, inputs: Mapping[str, Any], there: str = "") -> str:
    """Write what can be written of the inputs, if the file does not say that yet, and return what it says now.

    Where nothing can be written, a server that is started again gives nothing back. A pair comes back as a list of two.
    """
    written: dict[str, Any] = {name: value for name, value in inputs.items() if _is_plain(value)}
    if isinstance(draft := inputs.get("draft"), Draft) and draft.saved is None:
        written["draft"] = _written(draft)
    if (text := json.dumps(written, ensure_ascii=False)) == there:
        return text
    with suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        if not path.exists():
            _make_room(path.parent)
        aside = path.with_name(f".{path.name}-{token_hex(4)}")
        with os.fdopen(os.open(aside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as file:
            file.write(text)
        aside.replace(path)
    return text


def taken(path: Path, studio: Studio) -> dict[str, Any]:
    """What was written; nothing where that cannot be read, and no draft where its seam can no longer be sewn."""
    try:
        inputs = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    if not isinstance(inputs, dict):
        return {}
    draft = inputs.pop("draft", None)
    with suppress(OveredgeError, KeyError, TypeError):
        inputs |= {} if draft is None else {"draft": _read(draft, studio)}
    return inputs


def _make_room(folder: Path) -> None:
    """Throw away the files that were left alone longest."""
    there = sorted(folder.glob("*.json"), key=lambda path: path.stat().st_mtime, reverse=True)
    for path in there[MOST - 1 :]:
        path.unlink(missing_ok=True)


def _is_plain(value: object) -> bool:
    return isinstance(value, _PLAIN) or (isinstance(value, list | tuple) and all(isinstance(one, _PLAIN) for one in value))


def _written(draft: Draft) -> dict[str, Any]:
    seam = {name: value if isinstance(value, str) else asdict(value) for name, value in draft.seam.items()}
    asked = None if draft.asked is None else [draft.asked.controls(), draft.asked.foot_pressure]
    whole = {"seam": seam, "readings": dict(draft.readings), "held": dict(draft.held), "asked": asked}
    return whole | {name: getattr(draft, name) for name in _TOLD}


def _read(told: Mapping[str, Any], studio: Studio) -> Draft:
    kinds = {"fabric": Fabric, "needle_thread": Thread, "looper_thread": Thread}
    seam = {name: kinds[name](**value) if name in kinds else value for name, value in told["seam"].items()}
    given, proposal = {name: told[name] for name in _TOLD}, studio.propose(**seam)
    if (asked := told["asked"]) is not None:
        given["asked"] = replace(proposal.settings.having(asked[0]), foot_pressure=asked[1])
    return Draft(proposal, readings=dict(told["readings"]), held=dict(told["held"]), **given)
