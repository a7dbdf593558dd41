"""The store: on disk before it answers, two benches told apart, old state or new and nothing between."""

import os
import random
import signal
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test
from session_strategies import BIKES, entries
from sqlalchemy import event

from tunekit import Bike, Session, SessionError
from tunekit.session import Noted, make_entry, session_from_text, session_to_text
from tunekit.session.store import ConflictError, DamagedError, Kept, Store, StoreError, default_path

TOURER = Bike(rings=(34, 50), cogs=(11, 13, 17, 21, 28))
SLOW = make_entry("heard", ring=50, cog=17, moment="to_larger_cog", what="slow")


@pytest.fixture
def store(tmp_path):
    return Store(tmp_path / "sessions.sqlite")


@pytest.fixture
def kept(store):
    return store.create(Session(title="Red tourer", bike=TOURER))


class TestPlace:
    def test_the_variable_outranks_the_platform(self, monkeypatch, tmp_path):
        monkeypatch.setenv("TUNEKIT_STORE", str(tmp_path / "elsewhere.sqlite"))
        assert default_path() == tmp_path / "elsewhere.sqlite"

    @pytest.mark.parametrize(
        ("platform", "variables", "tail"),
        [
            ("linux", {"XDG_DATA_HOME": "/data"}, "/data/tunekit/sessions.sqlite"),
            ("linux", {}, "/home/rider/.local/share/tunekit/sessions.sqlite"),
            ("darwin", {}, "/home/rider/Library/Application Support/tunekit/sessions.sqlite"),
            ("win32", {"LOCALAPPDATA": "/local"}, "/local/tunekit/sessions.sqlite"),
        ],
    )
    def test_each_platform_has_its_data_folder(self, monkeypatch, platform, variables, tail):
        """XDG Base Directory Specification; the platforms' own guides for the other two (from memory)."""
        for name in ("TUNEKIT_STORE", "XDG_DATA_HOME", "LOCALAPPDATA"):
            monkeypatch.delenv(name, raising=False)
        for name, value in {**variables, "HOME": "/home/rider", "USERPROFILE": "/home/rider"}.items():
            monkeypatch.setenv(name, value)
        monkeypatch.setattr(sys, "platform", platform)
        assert default_path() == Path(tail)

    def test_the_folder_is_made(self, tmp_path):
        Store(tmp_path / "a" / "b" / "s.sqlite")
        assert (tmp_path / "a" / "b" / "s.sqlite").exists()


class TestOneBench:
    def test_an_entry_is_on_disk_when_add_returns(self, store, kept):
        store.add(kept, SLOW)
        with sqlite3.connect(f"file:{store.path}?mode=ro", uri=True) as link:
            assert link.execute("SELECT count(*) FROM entry").fetchone() == (1,)
        link.close()

    def test_a_second_store_reads_what_the_first_wrote(self, store, kept):
        wrote = store.add(kept, SLOW)
        assert Store(store.path).load(kept.id) == wrote

    def test_the_journal_is_rolled_back_and_commits_survive_a_power_cut(self, store):
        """synchronous=EXTRA is 3 (SQLite's PRAGMA documentation)."""
        with store._engine.connect() as link:
            assert link.exec_driver_sql("PRAGMA journal_mode").scalar_one() == "delete"
            assert link.exec_driver_sql("PRAGMA synchronous").scalar_one() == 3

    def test_undo_then_redo_is_identity(self, store, kept):
        kept = store.add(kept, SLOW)
        back = store.redo(store.undo(kept))
        assert back.session == kept.session

    def test_undo_of_an_empty_log_and_redo_of_nothing_change_nothing(self, store, kept):
        assert store.undo(kept) == kept
        assert store.redo(kept) == kept

    def test_an_entry_after_undo_takes_the_place_of_the_undone_ones(self, store, kept):
        kept = store.undo(store.add(kept, SLOW, SLOW))
        note = make_entry("noted", text="again")
        kept = store.add(kept, note)
        assert kept.session.log == (SLOW, note)
        assert store.load(kept.id).undone == 0

    def test_several_entries_are_written_all_or_none(self, store, kept):
        with pytest.raises(SessionError, match="cog must be one of the bike's cogs"):
            store.add(kept, SLOW, make_entry("heard", cog=12, moment="pedalling", what="rattle"))
        assert store.load(kept.id).session.log == ()

    def test_a_bike_that_the_log_forbids_is_refused_and_the_session_stays(self, store, kept):
        kept = store.add(kept, SLOW)
        with pytest.raises(SessionError, match=r"log\[1\]\.cog must be one of"):
            store.change(kept, bike=Bike(rings=(34, 50), cogs=(11, 12, 13)))
        assert store.load(kept.id) == kept

    def test_title_and_bike_change(self, store, kept):
        bike = Bike(rings=(40,), cogs=(11, 17))
        kept = store.change(kept, title="Blue single", bike=bike)
        assert store.load(kept.id).session == Session(title="Blue single", bike=bike)

    def test_a_title_too_long_is_refused(self, store, kept):
        with pytest.raises(SessionError, match="title takes at most 200 characters"):
            store.change(kept, title="x" * 201)

    def test_the_list_has_the_last_changed_first(self, store, kept):
        second = store.create(Session(title="Second", bike=TOURER))
        store.add(kept, SLOW)
        assert [line.id for line in store.sessions()] == [kept.id, second.id]
        assert store.sessions()[0].entries == 1

    def test_a_removed_session_is_gone_can_be_brought_back_and_is_forgotten_for_good(self, store, kept):
        kept = store.add(kept, SLOW)
        store.remove(kept.id)
        assert store.sessions() == ()
        with pytest.raises(StoreError, match="no longer in the store"):
            store.load(kept.id)
        store.bring_back(kept.id)
        assert store.load(kept.id).session == kept.session
        store.remove(kept.id)
        assert store.forget() == 1
        with sqlite3.connect(store.path) as link:
            assert link.execute("SELECT count(*) FROM entry").fetchone() == (0,)
        link.close()

    def test_a_session_that_is_not_removed_is_never_forgotten(self, store, kept):
        assert store.forget(kept.id) == 0
        assert store.load(kept.id) == kept

    def test_text_that_looks_like_sql_is_only_text(self, store, kept):
        nasty = "'); DROP TABLE entry; --"
        kept = store.add(store.change(kept, title=nasty), make_entry("noted", text=nasty))
        assert store.load(kept.id).session.title == nasty
        assert store.load(kept.id).session.log[0].text == nasty


class TestTwoBenches:
    def test_the_later_one_is_told_in_words_and_nothing_is_overwritten(self, store, kept):
        first = store.add(kept, SLOW)
        with pytest.raises(ConflictError, match="changed at another bench meanwhile"):
            Store(store.path).add(kept, make_entry("noted", text="mine"))
        assert store.load(kept.id) == first

    @pytest.mark.parametrize("change", ["undo", "redo", "change"])
    def test_every_kind_of_change_notices(self, store, kept, change):
        old = store.undo(store.add(kept, SLOW, SLOW))
        new = store.add(old, SLOW)
        call = {
            "undo": lambda: store.undo(old),
            "redo": lambda: store.redo(old),
            "change": lambda: store.change(old, title="mine"),
        }[change]
        with pytest.raises(ConflictError):
            call()
        assert store.load(kept.id) == new

    def test_eight_writers_lose_nothing(self, store, kept):
        """Each writer retries what was refused; every note is there once (a short run of 8 × 25)."""
        writers, each = 8, 25
        refused = []

        def write(writer: int) -> None:
            mine = Store(store.path)
            for number in range(each):
                while True:
                    try:
                        mine.add(mine.load(kept.id), make_entry("noted", text=f"{writer}-{number}"))
                        break
                    except ConflictError:
                        refused.append(writer)

        threads = [threading.Thread(target=write, args=(writer,)) for writer in range(writers)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        texts = [entry.text for entry in store.load(kept.id).session.log]
        assert sorted(texts) == sorted(
            f"{writer}-{number}" for writer in range(writers) for number in range(each)
        )
        assert store.load(kept.id).version == kept.version + writers * each


def fill_up(store: Store, kept: Kept, note: Noted) -> tuple[Kept, str]:
    """Write until the store refuses; returns the last state that it acknowledged, and the refusal."""
    for _ in range(50):
        try:
            kept = store.add(kept, note)
        except StoreError as error:
            return kept, str(error)
    raise AssertionError("the disk never filled up")


class TestFaults:
    def test_a_full_disk_leaves_the_old_state(self, store, kept):
        """SQLite's own page limit stands in for the disk: the same error, "database or disk is full"."""
        with sqlite3.connect(store.path) as link:
            pages = link.execute("PRAGMA page_count").fetchone()[0]
        link.close()

        def limit(connection, _record):
            connection.execute(f"PRAGMA max_page_count = {pages}")

        event.listen(store._engine, "connect", limit)
        note = make_entry("noted", text="x" * 2000)
        written, sentence = fill_up(store, kept, note)
        assert "full" in sentence
        assert "free some space" in sentence
        event.remove(store._engine, "connect", limit)
        assert store.load(kept.id) == written

    def test_a_folder_in_the_store_s_place(self, tmp_path):
        with pytest.raises(StoreError, match=r"cannot be used.*TUNEKIT_STORE"):
            Store(tmp_path)

    def test_a_file_in_the_folder_s_place(self, tmp_path):
        (tmp_path / "taken").write_text("x")
        with pytest.raises(StoreError, match="cannot be used"):
            Store(tmp_path / "taken" / "s.sqlite")

    def test_a_file_that_is_no_database(self, tmp_path):
        path = tmp_path / "s.sqlite"
        path.write_bytes(b"not a database, whatever its name says" * 100)
        with pytest.raises(StoreError, match="not a database"):
            Store(path)
        assert path.read_bytes().startswith(b"not a database")

    def test_a_store_of_a_later_version(self, store):
        with sqlite3.connect(store.path) as link:
            link.execute("PRAGMA user_version = 99")
        link.close()
        with pytest.raises(StoreError, match=r"later version of the tool.*layout 99"):
            Store(store.path)

    @pytest.mark.parametrize(
        ("spoil", "named"),
        [
            ("UPDATE entry SET body = replace(body, 'slow', 'slwo')", "entry 1 of “Red tourer”"),
            ("UPDATE entry SET body = replace(body, 'slow', 'skip')", "entry 1 of “Red tourer”"),
            ("UPDATE entry SET body = 'x'", "entry 1 of “Red tourer”"),
            ("UPDATE session SET bike = replace(bike, '28', '30')", "the session “Red tourer”"),
            ("UPDATE session SET title = 'Red turer'", "the session “Red turer”"),
            ("DELETE FROM entry", "the log of “Red tourer”, 0 of 1 entries,"),
        ],
    )
    def test_what_was_spoilt_in_the_file_is_named_with_its_remedy(self, store, kept, spoil, named):
        """Silent changes too: a word that is as good as the one before, another cog, a row that is gone."""
        kept = store.add(kept, SLOW)
        with sqlite3.connect(store.path) as link:
            link.execute(spoil)
        link.close()
        with pytest.raises(DamagedError, match=f"{named} is not what was written .*tunekit store restore"):
            store.load(kept.id)

    def test_bytes_that_are_no_text_are_told(self, store, kept):
        with sqlite3.connect(store.path) as link:
            link.execute("UPDATE session SET title = CAST(x'ff80' AS TEXT)")
        link.close()
        with pytest.raises(StoreError, match="restore"):
            store.load(kept.id)
        with pytest.raises(StoreError, match="restore"):
            store.sessions()

    def test_a_session_that_no_longer_opens_can_still_be_undone(self, store, kept):
        kept = store.add(kept, SLOW)
        with sqlite3.connect(store.path) as link:
            link.execute("UPDATE entry SET body = 'x', sum = ''")
        link.close()
        store.undo_unread(kept.id)
        found = store.load(kept.id)
        assert (found.session.log, found.undone) == ((), 1)
        with pytest.raises(DamagedError, match="entry 1"):
            store.redo(found)
        assert store.load(kept.id) == found
        assert store.load(store.add(found, SLOW).id).session.log == (SLOW,)


CHILD = """
import sys
from tunekit.session import make_entry
from tunekit.session.store import Store
store = Store(sys.argv[1])
kept = store.load(sys.argv[2])
while True:
    kept = store.add(kept, make_entry("noted", text=str(len(kept.session.log))))
    print(len(kept.session.log), flush=True)
"""


def kill_run(store: Store, id: str, wait_s: float) -> int:
    """Let a child write and acknowledge, kill it, and return the last number that it acknowledged."""
    child = subprocess.Popen(
        [sys.executable, "-c", CHILD, str(store.path), id],
        stdout=subprocess.PIPE,
        text=True,
        env=os.environ.copy(),
    )
    assert child.stdout is not None
    acknowledged = int(child.stdout.readline())
    timer = threading.Timer(wait_s, child.send_signal, (signal.SIGKILL,))
    timer.start()
    whole = [line for line in child.stdout if line.endswith("\n")]
    timer.cancel()
    child.wait()
    child.stdout.close()
    return int(whole[-1]) if whole else acknowledged


@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL is POSIX's")
@pytest.mark.parametrize("seed", range(5))
def test_a_killed_writer_loses_nothing_that_it_acknowledged(store, kept, seed):
    """Killed 0 to 50 ms after its first commit, by seed; the long run is in tests/benchmarks."""
    acknowledged = kill_run(store, kept.id, random.Random(seed).uniform(0, 0.05))
    found = Store(store.path).load(kept.id)
    with sqlite3.connect(store.path) as link:
        assert link.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    link.close()
    assert len(found.session.log) in (acknowledged, acknowledged + 1)
    assert [entry.text for entry in found.session.log] == [str(n) for n in range(len(found.session.log))]


class Bench(RuleBasedStateMachine):
    """Create, log, undo, redo, export, import, a second bench and a restart, against a plain list."""

    def __init__(self):
        super().__init__()
        self.undone = []

    @initialize(bike=BIKES, folder=st.uuids())
    def begin(self, bike, folder):
        self.path = Bench.folder / f"{folder}.sqlite"
        self.store = Store(self.path)
        self.kept = self.store.create(Session(bike=bike))
        self.expected = []

    @rule(data=st.data())
    def log(self, data):
        entry = data.draw(entries(self.kept.session.bike))
        self.kept = self.store.add(self.kept, entry)
        self.expected.append(entry)
        self.undone = []

    @rule()
    def undo(self):
        self.kept = self.store.undo(self.kept)
        if self.expected:
            self.undone.append(self.expected.pop())

    @rule()
    def redo(self):
        self.kept = self.store.redo(self.kept)
        if self.undone:
            self.expected.append(self.undone.pop())

    @rule()
    def restart(self):
        self.store = Store(self.path)
        self.kept = self.store.load(self.kept.id)

    @rule()
    def export_and_import(self):
        text = session_to_text(self.kept.session)
        copy = self.store.create(session_from_text(text))
        assert self.store.load(copy.id).session == self.kept.session

    @rule(data=st.data())
    def second_bench(self, data):
        entry = data.draw(entries(self.kept.session.bike))
        old, self.kept = self.kept, Store(self.path).add(self.kept, entry)
        self.expected.append(entry)
        self.undone = []
        with pytest.raises(ConflictError):
            self.store.add(old, entry)

    @invariant()
    def the_store_holds_what_was_said(self):
        if hasattr(self, "expected"):
            assert list(self.kept.session.log) == self.expected
            assert self.store.load(self.kept.id).session == self.kept.session
            assert self.kept.undone == len(self.undone)


def test_any_order_of_work_keeps_the_log(tmp_path):
    Bench.folder = tmp_path
    run_state_machine_as_test(
        Bench,
        settings=settings(max_examples=12, stateful_step_count=12, suppress_health_check=list(HealthCheck)),
    )
