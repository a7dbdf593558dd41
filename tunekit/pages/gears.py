"""Gears and chainline: how far each gear goes, and how straight the chain runs in it."""

import streamlit as st

from tunekit.bike import Bike
from tunekit.fit import chainlines
from tunekit.mechanics.from_bike import top_view
from tunekit.mechanics.gears import GearTable, gear_table
from tunekit.mechanics.top_view import TopView
from tunekit.pages import desk, front_cage, pictures
from tunekit.show.figures_metal import angle_figure, gear_chart, top_view_figure
from tunekit.show.words import gear_text, number_text, say


def figures(table: GearTable) -> None:
    """Every gear as one line of figures, so that nothing is told by a picture alone."""
    for step in table.steps:
        hub = say("gears.hub", step=number_text(step.hub_gear, 3)) if table.other_steps else ""
        lines_of(step, f"{say('gears.table')}{hub}")


def lines_of(table: GearTable, title: str) -> None:
    with st.expander(title):
        lines = [
            say(
                "gears.line",
                gear=gear_text(ring, cog),
                ratio=number_text(float(table.ratio[row, column])),
                inches=number_text(float(table.gear_inches[row, column]), 0),
                development=number_text(float(table.development_m[row, column])),
                gain=number_text(float(table.gain_ratio[row, column])),
                speed=number_text(float(table.speed_kmh[row, column]), 0),
            )
            for row, ring in enumerate(table.rings)
            for column, cog in enumerate(table.cogs)
        ]
        st.markdown("\n".join(f"- {line}" for line in lines))


def span(table: GearTable) -> str:
    every = [step.development_m for step in table.steps]
    low, high = min(float(d.min()) for d in every), max(float(d.max()) for d in every)
    percent = number_text(table.range_pct, 0)
    return say("gears.range", percent=percent, low=number_text(low), high=number_text(high))


def same(table: GearTable) -> None:
    if table.duplicates:
        pairs = [say("gears.pair", a=gear_text(*a), b=gear_text(*b)) for a, b in table.duplicates]
        st.write(say("gears.same", pairs="; ".join(pairs)))


def gears_of(bike: Bike) -> None:
    cadence = st.slider(say("gears.cadence"), 40, 130, 90, 5, key="cadence", persist_state="session")
    table = gear_table(
        bike.rings,
        bike.cogs,
        bike.wheel.circumference_mm,
        bike.crank.length_mm,
        float(cadence),
        bike.wheel.hub_gears,
    )
    pictures.show(gear_chart(table), "gear_chart", span(table))
    st.write(span(table))
    same(table)
    figures(table)


def line_of(bike: Bike) -> None:
    """How straight the chain runs: the two chainlines, the angle in every gear, one gear from above."""
    lines, view = chainlines(bike), top_view(bike)
    st.subheader(say("gears.line_title"), anchor=False)
    front, rear, apart = map(number_text, (lines.front_mm, lines.rear_mm, lines.difference_mm))
    st.write(say("gears.lines", front=front, rear=rear, apart=apart))
    pictures.show(angle_figure(view), "angles", say("gears.angle_alt", most=worst(view)))
    ring, cog = pictures.pick_gear(bike, "gears")
    angle = number_text(float(view.angle_deg[view.rings.index(ring), view.cogs.index(cog)]), 1)
    alt = say("gears.from_above", gear=gear_text(ring, cog), angle=angle)
    pictures.show(top_view_figure(view, ring, cog), "top_view", alt)
    st.caption(alt)
    if bike.front is not None:
        front_cage.show(bike, ring)


def worst(view: TopView) -> str:
    return number_text(float(abs(view.angle_deg).max()), 1)


found = desk.need()
st.title(say("gears.title"), anchor=False)
gears_of(found.session.bike)
line_of(found.session.bike)
desk.next_page("log")
desk.next_page("setup_walk", main=False)
