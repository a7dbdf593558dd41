"""The do-and-confirm list on one screen, and what the walk ends with."""

from functools import partial

import streamlit as st

from tunekit.data import phrase
from tunekit.pages import desk, setup_answer
from tunekit.pages import setup_place as place
from tunekit.pages.setup_step import caution, titles, to_top
from tunekit.setup import Step, Walk

say = partial(phrase, "setup")


def item(walk: Walk, step: Step) -> None:
    """One item: warning, what to do, yes or no."""
    with st.container(border=True, key=f"order_{step.id}"):
        if step.caution:
            caution(step.caution)
        st.markdown(f"**{step.command}**")
        answered = {1.0: "confirm_yes", 0.0: "confirm_no"}.get(step.value) if step.value is not None else None  # type: ignore[arg-type]
        mark = f" {say(f'page.{answered}')}" if answered else ""
        st.write(f"{step.asks.label}{mark}")
        if step.verdict and step.verdict.correction:
            st.error(step.verdict.correction.says)
        with st.container(horizontal=True, key=f"main_{step.id}"):
            for word in ("yes", "no"):
                st.button(
                    say(f"page.{word}"),
                    key=f"{word}_{step.id}",
                    type="primary" if answered == f"confirm_{word}" else "secondary",
                    width="stretch",
                    on_click=setup_answer.give,
                    args=(walk, step, word),
                )


def show(walk: Walk) -> None:
    """The whole list, critical first."""
    items = [step for step in walk.steps if step.confirm]
    answered = sum(step.state == "done" for step in items)
    st.caption(walk.title)
    st.progress(walk.done / walk.total, text=say("page.done_of", done=walk.done, total=walk.total))
    st.header(say("page.confirm_title"), anchor=False)
    st.write(say("page.confirm_help"))
    for step in items:
        item(walk, step)
    st.caption(say("page.done_of", done=answered, total=len(items)))
    before = [step.id for step in walk.steps if not step.confirm][-1]
    st.button(say("page.back"), key="back", width="stretch", on_click=place.show, args=(before,))
    to_top(f"{walk.name} last")


def finished(walk: Walk) -> None:
    """Nothing is open: what is left, and where to go."""
    st.caption(walk.title)
    st.progress(walk.done / walk.total, text=say("page.done_of", done=walk.done, total=walk.total))
    if walk.handed_over and not walk.left_open:
        st.success(say("page.finished"))
    elif not walk.handed_over:
        missing = tuple(step.id for step in walk.steps if step.confirm and step.state != "done")
        st.warning(say("page.finished_open", titles=titles(walk, missing)))
    if walk.left_open:
        st.info(say("page.left_open", titles=titles(walk, walk.left_open)))
        for id in walk.left_open:
            step = walk.step(id)
            if step:
                st.button(step.title, key=f"open_{id}", width="stretch", on_click=place.show, args=(id,))
    desk.next_page("sheet")
    desk.next_page("log", main=False)
