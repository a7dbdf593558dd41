"""Copies of the store that were read back and found sound: the newest five are kept, one command restores."""

import os
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from tunekit.session.faults import DamagedError, StoreError, cannot_use
from tunekit.session.sums import HEAD, entry_sum, row_sum

KEPT = 5
"""How many copies are kept."""
EVERY = timedelta(days=1)
"""A copy is due when the newest is older than this."""
_TIME = "%Y%m%dT%H%M%S%fZ"


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """A sound copy of the store."""

    path: Path
    made: datetime
    sessions: int


def folder_of(store: Path) -> Path:
    """Where the copies of a store lie."""
    return store.with_name(f"{store.name}.copies")


def faults_in(path: Path) -> tuple[str, ...]:
    """What is wrong with a store's file, one line each; () for a sound one."""
    try:
        with closing(_reading(path)) as link:
            told = [row[0] for row in link.execute("PRAGMA integrity_check") if row[0] != "ok"]
            return tuple(told or [*_odd_heads(link), *_odd_entries(link)])
    except (sqlite3.Error, UnicodeDecodeError) as error:
        return (str(error),)


def _reading(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)


def _odd_heads(link: sqlite3.Connection) -> list[str]:
    rows = link.execute(f"SELECT title, sum, {', '.join(HEAD)} FROM session")
    return [f"the session “{title}”" for title, found, *fields in rows if found != row_sum(*fields)]


def _odd_entries(link: sqlite3.Connection) -> list[str]:
    rows = link.execute(
        "SELECT title, session_id, position, body, entry.sum FROM entry JOIN session ON session.id = session_id"
    )
    return [
        f"entry {position + 1} of “{title}”"
        for title, id, position, body, found in rows
        if found != entry_sum(id, position, body)
    ]


def copies_of(store: Path) -> tuple[Copy, ...]:
    """The copies that are kept, newest first."""
    found = []
    for path in sorted(folder_of(store).glob("*.sqlite"), reverse=True):
        try:
            made = datetime.strptime(path.stem, _TIME).replace(tzinfo=UTC)
            with closing(_reading(path)) as link:
                (count,) = link.execute("SELECT count(*) FROM session WHERE removed = 0").fetchone()
        except (ValueError, sqlite3.Error):
            continue
        found.append(Copy(path=path, made=made, sessions=count))
    return tuple(found)


def is_due(store: Path) -> bool:
    """Whether the newest copy is older than a day, or there is none."""
    newest = copies_of(store)[:1]
    return not newest or datetime.now(UTC) - newest[0].made > EVERY


def make_copy(store: Path) -> Copy:
    """Copy the store, read the copy back and keep it if it is sound; raises DamagedError with what is not."""
    folder, made = folder_of(store), datetime.now(UTC)
    part = folder / f"{made.strftime(_TIME)}.part"
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
        os.close(os.open(part, os.O_CREAT | os.O_WRONLY, 0o600))
        with closing(_reading(store)) as source, closing(sqlite3.connect(part)) as target:
            source.backup(target)
        faults = faults_in(part)
        if faults:
            raise DamagedError(
                f"the store {store} is damaged ({'; '.join(faults[:3])}), so no copy was made of it; "
                "bring back the newest sound copy: tunekit store restore."
            )
        whole = part.with_suffix(".sqlite")
        os.replace(part, whole)
    except (OSError, sqlite3.Error) as error:
        raise cannot_use(store, str(error)) from None
    finally:
        part.unlink(missing_ok=True)
    for old in copies_of(store)[KEPT:]:
        old.path.unlink(missing_ok=True)
    return copies_of(store)[0]


def restore(store: Path) -> tuple[Copy, Path | None]:
    """Put the newest sound copy in the store's place; returns it and where the old file now lies.

    Nothing is thrown away: the old file is set aside beside the store. Raises StoreError when no copy is sound.
    """
    sound = next((copy for copy in copies_of(store) if not faults_in(copy.path)), None)
    if sound is None:
        raise StoreError(f"{folder_of(store)} holds no sound copy; nothing was changed.")
    aside = store.with_name(f"{store.name}.aside-{datetime.now(UTC).strftime(_TIME)}")
    part = store.with_name(f"{store.name}.part")
    try:
        os.close(os.open(part, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600))
        with closing(_reading(sound.path)) as source, closing(sqlite3.connect(part)) as target:
            source.backup(target)
        journal = store.with_name(f"{store.name}-journal")
        kept = store.exists()
        if kept:
            os.replace(store, aside)
        if journal.exists():  # it belongs to the old file and would spoil the new one
            os.replace(journal, aside.with_name(f"{aside.name}-journal"))
        os.replace(part, store)
    except (OSError, sqlite3.Error) as error:
        raise cannot_use(store, str(error)) from None
    finally:
        part.unlink(missing_ok=True)
    return sound, aside if kept else None
