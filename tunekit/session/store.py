"""Sessions on this machine: an embedded SQLite file, on disk before the screen answers.

A session is kept as its bike, its entries one row each, and how many of those entries count. Undo lowers that
number and redo raises it, so nothing said at the stand is lost until another entry takes its place.

Durability: rollback journal with synchronous=EXTRA and one short connection for each operation. The
write-ahead log is not used, since SQLite before 3.51.3 can lose a commit there when two connections meet.
Two benches on one session: every change names the version it was made from; the later one is told in words.
"""

import json
import os
import sys
import uuid
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import (
    Column,
    Connection,
    ForeignKey,
    Integer,
    MetaData,
    NullPool,
    Table,
    Text,
    create_engine,
    delete,
    event,
    insert,
    select,
    update,
)
from sqlalchemy.exc import DBAPIError

from tunekit.bike.errors import SessionError
from tunekit.bike.model import Bike
from tunekit.session.file import session_from_text, session_to_text
from tunekit.session.log import LogEntry
from tunekit.session.session import VERSION, Session

SCHEMA = 1
"""Kept in PRAGMA user_version; a file of a later schema is refused, not guessed at."""
BUSY_MS = 10_000
"""How long one bench waits for another's commit, which takes about a millisecond."""

_tables = MetaData()
_session = Table(
    "session",
    _tables,
    Column("id", Text, primary_key=True),
    Column("version", Integer, nullable=False),
    Column("title", Text, nullable=False),
    Column("bike", Text, nullable=False),
    Column("length", Integer, nullable=False),
    Column("changed_at", Text, nullable=False),
)
_entry = Table(
    "entry",
    _tables,
    Column("session_id", ForeignKey("session.id", ondelete="CASCADE"), primary_key=True),
    Column("position", Integer, primary_key=True),
    Column("body", Text, nullable=False),
)


class StoreError(SessionError):
    """The store cannot be read or written; the session is as it was."""


class ConflictError(StoreError):
    """Another bench changed the session first; nothing was written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A session as it stands in the store."""

    id: str
    version: int
    session: Session
    undone: int
    """How many entries redo can bring back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """A session's line in the list of sessions."""

    id: str
    title: str
    entries: int
    changed_at: str
    """ISO 8601, UTC."""


def default_path() -> Path:
    """The store's place: `TUNEKIT_STORE`, or tunekit/sessions.sqlite in the user's data folder."""
    chosen = os.environ.get("TUNEKIT_STORE")
    if chosen:
        return Path(chosen).expanduser()
    return _data_folder() / "tunekit" / "sessions.sqlite"


def _data_folder() -> Path:
    """The user's data folder by the platform's own rule (XDG base directories, or its like elsewhere)."""
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support"
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")


class Store:
    """Keeps sessions in one SQLite file. Holds no connection between calls, so threads may share it."""

    def __init__(self, path: str | os.PathLike[str] | None = None) -> None:
        """Open or create the store; raises StoreError with one sentence."""
        self.path = Path(path) if path is not None else default_path()
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise StoreError(self._cannot(str(error.strerror))) from None
        self._engine = create_engine(
            f"sqlite:///{self.path}", poolclass=NullPool, connect_args={"timeout": BUSY_MS / 1000}
        )
        event.listen(self._engine, "connect", _set_pragmas)
        with self._open("BEGIN") as link:
            found = int(link.exec_driver_sql("PRAGMA user_version").scalar_one())
        if found > SCHEMA:
            raise StoreError(
                f"{self.path} was written by a later version of the tool (layout {found}, known {SCHEMA}); "
                "update the tool or set TUNEKIT_STORE to another file."
            )
        if found < SCHEMA:
            self._lay_out()

    def create(self, session: Session) -> Kept:
        """Keep a new session, whole; returns it with its id."""
        kept = Kept(id=uuid.uuid4().hex, version=1, session=session, undone=0)
        with self._changing() as link:
            link.execute(insert(_session).values(id=kept.id, version=1, **_head(session)))
            _write_entries(link, kept.id, 0, session.log)
        return kept

    def load(self, id: str) -> Kept:
        """The session of that id; raises StoreError when there is none."""
        with self._open("BEGIN") as link:
            row = link.execute(select(_session).where(_session.c.id == id)).one_or_none()
            bodies = link.execute(
                select(_entry.c.body).where(_entry.c.session_id == id).order_by(_entry.c.position)
            )
            entries = [str(body) for (body,) in bodies]
        if row is None:
            raise StoreError("this session is no longer in the store; open another one or start afresh.")
        return Kept(
            id=id,
            version=row.version,
            session=_rebuilt(row.title, row.bike, entries[: row.length]),
            undone=len(entries) - row.length,
        )

    def sessions(self) -> tuple[Listed, ...]:
        """Every session kept, last changed first."""
        with self._open("BEGIN") as link:
            rows = link.execute(select(_session).order_by(_session.c.changed_at.desc(), _session.c.id)).all()
        return tuple(
            Listed(id=row.id, title=row.title, entries=row.length, changed_at=row.changed_at) for row in rows
        )

    def add(self, kept: Kept, *entries: LogEntry) -> Kept:
        """The session with these entries at its end, on disk. Entries undone before are given up.

        Raises SessionError when the bike lacks an entry's cog or ring, ConflictError when another bench was
        first.
        """
        session = kept.session
        for entry in entries:
            session = session.with_entry(entry)
        start = len(kept.session.log)
        with self._changing() as link:
            self._claim(link, kept, session)
            _give_up_undone(link, kept)
            _write_entries(link, kept.id, start, entries)
        return Kept(id=kept.id, version=kept.version + 1, session=session, undone=0)

    def undo(self, kept: Kept) -> Kept:
        """The session without its last entry, which redo can bring back."""
        if not kept.session.log:
            return kept
        with self._changing() as link:
            self._claim(link, kept, kept.session.undone())
        return self.load(kept.id)

    def redo(self, kept: Kept) -> Kept:
        """The session with the entry back that was undone last."""
        if not kept.undone:
            return kept
        with self._changing() as link:
            self._claim(link, kept, kept.session, length=len(kept.session.log) + 1)
        return self.load(kept.id)

    def change(self, kept: Kept, *, title: str | None = None, bike: Bike | None = None) -> Kept:
        """The session under another title or with another bike, which gives up entries undone before.

        Raises SessionError when the log speaks of a cog or ring that the bike lacks.
        """
        session = kept.session if bike is None else kept.session.on_bike(bike)
        if title is not None:
            session = session_from_text(session_to_text(session.model_copy(update={"title": title})))
        with self._changing() as link:
            self._claim(link, kept, session)
            if bike is not None:
                _give_up_undone(link, kept)
        return Kept(
            id=kept.id, version=kept.version + 1, session=session, undone=kept.undone if bike is None else 0
        )

    def remove(self, kept: Kept) -> None:
        """Forget the session."""
        with self._changing() as link:
            self._claim(link, kept, kept.session)
            link.execute(delete(_session).where(_session.c.id == kept.id))

    def _claim(self, link: Connection, kept: Kept, session: Session, *, length: int | None = None) -> None:
        """Write the session's head if its version is still the one read; raises ConflictError otherwise."""
        head = _head(session) if length is None else {**_head(session), "length": length}
        claimed = link.execute(
            update(_session)
            .where(_session.c.id == kept.id, _session.c.version == kept.version)
            .values(version=kept.version + 1, **head)
        )
        if claimed.rowcount != 1:
            raise ConflictError(
                "this session was changed at another bench meanwhile, so this change was not written; "
                "look at the log as it is now and enter it again."
            )

    def _lay_out(self) -> None:
        with self._changing() as link:
            _tables.create_all(link)
            link.exec_driver_sql(f"PRAGMA user_version = {SCHEMA}")

    def _changing(self) -> AbstractContextManager[Connection]:
        """A transaction that takes the one writer's place at once: two benches queue, never deadlock."""
        return self._open("BEGIN IMMEDIATE")

    @contextmanager
    def _open(self, begin: str) -> Iterator[Connection]:
        """One connection, one transaction: all of it on disk, or none of it and a StoreError."""
        try:
            with self._engine.begin() as link:
                link.exec_driver_sql(begin)
                yield link
        except DBAPIError as error:
            raise StoreError(self._cannot(str(error.orig))) from None

    def _cannot(self, reason: str) -> str:
        return (
            f"the store {self.path} cannot be used ({reason}); what was there is unchanged, "
            "free some space or set TUNEKIT_STORE to another file."
        )


def _set_pragmas(connection: object, _record: object) -> None:
    """Per connection: the rollback journal, a commit that survives a power cut, and BEGIN left to `_open`."""
    connection.isolation_level = None  # type: ignore[attr-defined]
    cursor = connection.cursor()  # type: ignore[attr-defined]
    for pragma in ("journal_mode=DELETE", "synchronous=EXTRA", "foreign_keys=ON"):
        cursor.execute(f"PRAGMA {pragma}")
    cursor.close()


def _head(session: Session) -> dict[str, object]:
    return {
        "title": session.title,
        "bike": session.bike.model_dump_json(),
        "length": len(session.log),
        "changed_at": datetime.now(UTC).isoformat(timespec="microseconds"),
    }


def _write_entries(link: Connection, id: str, start: int, entries: tuple[LogEntry, ...]) -> None:
    rows = [
        {"session_id": id, "position": start + number, "body": entry.model_dump_json()}
        for number, entry in enumerate(entries)
    ]
    if rows:
        link.execute(insert(_entry), rows)


def _give_up_undone(link: Connection, kept: Kept) -> None:
    beyond = _entry.c.position >= len(kept.session.log)
    link.execute(delete(_entry).where(_entry.c.session_id == kept.id, beyond))


def _rebuilt(title: str, bike: str, entries: list[str]) -> Session:
    """A session from its rows, through the same checks as a session file."""
    log = [json.loads(entry) for entry in entries]
    return session_from_text(
        json.dumps({"tunekit_session": VERSION, "title": title, "bike": json.loads(bike), "log": log})
    )
