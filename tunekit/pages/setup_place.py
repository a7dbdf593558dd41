"""Where in the set-up walk the mechanic looks. The log alone says what is done; this is only which screen.

Another page sends the mechanic to a step with `send`, and the walk offers the way back.
"""

import streamlit as st

from tunekit.bike import SessionError
from tunekit.data import phrase
from tunekit.pages import desk
from tunekit.session import Session
from tunekit.setup import Step, Walk, default_walk, setup_steps, step_for, walks_for

WALK = "setup_walk_name"
STEP = "setup_step"
SAID = "setup_said"
FROM = "setup_from"


def walk_of(session: Session) -> Walk | None:
    """The walk on the screen: the one chosen here, else the one that the log names, else None."""
    chosen = st.session_state.get(WALK)
    if chosen in walks_for(session.bike):
        return setup_steps(session, chosen)
    found = setup_steps(session, default_walk(session))
    return found if found.begun else None


def choose(walk: str | None) -> None:
    """Show a walk from its current step; None shows the choice of walks."""
    st.session_state[WALK] = walk or ""
    st.session_state.pop(STEP, None)
    st.session_state.pop(SAID, None)


def choosing() -> bool:
    """True when the choice of walks was asked for."""
    return st.session_state.get(WALK) == ""


def show(step: str | None) -> None:
    """Show that step; None shows the walk's current one."""
    st.session_state.pop(SAID, None)
    if step is None:
        st.session_state.pop(STEP, None)
    else:
        st.session_state[STEP] = step


def step_of(walk: Walk) -> Step | None:
    """The step on the screen; None when nothing is open and none was asked for."""
    asked = walk.step(st.session_state.get(STEP, ""))
    if asked is not None:
        return asked
    return next((step for step in walk.steps if step.state == "open"), None)


def said(step: str | None) -> None:
    """Remember which step was just answered, so that the next screen says what it meant."""
    st.session_state[SAID] = step


def just_said(walk: Walk) -> Step | None:
    """The step just answered, when it passed."""
    step = walk.step(st.session_state.get(SAID) or "")
    return step if step and step.state == "done" else None


def send(session: Session, what: str, origin: str) -> bool:
    """Turn to the step that sets or measures `what`, with a way back to `origin`; False if none does."""
    place = step_for(session, what)
    if place is None:
        return False
    choose(place[0])
    show(place[1])
    st.session_state[FROM] = origin
    desk.go("setup_walk")
    return True


def offer(session: Session, what: str, origin: str) -> None:
    """A button that turns to the step of `what`, where the walk has one: screw, direction and target."""
    if step_for(session, what) is None:
        return
    if st.button(phrase("setup", "page.show_step"), key="show_step", width="stretch"):
        send(session, what, origin)


def write(walk: Walk, step: Step, fields: dict[str, object]) -> None:
    """Write an entry for a step (a button's callback): a pass turns to the next step, else the step stays."""
    desk.add(**fields)  # type: ignore[arg-type]
    if desk.PROBLEM in st.session_state:
        return
    found = desk.kept()
    after = setup_steps(found.session, walk.name).step(step.id) if found else None
    passed = after is not None and after.state != "open"
    show(None if passed else step.id)
    said(step.id)


def refuse(error: SessionError) -> None:
    """Show a problem on the next run."""
    st.session_state[desk.PROBLEM] = str(error)
