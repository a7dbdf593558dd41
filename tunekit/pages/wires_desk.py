"""The run plan on the desk: kept as text in the session state, changed by one step at a time, each
undoable."""

from collections.abc import Callable
from functools import partial

import streamlit as st

from tunekit.bike import PlanError
from tunekit.data import phrase
from tunekit.runs import RunPlan, RunSheet, plan_from_text, plan_runs, plan_to_text, starter_plan
from tunekit.runs.edit import with_device, with_junctions, with_length, with_stock, without_device
from tunekit.runs.plan import DeviceKind

PLAN, PAST, PROBLEM, CHOSEN = "wires_plan", "wires_past", "wires_problem", "wires_chosen"
STEPS_KEPT = 50

say = partial(phrase, "runs")


def plan() -> RunPlan:
    """The plan on the desk; a road frame to begin with."""
    if PLAN not in st.session_state:
        st.session_state[PLAN] = plan_to_text(
            starter_plan("road", st.session_state.get("wires_fitted", "electronic"))
        )
    return RunPlan.model_validate_json(st.session_state[PLAN])


def lay(new: RunPlan) -> None:
    """Lay a plan on the desk; the one before can be had back."""
    past = st.session_state.get(PAST, [])
    if PLAN in st.session_state:
        st.session_state[PAST] = [*past, st.session_state[PLAN]][-STEPS_KEPT:]
    st.session_state[PLAN] = plan_to_text(new)


def undo() -> None:
    """The plan before the last change."""
    *st.session_state[PAST], st.session_state[PLAN] = st.session_state[PAST]
    _show_choices(plan())


def _show_choices(at: RunPlan) -> None:
    """Let the two choices on top say what the plan is."""
    if at.starter:
        st.session_state["wires_frame"] = at.starter
    st.session_state["wires_fitted"] = "electronic" if at.devices else "cable"


def answered(at: RunPlan) -> tuple[RunSheet | None, str]:
    """The sheet, or the sentence that says why there is none."""
    try:
        return plan_runs(at), ""
    except PlanError as error:
        return None, str(error)


def _try(change: Callable[[], RunPlan]) -> None:
    """Make a change; a problem is shown on the next run and the plan stays."""
    try:
        lay(change())
    except PlanError as error:
        st.session_state[PROBLEM] = str(error)


def begin() -> None:
    """Another frame, or wires in place of cables (a callback of both choices)."""
    frame, fitted = st.session_state["wires_frame"], st.session_state["wires_fitted"]
    if frame and fitted:
        st.session_state.pop(CHOSEN, None)
        _try(lambda: starter_plan(frame, fitted))


def measure(key: str, between: tuple[str, str]) -> None:
    _try(lambda: with_length(plan(), between, float(st.session_state[key])))


def add(kind: DeviceKind, at: str) -> None:
    _try(lambda: with_device(plan(), kind, at))


def remove(name: str) -> None:
    _try(lambda: without_device(plan(), name))


def allow(key: str, at: str) -> None:
    _try(lambda: with_junctions(plan(), at, int(st.session_state[key] or 0)))


def buy() -> None:
    _try(lambda: with_stock(plan(), st.session_state["wires_lengths"], st.session_state["wires_ports"]))


def open_file(content: bytes) -> None:
    _try(lambda: plan_from_text(content))
    st.session_state.pop(CHOSEN, None)
    _show_choices(plan())


def choose(found: tuple[str, ...] | None) -> None:
    """Remember what was tapped; a tap beside everything changes nothing."""
    if found:
        st.session_state[CHOSEN] = list(found)


def chosen(at: RunPlan) -> tuple[str, ...]:
    """What was tapped last, if the plan has it."""
    kind, *names = st.session_state.get(CHOSEN) or [""]
    known = {point.name for point in at.points}
    fits = set(names) <= known and (kind == "point" or (kind == "section" and at.section(*names) is not None))
    return (kind, *names) if fits and kind else ()
