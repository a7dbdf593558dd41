"""Every session can be found, opened, removed and brought back, however many there are; a reload keeps its bike."""

import sqlite3
import time

import pytest

from tunekit import Session
from tunekit.bike.starters import starter
from tunekit.session import make_entry
from tunekit.session.store import Store

BIKE = starter("road-double-10")


@pytest.fixture
def many():
    store = Store()
    return [store.create(Session(title=f"Bike {number}", bike=BIKE)) for number in range(45)]


def rows(app):
    return [
        button.label.split(" · ")[0]
        for button in app.at.button
        if button.key.startswith("kept_") and button.key != "kept_more"
    ]


def test_the_list_goes_on_to_the_last(many, app):
    assert len(rows(app)) == 20
    app.tap("kept_more")
    app.tap("kept_more")
    assert rows(app) == [f"Bike {number}" for number in range(44, -1, -1)]


def test_it_is_searched_and_opened(many, app):
    app.at.text_input(key="kept_search").set_value("bike 7")
    app.run()
    assert rows(app) == ["Bike 37", "Bike 27", "Bike 17", "Bike 7"]
    app.tap(f"kept_{many[7].id}")
    assert app.session == many[7].session


def test_a_removed_one_can_be_brought_back(many, app):
    app.tap(f"remove_{many[44].id}")
    assert "Bike 44" not in rows(app)
    app.tap("main_bring_back")
    assert rows(app)[0] == "Bike 44"


def test_a_reload_stays_with_its_bike(many, app):
    """Another bench writes to another bike; after a reload this one still has its own (L3)."""
    app.tap(f"kept_{many[40].id}")
    assert app.at.query_params["bike"] == many[40].id
    Store().add(Store().load(many[9].id), make_entry("told", what="fall"))
    del app.at.session_state["session"]
    app.turn_to("log")
    app.at.query_params["bike"] = many[40].id
    app.run()
    assert app.session == many[40].session


def test_an_address_of_a_session_that_is_gone_is_told(many, app):
    Store().remove(many[40].id)
    app.at.query_params["bike"] = many[40].id
    app.turn_to("log")
    app.at.query_params["bike"] = many[40].id
    app.run()
    assert "no longer in the store" in app.at.error[0].value


def test_a_damaged_session_is_told_with_its_remedy_and_can_be_undone(app):
    store = Store()
    kept = store.add(store.create(Session(title="Red", bike=BIKE)), make_entry("told", what="fall"))
    with sqlite3.connect(store.path) as link:
        link.execute("UPDATE entry SET body = 'x'")
    link.close()
    app.run()
    app.tap("main_continue")
    assert "tunekit store restore" in app.at.error[0].value
    app.tap("main_undo_unread")
    assert store.load(kept.id).session.log == ()


@pytest.mark.slow
def test_ten_thousand_sessions_leave_the_start_page_quick(app):
    """0.5 s of processor time, on a store of 10,000 sessions."""
    store = Store()
    kept = store.create(Session(title="one", bike=BIKE))
    with sqlite3.connect(store.path) as link:
        columns = "version, title, bike, length, changed_at, rest, turn, removed, sum"
        link.execute(
            "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 10000) "
            f"INSERT INTO session (id, {columns}) SELECT 'copy' || i, version, 'Bike ' || i, bike, length, "
            "changed_at, rest, i + 1, removed, sum FROM session, n WHERE id = ?",
            (kept.id,),
        )
    link.close()
    app.run()
    spent = []
    for _ in range(5):
        before = time.process_time()
        app.run()
        spent.append(time.process_time() - before)
    print(f"start page with 10,000 sessions: {sorted(spent)[2]:.3f} s")
    assert sorted(spent)[2] < 0.5
