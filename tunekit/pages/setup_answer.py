"""The field and the buttons under a step's command."""

from functools import partial

import streamlit as st

from tunekit.bike import SessionError
from tunekit.data import phrase
from tunekit.data.amounts import number_text
from tunekit.pages import desk
from tunekit.pages import setup_place as place
from tunekit.setup import Correction, Step, Target, Walk, answer, not_sure
from tunekit.setup.targets import value_text
from tunekit.show.words import label

say = partial(phrase, "setup")
CLOCK = ("12", "3", "6", "9")


def give(walk: Walk, step: Step, given: object) -> None:
    """Answer a step (a button's callback)."""
    try:
        place.write(walk, step, answer(step, given))
    except SessionError as error:
        place.refuse(error)


def give_typed(walk: Walk, step: Step, keys: tuple[str, ...]) -> None:
    """Answer a step with what was typed."""
    typed = tuple(st.session_state[key] for key in keys)
    give(walk, step, typed if len(typed) > 1 else typed[0])


def unsure(walk: Walk, step: Step) -> None:
    """Leave a step open for now (a button's callback)."""
    place.write(walk, step, not_sure(step))


def inputs(walk: Walk, step: Step, entries: int) -> None:
    """One field, or the buttons that answer, and "not sure"."""
    match step.asks.form:
        case "number" | "rim":
            typed(walk, step, entries)
        case "yes_no":
            buttons(walk, step, dict(step.asks.seen) or {"yes": say("page.yes"), "no": say("page.no")})
        case "done":
            buttons(walk, step, {"done": say("page.done")})
        case _:
            buttons(walk, step, {word: say(f"answers.{word}") for word in step.asks.answers})


def typed(walk: Walk, step: Step, entries: int) -> None:
    """One number, or the gauge's four; the key changes with the log, so that each entry starts empty."""
    asks = step.asks
    if asks.form == "rim":
        labels = {clock: say("page.reading", clock=clock) for clock in CLOCK}
    else:
        labels = {"": say("page.label_unit", label=asks.label, unit=asks.unit)}
    keys = tuple(f"value{clock}_{step.id}_{entries}" for clock in labels)
    whole = asks.step == 1 or asks.unit == "links"
    with st.form(f"form_{step.id}_{entries}", border=False):
        with st.container(key="rim_fields" if asks.form == "rim" else None):
            for key, words in zip(keys, labels.values(), strict=True):
                st.number_input(
                    words,
                    value=None,
                    step=1.0 if whole else asks.step,
                    format="%.0f" if whole else "%.3f" if asks.step == 0.125 else "%.2f",
                    key=key,
                )
        with st.container(horizontal=True, key="main_answers"):
            st.form_submit_button(
                say("page.enter"),
                key="main_enter",
                type="primary",
                width="stretch",
                on_click=give_typed,
                args=(walk, step, keys),
            )
            st.form_submit_button(
                say("page.not_sure"), key="main_not_sure", width="stretch", on_click=unsure, args=(walk, step)
            )


def leave(walk: Walk, step: Step) -> None:
    """The only way on from a step that must wait for something else."""
    st.button(say("page.leave"), key="main_leave", width="stretch", on_click=unsure, args=(walk, step))


def buttons(walk: Walk, step: Step, choices: dict[str, str]) -> None:
    """The answers side by side, then "not sure"."""
    st.markdown(f"**{step.asks.label}**")
    with st.container(horizontal=True, key="main_answers"):
        for word, text in choices.items():
            st.button(
                text,
                key=f"main_{word}",
                width="stretch",
                on_click=give,
                args=(walk, step, word),
            )
    st.button(say("page.not_sure"), key="not_sure", width="stretch", on_click=unsure, args=(walk, step))


def value_words(step: Step) -> str:
    """The value in the log as people say it."""
    value, asks = step.value, step.asks
    if isinstance(value, str):
        return label("heard", value)
    if isinstance(value, tuple):
        return ", ".join(f"{clock}: {number_text(at, 1)} mm" for clock, at in zip(CLOCK, value, strict=True))
    if asks.form == "yes_no":
        return dict(asks.seen).get("yes" if value else "no") or say("page.yes" if value else "page.no")
    if asks.form == "done" or value is None:
        return say("page.done")
    return value_text(value, asks.unit)


def stands(step: Step) -> str:
    """The value in the log, as a sentence."""
    return say("page.stands", value=value_words(step))


def verdict(walk: Walk, step: Step) -> None:
    """What the value in the log means: good, off, or doubtful."""
    found = step.verdict
    if found is None:
        return
    if found.name == "pass":
        st.success(f"{stands(step)}. {found.says}")
        return
    st.warning(found.says or f"{stands(step)}.")
    if found.name == "redo" and may_stand(step):
        keep(walk, step)


def may_stand(step: Step) -> bool:
    """Whether a doubtful value can be right all the same; two edges that cross never are."""
    return step.target is None or step.target.value is not None or isinstance(step.value, tuple)


def keep(walk: Walk, step: Step) -> None:
    """A questioned value that is right after all is entered once more."""
    asks = step.asks
    fields = {"kind": asks.kind, "what": asks.what, "ring": asks.ring, "cog": asks.cog, "value": step.value}
    st.button(
        say("page.right", value=value_words(step)),
        key="main_right",
        width="stretch",
        on_click=place.write,
        args=(walk, step, fields),
    )


def turned(walk: Walk, step: Step, target: Target) -> None:
    """The turn that the command names is done: the adjuster stands at the target."""
    with st.container(horizontal=True, key="main_correct"):
        st.button(
            say("page.turned"),
            key="main_turned",
            type="primary",
            width="stretch",
            on_click=give,
            args=(walk, step, target.value),
        )
        st.button(say("page.leave"), key="main_leave", width="stretch", on_click=unsure, args=(walk, step))


def corrected(walk: Walk, step: Step, todo: Correction) -> None:
    """The button that says that the correction is done, or the way to the diagnosis; and a way to move on."""
    with st.container(horizontal=True, key="main_correct"):
        if todo.kind is None:
            if st.button(say("page.diagnosis"), key="main_diagnosis", type="primary", width="stretch"):
                desk.go("log")
        else:
            st.button(
                say("page.turned" if todo.kind == "turned" else "page.mended"),
                key="main_corrected",
                type="primary",
                width="stretch",
                on_click=place.write,
                args=(walk, step, todo.fields()),
            )
        st.button(say("page.leave"), key="main_leave", width="stretch", on_click=unsure, args=(walk, step))
    st.caption(say("page.measure" if step.asks.form in ("number", "rim") else "page.look"))
