"""Start: exactly three ways in; then what was begun before."""

import streamlit as st

from tunekit.bike import SessionError
from tunekit.data.hazards import warning
from tunekit.pages import desk
from tunekit.session import load_session, session_from_text
from tunekit.session.samples import sample_paths
from tunekit.session.session import Session
from tunekit.show.words import say, session_line

WAYS = ("derailleur", "noisy", "swap")


def begin(way: str) -> None:
    """Clear the desk for a new bike and remember which way in was taken."""
    st.session_state["way"] = way
    st.session_state.pop(desk.SESSION, None)


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
    listed = desk.store().sessions()
    if not listed:
        return
    st.subheader(say("start.or"), anchor=False)
    title = listed[0].title or say("desk.untitled")
    if st.button(say("start.continue", title=title), key="main_continue", width="stretch"):
        desk.take(listed[0].id)
        found = desk.kept()
        if found:
            desk.go(carry_on(found.session))
    latest = desk.peek(listed[0].id)
    if latest is not None:
        desk.facts(latest.session)
    if len(listed) > 1:
        with st.expander(say("start.kept")):
            kept_list()


def kept_list() -> None:
    for line in desk.store().sessions()[1:30]:
        title = line.title or say("desk.untitled")
        count = say("desk.one_entry") if line.entries == 1 else say("desk.entries", count=line.entries)
        text = say("start.kept_line", title=title, count=count, day=line.changed_at[:10])
        if st.button(text, key=f"kept_{line.id}", width="stretch"):
            desk.take(line.id)
            desk.go("bike")


def samples() -> None:
    paths = sample_paths()
    if not paths:
        return
    with st.expander(say("start.samples")):
        for path in paths:
            session = load_session(path)
            if st.button(session_line(session), key=f"sample_{path.stem}", width="stretch"):
                lay_out(session)


def own_file() -> None:
    with st.expander(say("start.file")):
        upload = st.file_uploader(say("start.file_label"), type=["json"], key="upload")
        if upload is None:
            return
        try:
            session = session_from_text(upload.getvalue())
        except SessionError as error:
            st.error(str(error))
            return
        if st.button(session_line(session), key="main_open_file", type="primary", width="stretch"):
            lay_out(session)


st.title(say("start.title"), anchor=False)
ways()
last_one()
samples()
own_file()
st.caption(warning("fingers"))
