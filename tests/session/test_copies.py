"""Copies of the store: sound ones alone, the newest five, and back by one command."""

import sqlite3
import stat
from contextlib import closing

import pytest

from tunekit import Bike, Session
from tunekit.session import make_entry
from tunekit.session.copies import copies_of, faults_in, folder_of, is_due, make_copy, restore
from tunekit.session.faults import DamagedError, StoreError
from tunekit.session.store import Store

BIKE = Bike(rings=(34, 50), cogs=(11, 13, 17, 21, 28))


@pytest.fixture
def store(tmp_path):
    store = Store(tmp_path / "sessions.sqlite")
    kept = store.create(Session(title="Red", bike=BIKE))
    store.add(kept, make_entry("told", what="fall"))
    return store


def spoil(store):
    with closing(sqlite3.connect(store.path)) as link, link:
        link.execute("UPDATE entry SET body = replace(body, 'fall', 'stored')")


def test_a_copy_is_read_back_private_and_the_newest_five_stay(store):
    assert is_due(store.path)
    made = [make_copy(store.path) for _ in range(7)]
    assert [copy.path for copy in copies_of(store.path)] == [copy.path for copy in made[:-6:-1]]
    assert made[-1].sessions == 1
    assert not is_due(store.path)
    assert stat.S_IMODE(made[-1].path.stat().st_mode) == 0o600
    assert stat.S_IMODE(folder_of(store.path).stat().st_mode) == 0o700


def test_a_damaged_store_pushes_out_no_sound_copy(store):
    good = make_copy(store.path)
    spoil(store)
    assert faults_in(store.path) == ("entry 1 of “Red”",)
    with pytest.raises(DamagedError, match=r"entry 1 of “Red”.*no copy was made"):
        make_copy(store.path)
    assert copies_of(store.path) == (good,)
    assert [path.name for path in folder_of(store.path).iterdir()] == [good.path.name]


@pytest.mark.parametrize("how", ["row", "bytes", "gone"])
def test_the_newest_sound_copy_comes_back_and_the_old_file_is_set_aside(store, how):
    before = store.load(store.sessions()[0].id)
    make_copy(store.path)
    if how == "row":
        spoil(store)
    elif how == "bytes":
        store.path.write_bytes(b"x" * 5000)
    else:
        store.path.unlink()
    spoilt = store.path.read_bytes() if how != "gone" else None
    _, aside = restore(store.path)
    assert Store(store.path).load(before.id) == before
    assert (aside.read_bytes() if aside else None) == spoilt


def test_a_copy_that_was_spoilt_since_is_passed_over(store):
    older, newest = make_copy(store.path), make_copy(store.path)
    newest.path.write_bytes(newest.path.read_bytes().replace(b'"fall"', b'"full"'))
    sound, _ = restore(store.path)
    assert sound.path == older.path


def test_without_a_sound_copy_nothing_changes(store):
    before = store.path.read_bytes()
    with pytest.raises(StoreError, match="no sound copy; nothing was changed"):
        restore(store.path)
    assert store.path.read_bytes() == before
