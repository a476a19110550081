"""Where a log lives: the address, the connection, and every trouble with them as a sentence."""

import os
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, exc, insert, inspect, select
from sqlalchemy.engine import URL, make_url

from recommender.errors import StudioError
from recommender.swatches.tables import SCHEMA, create, schema_table

FILE_NAME = "studio.sqlite"
"""Name of the log in a folder that is given as a studio."""

_LOCK = 5_071_514
"""Our advisory lock on a database server: writers queue, so that events are numbered in the order in which they are kept."""

_TROUBLES = {
    "unable to open": "it cannot be opened or made; check the folder and who may write there",
    "not a database": "it is not a studio's log (not an SQLite database); give the path of a studio, or of a file yet to be made",
    "malformed": "it is damaged; take the last good copy of it",
    "lock timeout": "another program has kept it locked; close that program and try again",
    "is locked": "another program has kept it locked; close that program and try again",
    "readonly": "it may be read but not written; check who may write the file and its folder",
    "disk is full": "the disk is full; make room and try again",
    "append only": "its log is append only: correct or withdraw a swatch instead",
}


def address(where: object) -> URL:
    """The database URL of a path or of an URL.

    >>> str(address("sqlite:////tmp/x.sqlite"))
    'sqlite:////tmp/x.sqlite'

    Raises
    ------
    StudioError
        If it can be neither.
    """
    if not isinstance(where, str | os.PathLike) or not str(where).strip() or "\0" in str(where):
        raise StudioError(f"studio: got {str(where)!r}, expected a path or a database URL")
    text = os.fspath(where)
    if ":memory:" in os.fsdecode(text):
        raise StudioError(f"studio: got {os.fsdecode(text)!r}, which no other program could share, expected a path or a database URL")
    if not isinstance(text, str) or "://" not in text:
        return URL.create("sqlite", database=str(_file(Path(os.fsdecode(text)))))
    try:
        url = make_url(text)
    except (exc.ArgumentError, ValueError) as error:
        raise StudioError("studio: the database URL cannot be read, expected one like postgresql://user@host/studio") from error
    if url.get_backend_name() == "postgresql":
        return url.set(drivername="postgresql+psycopg")
    if url.get_backend_name() != "sqlite" or url.database in (None, ""):
        raise StudioError(f"studio: got {url.render_as_string()!r}, expected a path, sqlite:///path or postgresql://user@host/studio")
    return URL.create("sqlite", database=str(_file(Path(str(url.database)))))


def _file(path: Path) -> Path:
    """The file itself, its folder made."""
    try:
        path = path.expanduser().absolute()
        path = path / FILE_NAME if path.is_dir() else path
        path.parent.mkdir(parents=True, exist_ok=True)
        is_special = path.exists() and not path.is_file()
    except (OSError, RuntimeError) as error:  # RuntimeError: there is no home folder for ~
        why = getattr(error, "strerror", None) or error
        raise StudioError(f"studio {str(path)[:200]}: {why}; give a path that can be written") from error
    if is_special:
        raise StudioError(f"studio {path}: it is no ordinary file; give the path of a studio, or of a file yet to be made")
    return path


def connected(url: URL, wait: float) -> Engine:
    """An engine for the log at that address, which waits so many seconds for other writers.

    Raises
    ------
    StudioError
        If what PostgreSQL needs is not installed.
    """
    if url.get_backend_name() == "postgresql":
        return _server(url, wait)
    engine = create_engine(url, connect_args={"timeout": wait}, max_overflow=50)

    @event.listens_for(engine, "connect")
    def _prepare(connection: Any, _record: object) -> None:
        connection.isolation_level = None  # else the driver opens transactions itself, too late for a read that leads to a write
        connection.execute(f"PRAGMA busy_timeout={round(wait * 1000)}")
        _write_ahead(connection, wait)
        for pragma in ("synchronous=FULL", "trusted_schema=OFF"):
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE" if connection.get_execution_options().get("writes") else "BEGIN")

    return engine


def _write_ahead(connection: Any, wait: float) -> None:
    """Keep the log in WAL mode. Where several make a new one at once, SQLite refuses instead of waiting for its busy timeout."""
    end = time.monotonic() + wait
    while True:
        try:
            connection.execute("PRAGMA journal_mode=WAL")
        except sqlite3.OperationalError as error:
            if "is locked" not in str(error) or time.monotonic() >= end:
                raise
            time.sleep(0.02)
        else:
            return


def _server(url: URL, wait: float) -> Engine:
    options = {"connect_timeout": 10, "options": f"-c lock_timeout={round(wait * 1000)}"}
    try:
        engine = create_engine(url, pool_pre_ping=True, max_overflow=50, connect_args=options)
    except ModuleNotFoundError as error:
        raise StudioError('studio: a database server needs one more package; pip install "overedge[postgres]"') from error

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        if connection.get_execution_options().get("writes"):
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_LOCK})")

    return engine


def prepare(reader: Engine, writer: Engine) -> None:
    """Make the tables where there are none, and see that those there are ours.

    Raises
    ------
    StudioError
        If the database is another program's, or was written by a newer version of this package.
    """
    with reader.connect() as connection:
        found = _schema(connection)
    if found is None:
        with writer.begin() as connection:
            found = _schema(connection)  # somebody else may have made them meanwhile
            if found is None:
                create(connection)
                connection.execute(insert(schema_table).values(schema=SCHEMA))
                found = SCHEMA
    if found != SCHEMA:
        do = "open it with a newer version of overedge" if found > SCHEMA else "begin a new one, and import what the old version exports"
        raise StudioError(f"studio {_shown(reader.url)}: its layout is number {found}, expected {SCHEMA}; {do}")


def _schema(connection: Connection) -> int | None:
    """Number of the layout, or None where the database is empty or a server's that may hold other things besides."""
    names = inspect(connection).get_table_names()
    if schema_table.name in names:
        return connection.execute(select(schema_table.c.schema)).scalar() or 0
    if names and connection.dialect.name == "sqlite":
        where = _shown(connection.engine.url)
        raise StudioError(f"studio {where}: it is another program's database (it has a table {names[0]!r}); give a path of its own")
    return None


@contextmanager
def speaking(url: URL) -> Iterator[None]:
    """Turn what a database says into a sentence that names the studio."""
    try:
        yield
    except exc.DBAPIError as error:
        said = str(error.orig).strip()
        known = next((trouble for sign, trouble in _TROUBLES.items() if sign in said), None)
        raise StudioError(f"studio {_shown(url)}: {known or 'the database says: ' + ' '.join(said.split())[:300]}") from error


def _shown(url: URL) -> str:
    """The path, or the address without its password."""
    return str(url.database) if url.get_backend_name() == "sqlite" else url.render_as_string(hide_password=True)
