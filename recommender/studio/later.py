"""One piece of work at a time, done in the background by a thread of its own."""

import logging
from collections.abc import Callable
from threading import Lock, Thread

from recommender.errors import OveredgeError

Deed = Callable[[Callable[[str], object]], None]


class Later:
    """Does what it is given, unless it is at work already."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._lock = Lock()
        self._at_work = False
        self.doing = ""
        """What is being done, in words; empty while nothing is."""

    def do(self, deed: Deed) -> None:
        """Begin, and return at once; while something is being done, nothing happens."""
        with self._lock:
            if self._at_work:
                return
            self._at_work = True
        Thread(target=self._run, args=(deed,), name=self._name, daemon=True).start()

    def _run(self, deed: Deed) -> None:
        try:
            deed(self._tell)
        except OveredgeError as error:  # the log was closed, or cannot be read just now; the next who asks begins again
            logging.getLogger(__name__).info("%s: %s", self._name, error)
        except Exception:
            logging.getLogger(__name__).exception("%s", self._name)
        finally:
            with self._lock:
                self._at_work, self.doing = False, ""

    def _tell(self, doing: str) -> None:
        self.doing = doing
