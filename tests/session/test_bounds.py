"""What is written can always be read back: bounds are checked before the write."""

import pytest

from tunekit import Bike, Session, SessionError, load_session, save_session
from tunekit.session import make_entry, session_from_text, session_to_text
from tunekit.session.session import MAX_ENTRIES
from tunekit.session.store import Store

BIKE = Bike(rings=(34, 50), cogs=(11, 13, 17, 21, 28))
NOTE = make_entry("noted", text="x")


@pytest.fixture
def store(tmp_path):
    return Store(tmp_path / "sessions.sqlite")


def test_entry_5001_is_refused_before_it_is_written(store):
    full = Session(bike=BIKE, log=(NOTE,) * MAX_ENTRIES)
    kept = store.create(full)
    with pytest.raises(SessionError, match="log takes at most 5000 entries"):
        store.add(kept, NOTE)
    assert store.load(kept.id) == kept
    assert len(store.undo(kept).session.log) == MAX_ENTRIES - 1


def test_a_log_that_an_older_tool_let_grow_too_long_opens_and_can_be_undone(store):
    kept = store.create(
        Session(bike=BIKE, log=(NOTE,) * MAX_ENTRIES).model_copy(update={"log": (NOTE,) * 5001})
    )
    assert len(store.load(kept.id).session.log) == 5001
    assert len(store.undo(store.load(kept.id)).session.log) == 5000


@pytest.mark.parametrize(("sign", "least"), [("😀", 240), ("я", 480), ("n", 950)])
def test_notes_of_2000_letters_are_taken_or_refused_but_never_lock_the_session(store, sign, least):
    """83 notes of emoji locked a session, 166 of Cyrillic letters, 958 of plain ones."""
    notes = (make_entry("noted", text=sign * 2000),)
    kept, taken, refusal = store.create(Session(bike=BIKE)), 0, ""
    while not refusal:
        try:
            kept, taken = store.add(kept, *(notes * 10)), taken + 10
        except SessionError as error:
            refusal = str(error)
    assert "larger than 2 MB" in refusal
    assert taken >= least
    assert store.load(kept.id) == kept
    assert session_from_text(session_to_text(kept.session).encode()) == kept.session


def test_a_session_too_large_for_a_file_is_not_written_and_the_old_file_stays(tmp_path):
    path, small = tmp_path / "s.json", Session(bike=BIKE)
    save_session(small, path)
    large = Session(bike=BIKE, log=(make_entry("noted", text="😀" * 2000),) * 300)
    with pytest.raises(SessionError, match="larger than 2 MB"):
        save_session(large, path)
    assert load_session(path) == small


def test_figures_taken_before_a_bound_was_drawn_still_open(store, tmp_path):
    import sqlite3

    from tunekit.session.sums import entry_sum

    kept = store.add(
        store.create(Session(bike=BIKE)), make_entry("measured", what="chain_wear_pct", value=1.0)
    )
    with sqlite3.connect(store.path) as link:
        (body,) = link.execute("SELECT body FROM entry").fetchone()
        body = body.replace("1.0", "-5.0")
        link.execute("UPDATE entry SET body = ?, sum = ?", (body, entry_sum(kept.id, 0, body)))
    link.close()
    assert store.load(kept.id).session.log[0].value == -5
    assert store.undo(store.load(kept.id)).session.log == ()
