"""Start: exactly three ways in; then what was begun before."""

import streamlit as st

from tunekit.bike import SessionError
from tunekit.data.hazards import warning
from tunekit.pages import desk
from tunekit.pages.plain import plain, refuse
from tunekit.session import load_session, session_from_text
from tunekit.session.samples import sample_paths
from tunekit.session.session import Session
from tunekit.show.words import say, session_line

WAYS = ("derailleur", "noisy", "swap")
REMOVED, MOST = "removed_session", "kept_most"
PAGE = 20
"""How many sessions the list shows at once."""


def begin(way: str) -> None:
    """Clear the desk for a new bike and remember which way in was taken."""
    st.session_state["way"] = way
    desk.clear()


def carry_on(session: Session) -> str:
    """The page on which a session is most likely continued."""
    kinds = {entry.kind for entry in session.log}
    if any(getattr(entry, "walk", None) for entry in session.log):
        return "setup_walk"
    return "advice" if "heard" in kinds else "fit"


def lay_out(session: Session) -> None:
    """Keep a copy of a sample or a file, lay it on the desk and turn to its page."""
    desk.put(session)
    desk.go(carry_on(session))


def ways() -> None:
    for way in WAYS:
        if st.button(f"**{say(f'start.{way}')}**", key=f"main_{way}", type="primary", width="stretch"):
            begin(way)
            desk.go("bike")
        st.caption(say(f"start.{way}_help"))


def last_one() -> None:
    listed = desk.store().sessions(most=1)
    removed = st.session_state.get(REMOVED)
    if removed:
        with st.container(border=True, key="removed"):
            st.write(say("start.removed", title=named(removed["title"])))
            st.button(say("start.bring_back"), key="main_bring_back", on_click=bring_back, width="stretch")
    if not listed:
        return
    st.subheader(say("start.or"), anchor=False)
    if st.button(say("start.continue", title=named(listed[0].title)), key="main_continue", width="stretch"):
        desk.take(listed[0].id)
        found = desk.kept()
        if found:
            desk.go(carry_on(found.session))
    latest = desk.peek(listed[0].id)
    if latest is not None:
        desk.facts(latest.session)
    with st.expander(say("start.kept"), key="kept"):
        kept_list()


def named(title: str) -> str:
    """A session's name as a page may show it."""
    return plain(title) or say("desk.untitled")


def kept_list() -> None:
    """Every session of this machine, found by words of its name, the last changed first."""
    search = st.text_input(say("start.search"), key="kept_search", on_change=show_first)
    most = st.session_state.setdefault(MOST, PAGE)
    found, store = desk.store().count(search), desk.store()
    for line in store.sessions(search, most=most):
        with st.container(horizontal=True, key=f"row_{line.id}"):
            count = say("desk.one_entry") if line.entries == 1 else say("desk.entries", count=line.entries)
            day = line.changed_at[:10]
            text = say("start.kept_line", title=named(line.title), count=count, day=day)
            if st.button(text, key=f"kept_{line.id}", width="stretch"):
                desk.take(line.id)
                desk.go("bike")
            st.button(
                say("start.remove"), key=f"remove_{line.id}", icon=":material/delete:",
                on_click=remove, args=(line.id, line.title),
            )  # fmt: skip
    if found > most:
        st.button(say("start.more", count=found - most), key="kept_more", on_click=show_more, width="stretch")
    elif not found:
        st.write(say("start.none_found"))


def show_first() -> None:
    st.session_state[MOST] = PAGE


def show_more() -> None:
    st.session_state[MOST] += PAGE


def remove(id: str, title: str) -> None:
    """Take a session out of the list; one tap brings it back."""
    try:
        desk.store().remove(id)
    except SessionError as error:
        st.session_state[desk.PROBLEM] = str(error)
        return
    st.session_state[REMOVED] = {"id": id, "title": title}
    if st.session_state.get(desk.SESSION) == id:
        desk.clear()


def bring_back() -> None:
    try:
        desk.store().bring_back(st.session_state.pop(REMOVED)["id"])
    except SessionError as error:
        st.session_state[desk.PROBLEM] = str(error)


def samples() -> None:
    paths = sample_paths()
    if not paths:
        return
    with st.expander(say("start.samples")):
        for path in paths:
            session = load_session(path)
            if st.button(plain(session_line(session)), key=f"sample_{path.stem}", width="stretch"):
                lay_out(session)


def own_file() -> None:
    with st.expander(say("start.file")):
        upload = st.file_uploader(say("start.file_label"), type=["json"], key="upload")
        if upload is None:
            return
        try:
            session = session_from_text(upload.getvalue())
        except SessionError as error:
            refuse(error)
            return
        if st.button(plain(session_line(session)), key="main_open_file", type="primary", width="stretch"):
            lay_out(session)


st.title(say("start.title"), anchor=False)
problem = st.session_state.pop(desk.PROBLEM, None)
if problem:
    refuse(problem)
ways()
last_one()
samples()
own_file()
st.caption(warning("fingers"))
