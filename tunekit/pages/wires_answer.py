"""The plan's answer on the wires page: the drawing, what to order, how to pull, what to test."""

import streamlit as st

from tunekit.pages import wires_desk
from tunekit.pages.plain import plain
from tunekit.pages.wires_desk import say
from tunekit.runs import RunPlan, RunSheet, explain_dead, plan_to_text
from tunekit.show.runs_drawing import runs_svg, takeaway
from tunekit.show.runs_sheet import cable_drag, cable_lengths, provisos, runs_html, search_text, verdict
from tunekit.show.signal import SIGNAL


def answer(plan: RunPlan) -> None:
    """Everything the sheet says, the main thing first; without a sheet the sentence that says why."""
    st.subheader(say("page.result"))
    sheet, problem = wires_desk.answered(plan)
    if sheet is None:
        st.error(say("page.no_plan", problem=plain(problem)))
    else:
        st.success(f"**{plain(verdict(sheet))}** {plain(search_text(sheet))}")
        if provisos(sheet):
            st.warning(plain(" ".join(provisos(sheet))))
        st.image(runs_svg(plan, sheet), width="stretch", alt=takeaway(sheet))
        st.caption(say("page.drawing_note", takeaway=plain(takeaway(sheet))))
        parts(sheet)
        st.download_button(
            say("page.sheet"), runs_html(plan, sheet), file_name="run_sheet.html", mime="text/html",
            key="main_wires_sheet", type="primary", width="stretch", on_click="ignore",
        )  # fmt: skip
        details(plan, sheet)
    st.download_button(
        say("page.plan_file"), plan_to_text(plan), file_name="run_plan.json", mime="application/json",
        key="wires_save", width="stretch", on_click="ignore",
    )  # fmt: skip


def parts(sheet: RunSheet) -> None:
    st.markdown(f"**{say('page.parts')}**")
    rows = [
        say(
            "page.part_spare" if line.spare else "page.part_row",
            count=line.count,
            name=plain(line.name),
            spare=line.spare,
        )
        for line in sheet.parts
    ]
    st.markdown("\n".join(f"- {row}" for row in rows))


def details(plan: RunPlan, sheet: RunSheet) -> None:
    with st.expander(say("page.runs")):
        runs(plan, sheet)
    with st.expander(say("page.pulling")):
        for caution in sheet.cautions:
            st.markdown(f"**{SIGNAL[caution.signal]}** {plain(caution.text)}")
        pulling(sheet)
    with st.expander(say("page.labels")):
        st.markdown("\n".join(f"- {plain(tag.text)}" for tag in sheet.tags))
    with st.expander(say("page.tests")):
        st.markdown("\n".join(f"- {plain(test)}" for test in sheet.tests))
        st.markdown(f"**{say('page.tests_after')}**")
        st.markdown("\n".join(f"- {plain(test)}" for test in sheet.tests_after))
    if sheet.continuity:
        with st.expander(say("page.dead")):
            dead(sheet)


def runs(plan: RunPlan, sheet: RunSheet) -> None:
    for wire in sheet.wires:
        st.markdown(
            say("page.wire_row", label=plain(wire.label), start=plain(wire.start), end=plain(wire.end),
                need=wire.need_mm, length=f"{wire.length_mm:g}", stow=plain(wire.stow))
        )  # fmt: skip
    for junction in sheet.junctions:
        st.markdown(
            say("page.junction_row", label=plain(junction.label), ports=junction.ports,
                place=plain(plan.called(junction.at)), wires=plain(", ".join(junction.wires)))
        )  # fmt: skip
    for run in sheet.cables:
        for piece in run.pieces:
            st.markdown(
                say("page.piece_row", label=plain(piece.label), kind=plain(piece.kind),
                    start=plain(piece.start), end=plain(piece.end),
                    length=f"{piece.length_mm:.0f}", bend=f"{piece.bend_deg:.0f}")
            )  # fmt: skip
        st.markdown(f"{plain(cable_lengths(run))} {plain(cable_drag(run))} **{plain(run.verdict)}**")


def pulling(sheet: RunSheet) -> None:
    lines = []
    for number, step in enumerate(sheet.pulling, 1):
        lines.append(f"{number}. {plain(step.command)}")
        lines += [f"    - {plain(note)}" for note in step.notes]
    st.markdown("\n".join(lines))


def dead(sheet: RunSheet) -> None:
    names = [row.device for row in sheet.continuity]
    answering = (
        st.pills(
            say("page.dead_ask"), names, format_func=plain, selection_mode="multi", key="wires_answering"
        )
        or []
    )
    branches = explain_dead(sheet, set(answering) & set(names))
    for branch in branches:
        st.warning(plain(branch.why))
    if not branches:
        st.success(say("dead.all"))
