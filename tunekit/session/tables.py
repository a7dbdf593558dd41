"""The store's tables, how they are laid out, and how an older layout becomes this one."""

import os
from pathlib import Path
from typing import Any

from sqlalchemy import (
    URL,
    Column,
    Connection,
    Engine,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    NullPool,
    Table,
    Text,
    create_engine,
    event,
    text,
)

from tunekit.session.sums import HEAD, entry_sum, row_sum

SCHEMA = 2
"""Kept in PRAGMA user_version; a file of a later schema is refused, not guessed at."""
BUSY_MS = 10_000
"""How long one bench waits for another's commit, which takes about a millisecond."""

_tables = MetaData()
session = Table(
    "session",
    _tables,
    Column("id", Text, primary_key=True),
    Column("version", Integer, nullable=False),
    Column("title", Text, nullable=False),
    Column("bike", Text, nullable=False),
    Column("length", Integer, nullable=False),
    Column("changed_at", Text, nullable=False),
    # Whatever else a session holds beside title, bike and log, as JSON.
    Column("rest", Text, nullable=False, server_default="{}"),
    # The order of changes, which a clock that was set back cannot turn round.
    Column("turn", Integer, nullable=False, server_default="0"),
    Column("removed", Integer, nullable=False, server_default="0"),
    Column("sum", Text, nullable=False, server_default=""),
)
entry = Table(
    "entry",
    _tables,
    Column("session_id", ForeignKey("session.id", ondelete="CASCADE"), primary_key=True),
    Column("position", Integer, primary_key=True),
    Column("body", Text, nullable=False),
    Column("sum", Text, nullable=False, server_default=""),
)
Index("session_turn", session.c.removed, session.c.turn)

_ADDED_IN_2 = {"session": ("rest", "turn", "removed", "sum"), "entry": ("sum",)}


def engine_for(path: Path) -> Engine:
    """An engine without a pool: a connection for each operation."""
    url = URL.create("sqlite", database=str(path))
    engine = create_engine(url, poolclass=NullPool, connect_args={"timeout": BUSY_MS / 1000})
    event.listen(engine, "connect", _set_pragmas)
    return engine


def _set_pragmas(connection: Any, _record: object) -> None:
    """Per connection: the rollback journal, a commit that survives a power cut, and BEGIN left to the store."""
    connection.isolation_level = None
    cursor = connection.cursor()
    for pragma in ("journal_mode=DELETE", "synchronous=EXTRA", "foreign_keys=ON"):
        cursor.execute(f"PRAGMA {pragma}")
    cursor.close()


def make_private(path: Path) -> None:
    """Let nobody but its user read the store: titles hold customers' names. SQLite's journal follows suit."""
    if os.name != "posix":
        return
    try:
        os.close(os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    except FileExistsError:
        found = path.stat()
        if path.is_file() and found.st_uid == os.geteuid() and found.st_mode & 0o077:
            os.chmod(path, found.st_mode & 0o700)


def lay_out(link: Connection, found: int) -> None:
    """Make the tables, or bring those of an older layout up to this one, inside the caller's transaction."""
    if found == 1:
        _from_1(link)
    _tables.create_all(link)
    link.execute(text(f"PRAGMA user_version = {SCHEMA}"))


def _from_1(link: Connection) -> None:
    """Layout 1 had neither checksums nor an order of changes but the clock's."""
    for table, names in _ADDED_IN_2.items():
        for name in names:
            column = _tables.tables[table].c[name]
            default = f"'{column.server_default.arg}'"  # type: ignore[union-attr]
            link.execute(
                text(f"ALTER TABLE {table} ADD COLUMN {name} {column.type} NOT NULL DEFAULT {default}")
            )
    ids = link.execute(text("SELECT id FROM session ORDER BY changed_at, id")).all()
    for turn, (id,) in enumerate(ids, 1):
        link.execute(session.update().where(session.c.id == id).values(turn=turn))
        seal_head(link, id)
        rows = link.execute(entry.select().where(entry.c.session_id == id)).all()
        for row in rows:
            link.execute(
                entry.update()
                .where(entry.c.session_id == id, entry.c.position == row.position)
                .values(sum=entry_sum(id, row.position, row.body))
            )


def seal_head(link: Connection, id: str) -> None:
    """Write the checksum of a session's row as the row now stands."""
    row = link.execute(session.select().where(session.c.id == id)).one()
    link.execute(session.update().where(session.c.id == id).values(sum=head_sum(row)))


def head_sum(row: Any) -> str:
    """The checksum that a session's row ought to have."""
    return row_sum(*(getattr(row, name) for name in HEAD))
