"""What every page shares: the session on the desk, its store, and the few things done to it.

Session state holds plain values only: the session's id, the version last shown, and the sentence of the last
problem. The session itself is read from the store on every run. Its id stands in the address too, so that a
reload, a restart of the server or another tab stays with its bike.
"""

from dataclasses import replace
from typing import Literal

import streamlit as st

from tunekit.bike import Bike, SessionError, TunekitError
from tunekit.data import phrase
from tunekit.known import fact_line, known
from tunekit.pages.plain import plain, refuse
from tunekit.pages.router import BIKE, address, page_file
from tunekit.session import Session, make_entry
from tunekit.session.faults import DamagedError
from tunekit.session.plausible import Doubt, doubt, reading_text
from tunekit.session.store import Kept, Store, default_path
from tunekit.show.words import entry_text, say, session_line

PROBLEM = "problem"
DOUBT = "doubtful_entries"
SESSION = "session"
SHOWN = "shown_version"
TAP = "last_tap"
"""The session, and the length of its log before and after the last tap that wrote: one undo takes it all back."""
VERDICT = {"pass": st.success, "caution": st.warning, "fail": st.error}
"""The box that a fit verdict is said in."""


@st.cache_resource(max_entries=4)
def _store_at(path: str) -> Store:
    return Store(path)


def store() -> Store:
    """The store of this machine; stops the page with one sentence when it cannot be used."""
    try:
        return _store_at(str(default_path()))
    except SessionError as error:
        refuse(error)
        st.stop()


def go(name: str) -> None:
    """Turn to a page, with the session in its address."""
    st.switch_page(page_file(name), query_params=address() or None)


def put(session: Session) -> None:
    """Keep a new session and lay it on the desk."""
    take(store().create(session).id)


def take(id: str) -> None:
    """Lay a kept session on the desk."""
    clear()
    st.session_state[SESSION] = id
    st.query_params[BIKE] = id


def clear() -> None:
    """Take what is on the desk off it."""
    for key in (SESSION, SHOWN, TAP):
        st.session_state.pop(key, None)
    st.query_params.pop(BIKE, None)


def _named() -> str | None:
    """The session that the address names, else the one that this tab had last."""
    named: str | None = st.query_params.get(BIKE)
    had: str | None = st.session_state.get(SESSION)
    if (named or had) and named != had:
        take(named or str(had))
    return named or had


def kept() -> Kept | None:
    """The session on the desk, or None."""
    id = _named()
    if id is None:
        return None
    try:
        found = store().load(id)
    except DamagedError as error:
        _offer_repair(id, error)
        st.stop()
    except SessionError as error:
        refuse(error)
        clear()
        return None
    st.session_state[SHOWN] = found.version
    return found


def _offer_repair(id: str, error: DamagedError) -> None:
    """The ways out of a session that no longer opens."""
    refuse(error)
    st.button(say("desk.undo_unread"), key="main_undo_unread", on_click=_blindly, args=(id,), width="stretch")
    st.button(say("desk.put_away"), key="put_away", on_click=clear, width="stretch")


def _blindly(id: str) -> None:
    try:
        store().undo_unread(id)
    except SessionError as error:
        st.session_state[PROBLEM] = str(error)


def peek(id: str) -> Kept | None:
    """A kept session without laying it on the desk; None when it cannot be read."""
    try:
        return store().load(id)
    except SessionError:
        return None


def need() -> Kept:
    """The session on the desk with its line and any problem on top; without one, the way to get one."""
    found = kept()
    if found is None:
        _offer_last()
        st.stop()
    st.caption(plain(session_line(found.session)))
    problem = st.session_state.pop(PROBLEM, None)
    if problem:
        refuse(problem)
    _ask_doubt(found.session)
    facts(found.session)
    return found


def _offer_last() -> None:
    st.info(say("desk.none"))
    listed = store().sessions(most=1)
    if listed:
        title = plain(listed[0].title) or say("desk.untitled")
        st.button(
            say("start.continue", title=title), key="main_continue", on_click=take, args=(listed[0].id,),
            width="stretch",
        )  # fmt: skip
    if st.button(say("desk.to_start"), key="to_start", width="stretch"):
        go("start")


def forget_shown() -> None:
    """Between two writes of one tap: the version shown is no longer the one in the store."""
    st.session_state.pop(SHOWN, None)


def _as_shown() -> Kept:
    """The session as the hand that tapped saw it, so that another bench's change meanwhile is noticed."""
    found = store().load(st.session_state[SESSION])
    return replace(found, version=st.session_state.get(SHOWN, found.version))


def add(kind: str, **fields: object) -> None:
    """Write one entry (a button's callback); a problem is shown on the next run."""
    add_all([{"kind": kind, **fields}])


def add_all(entries: list[dict[str, object]], sure: bool = False) -> None:
    """Write several entries at once, all or none; a reading that no hand takes is asked about first."""
    try:
        made = [make_entry(**fields) for fields in entries]  # type: ignore[arg-type]
        found = _as_shown()
        if not sure and _asked(found.session, entries):
            st.session_state[DOUBT] = entries
            return
        store().add(found, *made)
        before = len(found.session.log)
        st.session_state[TAP] = (found.id, before, before + len(made))
    except SessionError as error:
        st.session_state[PROBLEM] = str(error)


def drop_doubt() -> None:
    """Forget a reading that was asked about (a button's callback)."""
    st.session_state.pop(DOUBT, None)


def _settle(entries: list[dict[str, object]]) -> None:
    """Write a reading that was asked about (a button's callback)."""
    drop_doubt()
    add_all(entries, sure=True)


def _asked(session: Session, entries: list[dict[str, object]]) -> Doubt | None:
    """The first question that these entries get."""
    made = (make_entry(**fields) for fields in entries)  # type: ignore[arg-type]
    return next((found for entry in made if (found := doubt(session.bike, entry))), None)


def _ask_doubt(session: Session) -> None:
    """The question about a figure that no hand reads, both readings offered."""
    entries: list[dict[str, object]] = st.session_state.get(DOUBT, [])
    found = _asked(session, entries)
    if found is None:
        return
    with st.container(border=True, key="doubt"):
        st.warning(phrase("known", "doubt_page", says=found.says))
        for reading in found.readings:
            key = "given" if reading is found.typed else "meant"
            fields = reading.model_dump(exclude={"at"}, exclude_none=True)
            st.button(
                phrase("known", f"doubt_{key}", figure=reading_text(reading)),
                key=f"main_doubt_{key}",
                width="stretch",
                on_click=_settle,
                args=([{**fields, "sure": True} if key == "given" else fields],),
            )
        st.button(phrase("known", "doubt_drop"), key="doubt_drop", width="stretch", on_click=drop_doubt)


def facts(session: Session) -> None:
    """What is known to be wrong, on every page of the bike; what cannot be worked out is said in its place."""
    try:
        found = known(session)
    except TunekitError as error:
        refuse(error)
        return
    for fact in found:
        (st.error if fact.danger == "stop" else st.warning)(fact_line(fact))


def change(*, title: str | None = None, bike: Bike | None = None) -> bool:
    """Write another title or bike; a problem is shown on the next run. True when written."""
    try:
        store().change(_as_shown(), title=title, bike=bike)
    except SessionError as error:
        st.session_state[PROBLEM] = str(error)
        return False
    return True


def _step(which: str) -> None:
    """Undo or redo what one tap wrote, a button's callback."""
    try:
        found = _as_shown()
        step = store().undo if which == "undo" else store().redo
        for _ in range(_of_one_tap(found, which)):
            found = step(found)
    except SessionError as error:
        st.session_state[PROBLEM] = str(error)


def _of_one_tap(found: Kept, which: str) -> int:
    """How many entries the last tap wrote, if the log stands where it left it (or began); else one."""
    id, before, after = st.session_state.get(TAP, (None, 0, 0))
    stands_at = after if which == "undo" else before
    return after - before if (found.id, len(found.session.log)) == (id, stands_at) else 1


def undo_row(found: Kept) -> None:
    """Undo and redo, side by side also on a phone."""
    possible = {"undo": bool(found.session.log), "redo": found.undone > 0}
    with st.container(horizontal=True, key="undo_row"):
        for which, can in possible.items():
            icon = f":material/{which}:"
            st.button(
                say(f"desk.{which}"), key=which, icon=icon, on_click=_step, args=(which,), disabled=not can
            )


def last_entry(found: Kept) -> None:
    """What was written last, and undo and redo beside it."""
    if found.session.log:
        st.caption(say("desk.last", entry=plain(entry_text(found.session.log[-1]))))
    undo_row(found)


def next_page(name: str, *, main: bool = True) -> None:
    """A full-width button to the page that comes next in the work."""
    key = f"main_to_{name}" if main else f"to_{name}"
    kind: Literal["primary", "secondary"] = "primary" if main else "secondary"
    if st.button(say(f"to.{name}"), key=key, type=kind, width="stretch"):
        go(name)
