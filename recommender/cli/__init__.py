"""The command line: `overedge`.

Exit status: 0 where it worked, 1 where the work failed or a check found faults, 2 for wrong usage or bad input.
"""

import sys
from collections.abc import Sequence

from recommender.cli.app import app
from recommender.errors import ModelFileError, OveredgeError, StudioError


def main(arguments: Sequence[str] | None = None) -> None:
    """Run one command; a fault that a person can mend is one sentence on the error output, never a traceback."""
    try:
        app(args=None if arguments is None else list(arguments), prog_name="overedge")
    except OveredgeError as error:
        _leave(str(error), 1 if isinstance(error, StudioError | ModelFileError) else 2)
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        _leave(f"{where}{error.strerror or error}", 1)


def _leave(sentence: str, status: int) -> None:
    print(sentence.encode("utf-8", "backslashreplace").decode(), file=sys.stderr)  # noqa: T201  # the one place where a fault is told
    raise SystemExit(status)
