"""Set-up: choose the work, then one step a screen; the log alone says what is done."""

from functools import partial

import streamlit as st

from tunekit.data import phrase
from tunekit.pages import desk, setup_last, setup_step
from tunekit.pages import setup_place as place
from tunekit.session import Session
from tunekit.setup import Walk, begin, default_walk, setup_steps, walks_for

say = partial(phrase, "setup")


def start(session: Session, walk: str, afresh: bool) -> None:
    """Begin a walk (a button's callback)."""
    desk.add_all(begin(session, walk, afresh=afresh))
    if desk.PROBLEM not in st.session_state:
        place.choose(walk)


def offer(session: Session, walk: str, main: bool) -> None:
    """One walk: go on where the log stands, or start again when the part was changed once more."""
    found = setup_steps(session, walk)
    st.button(
        found.title,
        key=f"main_{walk}" if main else f"walk_{walk}",
        type="primary" if main else "secondary",
        width="stretch",
        on_click=place.choose if found.begun else start,
        args=(walk,) if found.begun else (session, walk, found.done == 0),
    )
    if found.done:
        st.caption(say("page.done_of", done=found.done, total=found.total))
        st.button(
            f"{say('page.again')}: {found.title}",
            key=f"again_{walk}",
            on_click=start,
            args=(session, walk, True),
            help=say("page.again_help"),
        )


def choice(session: Session) -> None:
    """Which work is it: the likeliest first."""
    st.title(say("page.choose"), anchor=False)
    st.write(say("page.choose_help"))
    likely = default_walk(session)
    offer(session, likely, main=True)
    st.subheader(say("page.other"), anchor=False)
    for walk in walks_for(session.bike):
        if walk != likely:
            offer(session, walk, main=False)


def steps_list(walk: Walk) -> None:
    """Every step with its mark, one tap each."""
    with st.expander(say("page.list")):
        for number, step in enumerate(walk.steps, 1):
            mark = say(f"page.mark_{step.state}")
            st.button(
                say("page.line", mark=mark, number=number, title=step.title),
                key=f"step_{step.id}",
                on_click=place.show,
                args=(step.id,),
                type="tertiary",
            )
        st.button(say("page.other"), key="other_work", on_click=place.choose, args=(None,))


found = desk.need()
session = found.session
walk = None if place.choosing() else place.walk_of(session)
if walk is None:
    choice(session)
else:
    step = place.step_of(walk)
    if step is None:
        setup_last.finished(walk)
    elif step.confirm:
        setup_last.show(walk)
    else:
        setup_step.show(session, walk, step)
    steps_list(walk)
