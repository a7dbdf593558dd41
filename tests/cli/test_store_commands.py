"""`tunekit store`: check, copy, copies, restore."""

import sqlite3
from contextlib import closing

import pytest

from tunekit import Bike, Session
from tunekit.session.store import Store


@pytest.fixture
def store(tmp_path, monkeypatch):
    monkeypatch.setenv("TUNEKIT_STORE", str(tmp_path / "s.sqlite"))
    store = Store()
    store.create(Session(title="Red", bike=Bike(rings=(34,), cogs=(11, 13))))
    return store


def test_damage_is_found_and_one_command_restores(run, store):
    assert run("store", "check").out.endswith(": sound\n")
    assert "1 sessions, read back and sound" in run("store", "copy").out
    assert run("store", "copy", "--json").json["sessions"] == 1
    assert len(run("store", "copies", "--json").json) == 2
    with closing(sqlite3.connect(store.path)) as link, link:
        link.execute("UPDATE session SET title = 'Rot'")
    told = run("store", "check")
    assert told.code == 2
    assert "the session “Rot”" in told.err
    assert "tunekit store restore" in told.err
    assert "Restored from" in run("store", "restore").out
    assert run("store", "check").code == 0
    assert Store().sessions()[0].title == "Red"


def test_without_a_copy_it_says_so(run, store):
    told = run("store", "restore")
    assert told.code == 2
    assert "no sound copy" in told.err
