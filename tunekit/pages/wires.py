"""Wires: pick a frame, tap what differs on this one, and see what to order and how to pull it."""

from typing import get_args

import streamlit as st

from tunekit.pages import desk, wires_desk
from tunekit.pages.plain import plain
from tunekit.pages.wires_answer import answer
from tunekit.pages.wires_desk import say
from tunekit.pages.wires_tap import tap_drawing
from tunekit.runs import RunPlan, frame_label, starter_frames
from tunekit.runs.plan import DeviceKind
from tunekit.show.runs_tap import tap_frame

TAP = "wires_tap"


def frames() -> None:
    """Which frame, and what is to be fitted."""
    found = desk.kept()
    actuation = found.session.bike.rear.actuation if found else "electronic"
    st.session_state.setdefault("wires_frame", "road")
    st.session_state.setdefault("wires_fitted", actuation)
    st.pills(
        say("page.frame"), starter_frames(), format_func=frame_label, key="wires_frame", required=True,
        on_change=wires_desk.begin, persist_state="session",
    )  # fmt: skip
    st.segmented_control(
        say("page.fitted"), ("electronic", "cable"), format_func=lambda what: say(f"page.{what}"),
        required=True, key="wires_fitted", on_change=wires_desk.begin, persist_state="session",
    )  # fmt: skip


def tapped() -> None:
    """Callback of the drawing: what was tapped is remembered."""
    wires_desk.choose(tuple(st.session_state[TAP]["tapped"] or ()))


def row_text(plan: RunPlan, row: tuple[str, ...]) -> str:
    """A section or a point as the list shows it."""
    if row[0] == "section":
        section = plan.section(row[1], row[2])
        one, other = plan.called(row[1]), plan.called(row[2])
        mark = " ✓" if section and section.measured else ""
        return say(
            "page.section_row", one=one, other=other, mm=f"{section.mm:g}" if section else "", mark=mark
        )
    held = [device.name for device in plan.devices if device.at == row[1]]
    held += [say("page.junction_here")] if any(place.at == row[1] for place in plan.places) else []
    return say("page.point_row", point=plan.called(row[1]), what=", ".join(held) or say("page.nothing"))


def picked() -> None:
    wires_desk.choose(st.session_state["wires_pick"])


def pick_list(plan: RunPlan, now: tuple[str, ...]) -> None:
    """The same choice as on the drawing, for keyboards and screen readers."""
    rows: list[tuple[str, ...]] = [("section", *section.between) for section in plan.sections]
    rows += [("point", point.name) for point in plan.points]
    st.session_state["wires_pick"] = now or None
    st.selectbox(
        say("page.pick"), rows, key="wires_pick", format_func=lambda row: row_text(plan, row),
        on_change=picked, placeholder=say("page.pick_none"),
    )  # fmt: skip


def length_editor(plan: RunPlan, one: str, other: str) -> None:
    section = plan.section(one, other)
    if section is None:
        return
    key = f"wires_mm_{one}_{other}"
    st.session_state[key] = float(section.mm)
    ends = {"one": plain(plan.called(one)), "other": plain(plan.called(other))}
    st.number_input(
        say("page.length", **ends), step=5.0, format="%g", key=key,
        on_change=wires_desk.measure, args=(key, section.between),
    )  # fmt: skip
    st.caption(say("page.measured" if section.measured else "page.typical"))


def point_editor(plan: RunPlan, at: str) -> None:
    """What sits at a point: take it away, add to it, allow junctions."""
    st.markdown(f"**{say('page.point', point=plain(plan.called(at)))}**")
    with st.container(horizontal=True, key="wires_remove"):
        for device in plan.devices:
            if device.at == at:
                name = say("page.remove", name=plain(device.name))
                st.button(name, key=f"wires_remove_{device.name}", icon=":material/close:",
                          on_click=wires_desk.remove, args=(device.name,))  # fmt: skip
    st.markdown(say("page.add"))
    with st.container(horizontal=True, key="wires_add"):
        for kind in get_args(DeviceKind):
            st.button(say(f"device.{kind}"), key=f"wires_add_{kind}", icon=":material/add:",
                      on_click=wires_desk.add, args=(kind, at))  # fmt: skip
    key = f"wires_most_{at}"
    st.session_state[key] = next((place.most for place in plan.places if place.at == at), 0)
    st.segmented_control(
        say("page.junctions"), (0, 1, 2), key=key, on_change=wires_desk.allow, args=(key, at)
    )


def drawing(plan: RunPlan) -> None:
    """The frame to tap, and the editor of what was tapped."""
    now = wires_desk.chosen(plan)
    st.write(say("page.tap"))
    tap_drawing(tap_frame(plan, now), say("page.alt"), TAP, tapped)
    pick_list(plan, now)
    if now and now[0] == "section":
        length_editor(plan, now[1], now[2])
    elif now:
        point_editor(plan, now[1])
    st.button(say("page.undo"), key="wires_undo", icon=":material/undo:", on_click=wires_desk.undo,
              disabled=not st.session_state.get(wires_desk.PAST))  # fmt: skip


def stock(plan: RunPlan) -> None:
    """The user's own list of what can be bought."""
    with st.expander(say("page.stock")):
        st.caption(say("page.stock_help"))
        st.session_state["wires_lengths"] = ", ".join(f"{mm:g}" for mm in plan.stock.wires_mm)
        st.session_state["wires_ports"] = ", ".join(map(str, plan.stock.junction_ports))
        st.text_input(say("page.stock_wires"), key="wires_lengths", on_change=wires_desk.buy)
        st.text_input(say("page.stock_junctions"), key="wires_ports", on_change=wires_desk.buy)


def own_file() -> None:
    with st.expander(say("page.open_plan")):
        upload = st.file_uploader(say("page.open_label"), type=["toml", "json"], key="wires_upload")
        if upload is not None:
            st.button(
                say("page.open_go"),
                key="wires_open",
                on_click=wires_desk.open_file,
                args=(upload.getvalue(),),
            )


st.title(say("page.title"))
st.write(say("page.intro"))
frames()
current = wires_desk.plan()
problem = st.session_state.pop(wires_desk.PROBLEM, None)
if problem:
    st.error(say("page.no_plan", problem=plain(problem)))
drawing(current)
answer(current)
stock(current)
own_file()
