"""One piece of work at a time, done in the background by a thread of its own."""

import logging
from collections.abc import Callable
from threading import Lock, Thread
from time import monotonic

from recommender.errors import OveredgeError

Deed = Callable[[Callable[[str], object]], None]

FIRST, LONGEST = 5.0, 600.0
"""Seconds until what has failed is tried again: after the first time, and at most. Each failure in a row doubles them."""


class Later:
    """Does what it is given, unless it is at work already or rests after a failure."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._lock = Lock()
        self._at_work = False
        self._failures = 0
        self._rests_until = 0.0
        self._trouble = ""
        self.doing = ""
        """What is being done, in words, or why it rests; empty while there is nothing to say."""

    def do(self, deed: Deed) -> None:
        """Begin, and return at once; while something is being done, or after a failure for a while, nothing happens."""
        with self._lock:
            if self._at_work or monotonic() < self._rests_until:
                return
            self._at_work = True
        Thread(target=self._run, args=(deed,), name=self._name, daemon=True).start()

    def _run(self, deed: Deed) -> None:
        trouble = ""
        try:
            deed(self._tell)
        except OveredgeError as error:  # the log was closed, or cannot be read just now
            trouble = str(error)
            self._log(trouble, None)
        except Exception as error:  # noqa: BLE001  # nobody else would ever hear of it
            trouble = f"{type(error).__name__}, of which the server's log says more"
            self._log(trouble, error)
        finally:
            self._rest(trouble)

    def _rest(self, trouble: str) -> None:
        with self._lock:
            self._at_work, self._trouble = False, trouble
            self._failures = self._failures + 1 if trouble else 0
            self._rests_until = monotonic() + min(FIRST * 2.0 ** min(self._failures - 1, 20), LONGEST) if trouble else 0.0
            self.doing = f"which failed: {trouble}; it is tried again by and by" if trouble else ""

    def _log(self, trouble: str, error: Exception | None) -> None:
        """Say what failed, once for as often as it fails in the same way."""
        if trouble != self._trouble:
            logging.getLogger(__name__).warning("%s: %s", self._name, trouble, exc_info=error)

    def _tell(self, doing: str) -> None:
        self.doing = doing
