"""A file that is whole or as it was: written beside its place, and put there at the end."""

import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from recommender.errors import FileFault


@contextmanager
def whole(path: Path, noun: str = "it") -> Iterator[Path]:
    """The path to write under; it takes the place of `path` at the end, and is gone where that fails. `noun` is what is written.

    Raises
    ------
    FileFault
        If it cannot be written.
    """
    beside = path.with_name(f".{path.name[:100]}.{secrets.token_hex(4)}")
    try:
        yield beside
        beside.replace(path)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or error
        raise FileFault(f"file {str(path)[:200]}: {noun} cannot be written ({why}); give another path") from error
    finally:
        beside.unlink(missing_ok=True)
