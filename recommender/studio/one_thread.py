"""Linear algebra on one thread: small fits run many times slower on several."""

from functools import cache
from threading import Lock
from typing import Any

from threadpoolctl import ThreadpoolController


class _OneThread:
    """The limit is the whole process's: whoever comes first sets it, and whoever leaves last lifts it."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._inside = 0
        self._limit: Any = None

    def __enter__(self) -> None:
        with self._lock:
            self._inside += 1
            if self._inside == 1:
                self._limit = _threads().limit(limits=1)

    def __exit__(self, *_: object) -> None:
        with self._lock:
            self._inside -= 1
            if not self._inside:
                self._limit.restore_original_limits()


one_thread = _OneThread()


@cache
def _threads() -> ThreadpoolController:
    return ThreadpoolController()  # it looks through every loaded library, which takes milliseconds
