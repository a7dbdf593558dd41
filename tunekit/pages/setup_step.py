"""One step of the walk on one screen: warning, command, target, picture, answer."""

from functools import partial

import streamlit as st

from tunekit.data import phrase
from tunekit.pages import desk, front_cage, setup_answer
from tunekit.pages import setup_place as place
from tunekit.pages.scripts import TO_TOP
from tunekit.session import Session
from tunekit.setup import Caution, Correction, Step, Walk
from tunekit.setup.targets import target_text
from tunekit.show.figures_setup import step_picture
from tunekit.show.targets import span_text
from tunekit.show.words import until_text

say = partial(phrase, "setup")
PICTURE_PX = 460
"""Wide enough to read, and a phone shows it in its own width."""


def caution(found: Caution, *, whole: bool = True) -> None:
    """The warning, before the action it belongs to; one line where the walk has told of it. NOTICE has no triangle."""
    notice = found.signal == "NOTICE"
    signal = say("page.signal_notice" if notice else "page.signal", signal=found.signal)
    box = st.info if notice else st.warning
    rest = f" {found.consequence} {found.avoidance}" if whole else ""
    box(f"**{signal}** {found.hazard}{rest}")


def titles(walk: Walk, ids: tuple[str, ...]) -> str:
    """The titles of some steps, with commas."""
    return ", ".join(step.title for step in walk.steps if step.id in ids)


def target(step: Step) -> None:
    """The big number with its unit, its tolerance, and where it comes from."""
    found = step.target
    if found is not None and found.value is not None:
        with st.container(key="target_number"):
            big = span_text(found) if found.low is None else target_text(found)
            st.metric(say("page.target"), big)
        small = [] if found.low is None else [span_text(found)]
        st.caption(" · ".join(text for text in (*small, found.why) if text))
    elif found is not None and found.why:
        st.caption(found.why)
    if step.beside:
        st.caption(step.beside)
    if step.direction:
        st.caption(step.direction)


def picture(session: Session, step: Step) -> None:
    """What to turn and which way; on the rub steps, the cage of this bike as well."""
    drawn = step_picture(step, session.bike)
    st.image(drawn.svg, alt=drawn.alt, width=PICTURE_PX)
    if step.picture == "front_rub" and step.asks.ring is not None:
        front_cage.show(session.bike, step.asks.ring)


def details(step: Step) -> None:
    """Why, how, tools, order and source, for those who ask."""
    st.write(say("page.how", text=step.how))
    with st.expander(say("page.details")):
        st.write(say("page.why", text=step.why))
        if step.tools:
            st.write(say("page.tools", text=", ".join(step.tools)))
        if step.without:
            st.write(phrase("pages", "walk_text.without", do=step.without.do, unsure=step.without.unsure))
        if step.order_reason:
            st.write(say("page.order", text=step.order_reason))
        st.caption(say("page.source", source=step.source, status=step.status))


def ways(walk: Walk, step: Step) -> None:
    """Back, and on when the step is done."""
    number = walk.number(step.id)
    before = walk.steps[number - 2].id if number > 1 else None
    with st.container(horizontal=True, key="ways"):
        if before is None:
            st.button(say("page.back"), key="back", width="stretch", on_click=place.choose, args=(None,))
        else:
            st.button(say("page.back"), key="back", width="stretch", on_click=place.show, args=(before,))
        if step.state != "open":
            after = walk.steps[number].id if number < walk.total else None
            st.button(say("page.next"), key="next", width="stretch", on_click=place.show, args=(after,))


def origin() -> None:
    """The way back to the page that sent the mechanic here."""
    name = st.session_state.get(place.FROM)
    if name and st.button(
        say("page.return_to", page=phrase("pages", f"nav.{name}")), key="origin", width="stretch"
    ):
        st.session_state.pop(place.FROM)
        desk.go(name)


def heading(walk: Walk, step: Step) -> None:
    """Where in the walk this is."""
    number = walk.number(step.id)
    where = say("page.progress", number=number, total=walk.total)
    st.progress(walk.done / walk.total, text=f"{where} · {walk.title}")
    st.header(step.title, anchor=False)


def to_top(screen: str) -> None:
    """On a new screen the page begins at its top, so that the warning is read before the action.

    `screen` is a name of ours; when it changes the script runs again, its own text fixed, so that the guard
    knows it. The heading takes the focus, so that a screen reader begins there too.
    """
    st.html(f'<i data-screen="{screen}"></i><script>{TO_TOP}</script>', unsafe_allow_javascript=True)


def order(command: str) -> None:
    """The one command of the screen."""
    with st.container(border=True, key="order_command"):
        st.markdown(f"**{command}**")


def to_do(session: Session, walk: Walk, step: Step) -> None:
    """The step's command, its target and its answers."""
    order(step.command)
    target(step)
    setup_answer.verdict(walk, step)
    picture(session, step)
    if step.move is None or step.target is None:
        setup_answer.inputs(walk, step, len(session.log))
        return
    setup_answer.turned(walk, step, step.target)
    with st.expander(say("page.again_value")):
        setup_answer.inputs(walk, step, len(session.log))


def first_look(walk: Walk, step: Step) -> None:
    """The look at the low stop that a step toward the spokes begins with, alone on the screen."""
    order(phrase("pages", "advice.first", look=step.first))
    with st.container(horizontal=True, key="main_first"):
        for answer, value in (("yes", 1), ("no", 0)):
            st.button(
                say(f"page.{answer}"),
                key=f"main_first_{answer}",
                type="primary",
                width="stretch",
                on_click=desk.add,
                args=("measured",),
                kwargs={"what": step.first_what, "value": value},
            )
    st.write(phrase("pages", "advice.then", step=step.command))


def to_correct(session: Session, walk: Walk, step: Step, todo: Correction) -> None:
    """What to put right about the value in the log; measuring again stays one tap away."""
    setup_answer.verdict(walk, step)
    order(todo.says)
    if todo.until:
        st.write(until_text(todo.until))
    if todo.effect:
        st.write(todo.effect)
    picture(session, step)
    setup_answer.corrected(walk, step, todo)
    with st.expander(say("page.again_value")):
        st.write(step.command)
        target(step)
        setup_answer.inputs(walk, step, len(session.log))


def show(session: Session, walk: Walk, step: Step) -> None:
    """The step."""
    passed = place.just_said(walk)
    if passed is not None and passed.id != step.id and passed.verdict:
        st.success(f"{passed.title}: {passed.verdict.says}")
    heading(walk, step)
    if step.waits_for:
        st.info(say("page.waits", titles=titles(walk, step.waits_for)))
    if step.state == "not_sure":
        st.info(say("page.was_not_sure"))
    if step.caution:
        caution(step.caution, whole=step.caution_new)
    todo = step.verdict.correction if step.verdict else None
    if step.blocked and step.state != "done":
        order(step.command)
        setup_answer.leave(walk, step)
    elif step.first and step.state != "done":
        first_look(walk, step)
    elif todo is None:
        to_do(session, walk, step)
    else:
        to_correct(session, walk, step, todo)
    details(step)
    ways(walk, step)
    origin()
    to_top(f"{walk.name} {step.id} {todo is not None}")
