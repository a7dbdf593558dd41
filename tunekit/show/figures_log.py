"""Pictures of the log and of the advice: the gear map, the offset per cog, the causes."""

import plotly.graph_objects as go

from tunekit.bike import Bike
from tunekit.diagnosis.advice import Advice, Offset
from tunekit.session import Heard, Session
from tunekit.session.rides import last_ride
from tunekit.show import style
from tunekit.show.words import cause_label, label, say

SHOWN_CAUSES = 6
"""As many bars as a phone shows without scrolling."""
GearState = str
"""good, trouble or silent."""


def heard_by_gear(session: Session) -> dict[tuple[int | None, int | None], list[Heard]]:
    """What was heard since the last turn or part, gear by gear, in the order of the log."""
    found: dict[tuple[int | None, int | None], list[Heard]] = {}
    for entry in last_ride(session.log):
        found.setdefault((entry.ring, entry.cog), []).append(entry)
    return found


def gear_state(entries: list[Heard]) -> GearState:
    """A gear is in trouble while the last word at any moment is not "clean"."""
    last = {entry.moment: entry.what for entry in entries}
    if not last:
        return "silent"
    return "good" if set(last.values()) == {"clean"} else "trouble"


def _troubles(entries: list[Heard]) -> str:
    last = {entry.moment: entry.what for entry in entries}
    words = dict.fromkeys(label("heard", what) for what in last.values() if what != "clean")
    return "<br>".join(words) or label("heard", "clean")


def gear_map(session: Session) -> go.Figure:
    """Ring by cog: which gears are good, which are not, which were not ridden since the last turn."""
    bike, heard = session.bike, heard_by_gear(session)
    cogs = [str(cog) for cog in bike.cogs]
    fig = go.Figure()
    looks = {
        "good": (style.GOOD, style.GOOD_SYMBOL),
        "trouble": (style.BAD, style.BAD_SYMBOL),
        "silent": (style.MUTED, "circle-open"),
    }
    for state, (colour, symbol) in looks.items():
        places = [
            (ring, cog)
            for ring in bike.rings
            for cog in bike.cogs
            if gear_state(heard.get((ring, cog), [])) == state
        ]
        fig.add_scatter(
            x=[str(cog) for _, cog in places],
            y=[str(ring) for ring, _ in places],
            mode="markers",
            name=say(f"map.{state}"),
            marker={"color": colour, "symbol": symbol, "size": 18},
            hovertext=[_troubles(heard[place]) if place in heard else say("map.silent") for place in places],
            hoverinfo="x+y+text",
        )
    style.base_layout(fig, say("map.title"), height=190 + 56 * len(bike.rings))
    fig.update_xaxes(
        title_text=say("map.cog"), type="category", categoryorder="array", categoryarray=cogs, tickangle=0
    )
    fig.update_yaxes(
        title_text=say("map.ring"),
        type="category",
        categoryorder="array",
        categoryarray=[str(ring) for ring in bike.rings],
    )
    return fig


def _band(fig: go.Figure, offsets: list[Offset], name: str, line: dict[str, str], symbol: str) -> None:
    fig.add_scatter(
        x=[str(offset.cog) for offset in offsets],
        y=[offset.mm for offset in offsets],
        error_y={
            "type": "data",
            "symmetric": False,
            "array": [offset.high_mm - offset.mm for offset in offsets],
            "arrayminus": [offset.mm - offset.low_mm for offset in offsets],
            "thickness": 2,
            "width": 4,
        },
        mode="lines+markers",
        name=name,
        line={**line, "width": 2},
        marker={"symbol": symbol, "size": 9},
    )


def _after(fig: go.Figure, offsets: list[Offset], name: str, line: dict[str, str], symbol: str) -> None:
    fig.add_scatter(
        x=[str(offset.cog) for offset in offsets],
        y=[offset.after_mm for offset in offsets],
        mode="lines+markers",
        name=name,
        line={"color": line["color"], "dash": "dot", "width": 2},
        marker={"symbol": f"{symbol}-open", "size": 11},
    )


def offset_figure(advice: Advice, bike: Bike) -> go.Figure:
    """Where the guide pulley stands on each cog, with its 90 % band and the quiet window; dotted: after."""
    fig = go.Figure()
    fig.add_hrect(y0=-advice.quiet_mm, y1=advice.quiet_mm, fillcolor=style.BAND, line_width=0, layer="below")
    moves = any(offset.after_mm != offset.mm for offset in advice.offsets)
    for index, direction in enumerate(("to_larger_cog", "to_smaller_cog")):
        offsets = [offset for offset in advice.offsets if offset.direction == direction]
        if not offsets:
            continue
        line, symbol = style.ink(index), style.SYMBOLS[index]
        _band(fig, offsets, say(f"offset.{direction}"), line, symbol)
        if moves:
            _after(fig, offsets, say(f"offset.{direction}_after"), line, symbol)
    style.base_layout(fig, say("offset.title"), height=480)
    fig.update_xaxes(
        title_text=say("offset.cog"),
        type="category",
        categoryorder="array",
        categoryarray=[str(cog) for cog in bike.cogs],
        tickangle=0,
    )
    fig.update_yaxes(title_text=say("offset.axis"))
    return fig


def cause_bars(advice: Advice) -> go.Figure:
    """The likeliest causes as bars, each with its name and its chance written on it."""
    causes = [cause for cause in advice.causes if cause.probability >= 0.005][:SHOWN_CAUSES][::-1]
    fig = go.Figure()
    fig.add_bar(
        x=[100 * cause.probability for cause in causes],
        y=list(range(len(causes))),
        orientation="h",
        width=0.45,
        marker={"color": style.INKS[0]},
        hoverinfo="skip",
        cliponaxis=False,
    )
    for row, cause in enumerate(causes):
        fig.add_annotation(
            x=0,
            y=row + 0.42,
            text=say("causes.line", cause=cause_label(cause.name), chance=chance_text(cause.probability)),
            showarrow=False,
            xanchor="left",
            xshift=-2,
        )
    style.base_layout(fig, say("causes.title"), height=70 + 58 * max(len(causes), 1))
    fig.update_xaxes(visible=False, range=[0, 100])
    fig.update_yaxes(visible=False, range=[-0.4, max(len(causes), 1) - 0.3])
    return fig


def chance_text(probability: float) -> str:
    """A chance in per cent, never 0 or 100 where it is not certain."""
    if probability < 0.01:
        return say("causes.under")
    return say("causes.over") if probability > 0.99 else f"{100 * probability:.0f} %"
