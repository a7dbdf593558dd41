"""Sessions on this machine: an embedded SQLite file, on disk before the screen answers.

A session is kept as its bike, its entries one row each, and how many of those entries count. Undo lowers that
number and redo raises it, so nothing said at the stand is lost until another entry takes its place.

Durability: rollback journal with synchronous=EXTRA and one short connection for each operation. The
write-ahead log is not used, since SQLite before 3.51.3 can lose a commit there when two connections meet.
Two benches on one session: every change names the version it was made from; the later one is told in words.
Every row has a checksum. What is written was checked before, so it can always be read back.
"""

import os
import sys
import uuid
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Select, delete, func, insert, select, update
from sqlalchemy.exc import DBAPIError

from tunekit.bike.model import Bike
from tunekit.session import tables
from tunekit.session.faults import CONFLICT, ConflictError, DamagedError, StoreError, cannot_use, damaged
from tunekit.session.file import check_fits
from tunekit.session.kept_rows import rebuilt, titled, told_entry, told_head
from tunekit.session.log import LogEntry
from tunekit.session.session import Session
from tunekit.session.sums import entry_sum

__all__ = ["ConflictError", "DamagedError", "Kept", "Listed", "Store", "StoreError", "default_path"]

_session, _entry = tables.session, tables.entry


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
            self.path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            tables.make_private(self.path)
        except OSError as error:
            raise cannot_use(self.path, f"unable to open: {error.strerror}") from None
        self._engine = tables.engine_for(self.path)
        found = self._layout()
        if found > tables.SCHEMA:
            raise StoreError(
                f"{self.path} was written by a later version of the tool (layout {found}, known {tables.SCHEMA}); "
                "update the tool or set TUNEKIT_STORE to another file."
            )
        if found < tables.SCHEMA:
            with self._changing() as link:
                tables.lay_out(link, int(link.exec_driver_sql("PRAGMA user_version").scalar_one()))

    def _layout(self) -> int:
        with self._open("BEGIN") as link:
            return int(link.exec_driver_sql("PRAGMA user_version").scalar_one())

    def create(self, session: Session) -> Kept:
        """Keep a new session, whole; returns it with its id."""
        check_fits(session)
        kept = Kept(id=uuid.uuid4().hex, version=1, session=session, undone=0)
        with self._changing() as link:
            head = {**told_head(session), **_now(link)}
            link.execute(insert(_session).values(id=kept.id, version=1, **head))
            _write_entries(link, kept.id, 0, session.log)
            tables.seal_head(link, kept.id)
        return kept

    def load(self, id: str) -> Kept:
        """The session of that id; raises StoreError when there is none, DamagedError when it was spoilt."""
        with self._open("BEGIN") as link:
            row = _row(link, id)
            rows = link.execute(_rows_of(id)).all()
        if row.sum != tables.head_sum(row):
            raise damaged(f"the session “{row.title}”")
        for number, found in enumerate(rows[: row.length]):
            if found.position != number or found.sum != entry_sum(id, number, found.body):
                raise damaged(f"entry {number + 1} of “{row.title}”")
        if len(rows) < row.length:
            raise damaged(f"the log of “{row.title}”, {len(rows)} of {row.length} entries,")
        session = rebuilt(row, [found.body for found in rows[: row.length]])
        return Kept(id=id, version=row.version, session=session, undone=len(rows) - row.length)

    def sessions(self, search: str = "", *, most: int = -1, after: int = 0) -> tuple[Listed, ...]:
        """Sessions last changed first; those whose title holds `search`; `most` of them after so many."""
        chosen = (
            select(_session.c.id, _session.c.title, _session.c.length, _session.c.changed_at)
            .where(*_found_by(search))
            .order_by(_session.c.turn.desc(), _session.c.id)
            .limit(most)
            .offset(after)
        )
        with self._open("BEGIN") as link:
            rows = link.execute(chosen).all()
        return tuple(
            Listed(id=row.id, title=row.title, entries=row.length, changed_at=row.changed_at) for row in rows
        )

    def count(self, search: str = "") -> int:
        """How many sessions there are whose title holds `search`."""
        with self._open("BEGIN") as link:
            return int(link.execute(select(func.count()).where(*_found_by(search))).scalar_one())

    def add(self, kept: Kept, *entries: LogEntry) -> Kept:
        """The session with these entries at its end, on disk. Entries undone before are given up.

        Raises SessionError when the bike lacks an entry's cog or ring or the log is full, ConflictError when
        another bench was first.
        """
        session = kept.session
        for entry in entries:
            session = session.with_entry(entry)
        check_fits(session)
        start = len(kept.session.log)
        with self._changing() as link:
            self._claim(link, kept, told_head(session))
            _give_up_undone(link, kept)
            _write_entries(link, kept.id, start, entries)
        return Kept(id=kept.id, version=kept.version + 1, session=session, undone=0)

    def undo(self, kept: Kept) -> Kept:
        """The session without its last entry, which redo can bring back."""
        if not kept.session.log:
            return kept
        session = kept.session.undone()
        with self._changing() as link:
            self._claim(link, kept, {"length": len(session.log)})
        return Kept(id=kept.id, version=kept.version + 1, session=session, undone=kept.undone + 1)

    def undo_unread(self, id: str) -> None:
        """Take the last entry back without reading it: the way out of a session that no longer opens."""
        with self._changing() as link:
            row = _row(link, id)
            if row.length:
                self._write(link, id, row.version, {"length": row.length - 1})

    def redo(self, kept: Kept) -> Kept:
        """The session with the entry back that was undone last."""
        if not kept.undone:
            return kept
        length = len(kept.session.log)
        with self._changing() as link:
            self._claim(link, kept, {"length": length + 1})
            found = link.execute(_rows_of(kept.id).where(_entry.c.position == length)).one()
            if found.sum != entry_sum(kept.id, length, found.body):
                raise damaged(f"entry {length + 1} of “{kept.session.title}”")
            entry = told_entry(found.body)
        session = kept.session.model_copy(update={"log": (*kept.session.log, entry)})
        return Kept(id=kept.id, version=kept.version + 1, session=session, undone=kept.undone - 1)

    def change(self, kept: Kept, *, title: str | None = None, bike: Bike | None = None) -> Kept:
        """The session under another title or with another bike, which gives up entries undone before.

        Raises SessionError when the log speaks of a cog or ring that the bike lacks.
        """
        session = kept.session if bike is None else kept.session.on_bike(bike)
        if title is not None:
            session = titled(session, title)
        return self.replace(kept, session, keeps_undone=bike is None)

    def replace(self, kept: Kept, session: Session, *, keeps_undone: bool = False) -> Kept:
        """The session with all but its log as in `session`; raises ConflictError when another was first."""
        check_fits(session)
        with self._changing() as link:
            self._claim(link, kept, told_head(session))
            if not keeps_undone:
                _give_up_undone(link, kept)
        undone = kept.undone if keeps_undone else 0
        return Kept(id=kept.id, version=kept.version + 1, session=session, undone=undone)

    def remove(self, id: str) -> None:
        """Take the session out of the list; `bring_back` undoes it until `forget` is called."""
        self._mark(id, 0, 1)

    def bring_back(self, id: str) -> None:
        """Put a removed session back into the list."""
        self._mark(id, 1, 0)

    def forget(self, *ids: str) -> int:
        """Delete removed sessions for good, all of them when none is named; returns how many."""
        removed = [_session.c.removed == 1, *([_session.c.id.in_(ids)] if ids else [])]
        with self._changing() as link:
            return link.execute(delete(_session).where(*removed)).rowcount

    def _mark(self, id: str, now: int, to: int) -> None:
        with self._changing() as link:
            row = _row(link, id, removed=now)
            self._write(link, id, row.version, {"removed": to})

    def _claim(self, link: Connection, kept: Kept, head: dict[str, object]) -> None:
        """Write the session's head if its version is still the one read; raises ConflictError otherwise."""
        self._write(link, kept.id, kept.version, head)

    def _write(self, link: Connection, id: str, version: int, head: dict[str, object]) -> None:
        claimed = link.execute(
            update(_session)
            .where(_session.c.id == id, _session.c.version == version)
            .values(version=version + 1, **head, **_now(link))
        )
        if claimed.rowcount != 1:
            raise ConflictError(CONFLICT)
        tables.seal_head(link, id)

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
            raise cannot_use(self.path, str(error.orig)) from None
        except UnicodeDecodeError:
            raise cannot_use(self.path, "it holds bytes that do not decode as text") from None


def _row(link: Connection, id: str, removed: int = 0) -> Any:
    """A session's row; raises StoreError when the store has no such session."""
    chosen = select(_session).where(_session.c.id == id, _session.c.removed == removed)
    row = link.execute(chosen).one_or_none()
    if row is None:
        raise StoreError("this session is no longer in the store; open another one or start afresh.")
    return row


def _rows_of(id: str) -> Select[Any]:
    return select(_entry).where(_entry.c.session_id == id).order_by(_entry.c.position)


def _found_by(search: str) -> list[Any]:
    """The conditions that pick sessions: not removed, every word of the search in the title."""
    words = [_session.c.title.icontains(word, autoescape=True) for word in search.split()]
    return [_session.c.removed == 0, *words]


def _now(link: Connection) -> dict[str, object]:
    """When, by the clock, and in which order, which no clock can turn round."""
    last = link.execute(select(func.max(_session.c.turn))).scalar_one()
    return {"changed_at": datetime.now(UTC).isoformat(timespec="microseconds"), "turn": (last or 0) + 1}


def _write_entries(link: Connection, id: str, start: int, entries: tuple[LogEntry, ...]) -> None:
    bodies = [entry.model_dump_json() for entry in entries]
    rows = [
        {"session_id": id, "position": at, "body": body, "sum": entry_sum(id, at, body)}
        for at, body in enumerate(bodies, start)
    ]
    if rows:
        link.execute(insert(_entry), rows)


def _give_up_undone(link: Connection, kept: Kept) -> None:
    beyond = _entry.c.position >= len(kept.session.log)
    link.execute(delete(_entry).where(_entry.c.session_id == kept.id, beyond))
