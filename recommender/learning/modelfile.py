"""Model files: arrays in an npz, facts in a json beside it, each written whole or not at all.

A pickle runs code when it is loaded, so none is ever loaded: the npz is read with `allow_pickle=False`, and only when its sha256
is the one that the json names.
"""

import hashlib
import io
import json
import os
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from zipfile import BadZipFile

import numpy as np

from recommender.errors import ModelFileDamaged, ModelFileForeign, ModelFileMissing, ModelFileOutdated
from recommender.learning import Array

SCHEMA = 1
"""Layout of the two files; another number is another layout."""

_FORMAT = "overedge model"
_REBUILT = "it is rebuilt from the log"


@dataclass(frozen=True, slots=True)
class ModelFile:
    """What the two files hold."""

    arrays: Mapping[str, Array]
    """Arrays by name."""
    facts: Mapping[str, Any]
    """Whatever else describes the model: names of the terms, units, versions, the log's fingerprint."""


def save(path: Path, content: ModelFile) -> None:
    """Write `path`.npz and `path`.json; the same content gives the same bytes. The json, which names the other, comes last."""
    arrays = _packed(content.arrays)
    facts = {"format": _FORMAT, "schema": SCHEMA, "sha256": hashlib.sha256(arrays).hexdigest(), **content.facts}
    _replace(_named(path, "npz"), arrays)
    _replace(_named(path, "json"), (json.dumps(facts, indent=1, sort_keys=True, ensure_ascii=False) + "\n").encode())


def load(path: Path) -> ModelFile:
    """Read `path`.npz and `path`.json.

    Raises
    ------
    ModelFileMissing
        If one of the two is not there.
    ModelFileForeign
        If the json is not one of this package's.
    ModelFileOutdated
        If it has another layout.
    ModelFileDamaged
        If the arrays are not those that were written.
    """
    facts = _facts(_named(path, "json"))
    packed = _bytes(_named(path, "npz"))
    if hashlib.sha256(packed).hexdigest() != facts.pop("sha256", None):
        raise ModelFileDamaged(f"model file {path.name}.npz: its bytes are not those that were written; {_REBUILT}")
    try:
        with np.load(io.BytesIO(packed), allow_pickle=False) as arrays:
            return ModelFile({name: arrays[name] for name in arrays.files}, facts)
    except (ValueError, OSError, BadZipFile) as error:
        raise ModelFileDamaged(f"model file {path.name}.npz: holds no plain arrays; {_REBUILT}") from error


def _named(path: Path, kind: str) -> Path:
    """The file of one kind; a name may have dots of its own."""
    return path.with_name(f"{path.name}.{kind}")


def _facts(path: Path) -> dict[str, Any]:
    written = _bytes(path)
    try:
        facts = json.loads(written)
    except ValueError as error:
        raise ModelFileDamaged(f"model file {path.name}: got bytes that are not json; {_REBUILT}") from error
    if not isinstance(facts, dict) or facts.pop("format", None) != _FORMAT:
        raise ModelFileForeign(f"model file {path.name}: got a file of another kind, expected an {_FORMAT}; {_REBUILT}")
    if (schema := facts.pop("schema", None)) != SCHEMA:
        raise ModelFileOutdated(f"model file {path.name}: got layout {schema!r}, expected {SCHEMA}; {_REBUILT}")
    return facts


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except FileNotFoundError as error:
        raise ModelFileMissing(f"model file {path.name}: there is none; {_REBUILT}") from error
    except OSError as error:
        raise ModelFileDamaged(f"model file {path.name}: cannot be read ({error.strerror}); {_REBUILT}") from error


def _packed(arrays: Mapping[str, Array]) -> bytes:
    buffer = io.BytesIO()
    np.savez(buffer, allow_pickle=False, **{name: arrays[name] for name in sorted(arrays)})
    return buffer.getvalue()


def _replace(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    temporary = path.with_name(f".{path.name}-{secrets.token_hex(4)}")
    try:
        with temporary.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(path)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
