"""The store's file: private, in the order of changes, laid out anew from an older one, searched."""

import os
import sqlite3
import stat
import sys

import pytest

from tunekit import Bike, Session
from tunekit.session import make_entry
from tunekit.session import store as store_module
from tunekit.session.store import Store

BIKE = Bike(rings=(34, 50), cogs=(11, 13, 17, 21, 28))
SLOW = make_entry("heard", ring=50, cog=17, moment="to_larger_cog", what="slow")


@pytest.fixture
def store(tmp_path):
    return Store(tmp_path / "sessions.sqlite")


posix = pytest.mark.skipif(sys.platform == "win32", reason="permissions are POSIX's")


@posix
def test_nobody_else_may_read_it(tmp_path):
    path = tmp_path / "new" / "s.sqlite"
    old = os.umask(0)
    try:
        Store(path).create(Session(bike=BIKE))
    finally:
        os.umask(old)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


@posix
def test_a_store_of_an_older_tool_becomes_private(tmp_path):
    path = tmp_path / "s.sqlite"
    Store(path)
    path.chmod(0o644)
    Store(path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


@pytest.mark.parametrize("name", ["what?.sqlite", "a#b.sqlite", "50%.sqlite", "file:x.sqlite"])
def test_its_name_is_taken_as_it_is(tmp_path, name):
    Store(tmp_path / name).create(Session(bike=BIKE))
    assert [found.name for found in tmp_path.iterdir()] == [name]


def test_a_clock_set_back_does_not_turn_the_order_round(store, monkeypatch):
    first = store.create(Session(title="first", bike=BIKE))

    class Yesterday(store_module.datetime):
        @classmethod
        def now(cls, zone=None):
            return super().now(zone).replace(year=2001)

    monkeypatch.setattr(store_module, "datetime", Yesterday)
    store.create(Session(title="second", bike=BIKE))
    assert [line.title for line in store.sessions()] == ["second", "first"]
    store.add(first, SLOW)
    assert store.sessions()[0].title == "first"


def test_a_session_is_found_by_words_of_its_title_and_the_list_goes_on(store):
    for number in range(45):
        store.create(Session(title=f"Bike {number} of {'Ann' if number % 2 else 'Bo'} 100%_x", bike=BIKE))
    assert store.count() == 45
    assert [line.title[:7] for line in store.sessions(most=2, after=1)] == ["Bike 43", "Bike 42"]
    assert store.count("ann") == 22
    assert store.count("ANN bike 7") == 4  # 7, 17, 27, 37
    assert store.count("100%_x") == 45
    assert store.count("100_") == 0
    assert len(store.sessions("bo", most=5)) == 5


LAYOUT_1 = """
CREATE TABLE session (id TEXT NOT NULL, version INTEGER NOT NULL, title TEXT NOT NULL, bike TEXT NOT NULL,
    length INTEGER NOT NULL, changed_at TEXT NOT NULL, PRIMARY KEY (id));
CREATE TABLE entry (session_id TEXT NOT NULL, position INTEGER NOT NULL, body TEXT NOT NULL,
    PRIMARY KEY (session_id, position),
    FOREIGN KEY(session_id) REFERENCES session (id) ON DELETE CASCADE);
PRAGMA user_version = 1;
"""


def layout_1(path, sessions):
    """A store as the first layout kept it."""
    with sqlite3.connect(path) as link:
        link.executescript(LAYOUT_1)
        for number, session in enumerate(sessions):
            bike = session.bike.model_dump_json()
            when = f"2026-01-0{number + 1}T10:00:00.000000+00:00"
            row = (f"id{number}", 7, session.title, bike, len(session.log), when)
            link.execute("INSERT INTO session VALUES (?, ?, ?, ?, ?, ?)", row)
            for at, entry in enumerate(session.log):
                link.execute(
                    "INSERT INTO entry VALUES (?, ?, ?)", (f"id{number}", at, entry.model_dump_json())
                )
    link.close()


def test_a_store_of_the_first_layout_is_taken_over_whole(tmp_path):
    path = tmp_path / "s.sqlite"
    old = [Session(title=f"old {n}", bike=BIKE, log=(SLOW,) * n) for n in range(4)]
    layout_1(path, old)
    store = Store(path)
    assert [line.title for line in store.sessions()] == ["old 3", "old 2", "old 1", "old 0"]
    for number, session in enumerate(old):
        kept = store.load(f"id{number}")
        assert (kept.session, kept.version) == (session, 7)
        assert store.add(kept, SLOW).session.log == (*session.log, SLOW)


def test_a_take_over_that_fails_leaves_the_first_layout(tmp_path, monkeypatch):
    path = tmp_path / "s.sqlite"
    layout_1(path, [Session(title="old", bike=BIKE, log=(SLOW,))])

    def fail(*_):
        raise RuntimeError("the power went")

    monkeypatch.setattr("tunekit.session.tables.seal_head", fail)
    with pytest.raises(RuntimeError):
        Store(path)
    monkeypatch.undo()
    with sqlite3.connect(path) as link:
        assert link.execute("PRAGMA user_version").fetchone() == (1,)
    link.close()
    assert Store(path).load("id0").session.log == (SLOW,)


def test_all_that_a_session_holds_comes_back(store):
    """Fields of a later version of the file too: whatever stands beside title, bike and log is kept as it is."""
    session = Session(
        title="t", bike=BIKE, tools="hands", goal="electronic", owner="Ann", tag="7", log=(SLOW,)
    )
    kept = store.create(session)
    assert store.load(kept.id).session == session
    other = session.model_copy(update={"goal": None, "tag": "8"})
    assert store.load(store.replace(kept, other).id).session == other
