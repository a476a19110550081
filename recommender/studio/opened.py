"""Studios that this process opens ahead of whoever will ask for them: a server has time while its first browser draws its frame."""

from concurrent.futures import Future, ThreadPoolExecutor
from threading import Lock

from recommender.studio.studio import Studio

_lock = Lock()
_ahead: dict[str | None, "Future[Studio]"] = {}


def open_ahead(where: str | None) -> None:
    """Begin to open a studio and to learn its log, as far as that is quick, and return at once."""
    pool = ThreadPoolExecutor(1, "overedge opens")
    with _lock:
        _ahead[where] = pool.submit(_warm, where)
    pool.shutdown(wait=False)


def opened(where: str | None) -> Studio:
    """The studio that was opened ahead, handed out once, or another one; it lets nobody wait for what takes long.

    Raises
    ------
    StudioError
        If it cannot be opened.
    """
    with _lock:
        ahead = _ahead.pop(where, None)
    return Studio.open(where, waits=False) if ahead is None else ahead.result()


def _warm(where: str | None) -> Studio:
    studio = Studio.open(where, waits=False)
    studio.warm()
    return studio
