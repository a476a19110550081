"""A copy of a whole log as one file: what a spreadsheet does not hold, photos and care, histories and plans, is in it too."""

import sqlite3
from contextlib import closing
from pathlib import Path

from recommender.errors import FileFault, StudioError
from recommender.swatches.store import Store
from recommender.swatches.whole import whole


def copy_log(store: Store, path: Path | str) -> None:
    """Write the log as it is at one moment, while others go on writing to it; opened, the copy is the same log.

    The file is whole or as it was before.

    Raises
    ------
    StudioError
        If the log is on a database server, or cannot be read.
    FileFault
        If the file cannot be written, is the log itself, or is a log that is open.
    """
    path, source = Path(path), store.path
    if source is None:
        raise StudioError(f"studio {store.where}: a server's log is no file, expected one that is; let the server copy it, with pg_dump")
    if path.exists() and source.exists() and path.samefile(source):
        raise FileFault(f"file {path}: it is the log itself, expected another name for the copy; nothing was written")
    if path.with_name(f"{path.name}-wal").exists():  # SQLite would play what was not put away into the new file
        raise FileFault(f"file {path}: it is a log that is open, or was not closed, expected another name; nothing was written")
    try:
        with whole(path, "the copy") as beside:
            beside.touch(exist_ok=False)  # what is wrong with the place is told before SQLite reads the log
            with closing(sqlite3.connect(f"{source.absolute().as_uri()}?mode=ro", uri=True, isolation_level=None)) as log:
                log.execute("VACUUM INTO ?", (str(beside),))
    except sqlite3.Error as error:
        if "full" in str(error):
            raise FileFault(f"file {str(path)[:200]}: the disk is full, expected room for the whole log; make room") from error
        raise StudioError(f"studio {source}: it cannot be read ({error}); see that it is there, or take a good copy") from error
