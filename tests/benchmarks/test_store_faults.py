"""The store's long runs: pytest tests/benchmarks/test_store_faults.py -m slow (about half an hour).

10,000 writers are killed 0 to 50 ms after they begin; 8 writers make 5,000 changes each. The short runs are
in tests/session/test_store.py. TUNEKIT_KILLS and TUNEKIT_CHANGES set other counts.
"""

import multiprocessing
import os
import random
import signal
import sqlite3
import sys
import time
from pathlib import Path

import pytest

from tunekit import Bike, Session
from tunekit.session import make_entry
from tunekit.session.store import ConflictError, Store

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(sys.platform == "win32", reason="fork and SIGKILL are POSIX's"),
]
KILLS = int(os.environ.get("TUNEKIT_KILLS", "10000"))
CHANGES = int(os.environ.get("TUNEKIT_CHANGES", "5000"))
PER_SESSION = 50
"""Kills of one session, so that its log stays a log and not a novel."""
TOURER = Bike(rings=(34, 50), cogs=(11, 13, 17, 21, 28))


def write_until_killed(store: Store, id: str, acknowledge: int) -> None:
    """Commit numbered entries and acknowledge each as four bytes, for ever."""
    kept = store.load(id)
    while True:
        kept = store.add(kept, make_entry("noted", text=str(len(kept.session.log))))
        os.write(acknowledge, len(kept.session.log).to_bytes(4, "big"))


def killed_after(store: Store, id: str, wait_s: float) -> int:
    """Kill a writer after that long; the last number that it acknowledged, 0 for none."""
    answers, acknowledge = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(answers)
        write_until_killed(store, id, acknowledge)
    os.close(acknowledge)
    time.sleep(wait_s)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    with os.fdopen(answers, "rb") as pipe:
        got = pipe.read()
    return int.from_bytes(got[len(got) - 4 :], "big") if got else 0


def check(path: Path, id: str, before: int, acknowledged: int) -> int:
    """Nothing acknowledged is lost, nothing is half, the file is sound; how many entries there are."""
    log = Store(path).load(id).session.log
    assert len(log) >= max(before, acknowledged)
    assert len(log) <= max(before, acknowledged) + 1
    assert [entry.text for entry in log] == [str(number) for number in range(len(log))]
    with sqlite3.connect(path) as link:
        assert link.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    link.close()
    return len(log)


def test_no_acknowledged_entry_is_lost_in_ten_thousand_kills(tmp_path):
    draw, path = random.Random(0), tmp_path / "s.sqlite"
    store, kept, length, in_flight = Store(path), None, 0, 0
    for kill in range(KILLS):
        if kill % PER_SESSION == 0:
            kept, length = store.create(Session(bike=TOURER)), 0
        acknowledged = killed_after(store, kept.id, draw.uniform(0, 0.05))
        found = check(path, kept.id, length, acknowledged)
        in_flight += found > max(length, acknowledged)
        length = found
    print(f"{KILLS} kills, none lost; {in_flight} died between commit and acknowledgement")


def change_often(path: Path, id: str, writer: int) -> None:
    """Change the title that often, trying again after each refusal."""
    store = Store(path)
    for number in range(CHANGES):
        while True:
            try:
                kept = store.load(id)
                store.change(kept, title=f"{int(kept.session.title or 0) + 1}")
                break
            except ConflictError:
                time.sleep(random.Random(writer * CHANGES + number).uniform(0, 0.002))


def test_eight_writers_of_five_thousand_changes_lose_none(tmp_path):
    path = tmp_path / "s.sqlite"
    kept = Store(path).create(Session(bike=TOURER))
    fork = multiprocessing.get_context("fork")
    writers = [fork.Process(target=change_often, args=(path, kept.id, writer)) for writer in range(8)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert [writer.exitcode for writer in writers] == [0] * 8
    found = Store(path).load(kept.id)
    assert found.session.title == str(8 * CHANGES)
    assert found.version == 1 + 8 * CHANGES
