"""Pictures of the log and of the advice: the gear map, the offset per cog, the causes."""

import plotly.graph_objects as go

from tunekit.bike import Bike
from tunekit.diagnosis.advice import Advice, Offset
from tunekit.known import barred
from tunekit.session import Heard, Session
from tunekit.session.rides import last_ride
from tunekit.show import style
from tunekit.show.words import cause_label, chance_text, label, say

SHOWN_CAUSES = 6
"""As many bars as a phone shows without scrolling."""
GearState = str
"""good, trouble, silent, or barred: one that the chain or the cage cannot take."""


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


def gear_states(session: Session) -> dict[tuple[int, int], GearState]:
    """The state of every gear of the bike: what was heard of it since the last turn, and what bars it."""
    heard, closed = heard_by_gear(session), barred(session)
    gears = [(ring, cog) for ring in session.bike.rings for cog in session.bike.cogs]
    return {gear: "barred" if gear in closed else gear_state(heard.get(gear, [])) for gear in gears}


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
        "barred": (style.BAD, "x-thin-open"),
    }
    states = gear_states(session)
    for state, (colour, symbol) in looks.items():
        places = [gear for gear, found in states.items() if found == state]
        if state == "barred" and not places:
            continue
        fig.add_scatter(
            x=[str(cog) for _, cog in places],
            y=[str(ring) for ring, _ in places],
            mode="markers",
            name=say(f"map.{state}"),
            marker={"color": colour, "symbol": symbol, "size": 18},
            hovertext=[
                _troubles(heard[place]) if place in heard and state != "barred" else say(f"map.{state}")
                for place in places
            ],
            hoverinfo="x+y+text",
        )
    style.base_layout(fig, say("map.title"), height=190 + 56 * len(bike.rings))
    fig.update_xaxes(
        title_text=say("map.cog"), type="category", categoryorder="array", categoryarray=cogs, tickangle=0
    )
    fig.update_xaxes(tickfont_size=_tick_px(len(cogs)))
    fig.update_yaxes(
        title_text=say("map.ring"),
        type="category",
        categoryorder="array",
        categoryarray=[str(ring) for ring in bike.rings],
    )
    return fig


_ASIDE = {"to_larger_cog": -0.14, "to_smaller_cog": 0.14}
"""The two directions stand a little beside each other, so that their bands can be told apart."""


def _line(fig: go.Figure, offsets: list[Offset], bike: Bike, index: int, after: bool) -> None:
    """One direction, now with its band, or afterwards dotted and without."""
    direction = offsets[0].direction
    ink, symbol = style.ink(index), style.SYMBOLS[index]
    fig.add_scatter(
        x=[bike.cogs.index(offset.cog) + _ASIDE[direction] for offset in offsets],
        y=[offset.after_mm if after else offset.mm for offset in offsets],
        error_y=None if after else _band(offsets),
        mode="lines+markers",
        name=say(f"offset.{direction}_after" if after else f"offset.{direction}"),
        line={"color": ink["color"], "dash": "dot" if after else ink["dash"], "width": 2},
        marker={"symbol": f"{symbol}-open" if after else symbol, "size": 10},
        hovertemplate="%{y:.2f} mm",
    )


def _band(offsets: list[Offset]) -> dict[str, object]:
    return {
        "type": "data",
        "symmetric": False,
        "array": [max(offset.high_mm - offset.mm, 0) for offset in offsets],
        "arrayminus": [max(offset.mm - offset.low_mm, 0) for offset in offsets],
        "thickness": 2,
        "width": 3,
    }


def offsets_tell(advice: Advice) -> bool:
    """Whether the picture says anything: the pulley moves, or may stand outside the quiet window."""
    return any(
        offset.after_mm != offset.mm or max(-offset.low_mm, offset.high_mm) > advice.quiet_mm
        for offset in advice.offsets
    )


def offset_figure(advice: Advice, bike: Bike) -> go.Figure:
    """Where the guide pulley stands on each cog, with its 90 % band and the quiet window; dotted: after."""
    fig = go.Figure()
    fig.add_hrect(y0=-advice.quiet_mm, y1=advice.quiet_mm, fillcolor=style.BAND, line_width=0, layer="below")
    moves = any(offset.after_mm != offset.mm for offset in advice.offsets)
    for index, direction in enumerate(_ASIDE):
        offsets = [offset for offset in advice.offsets if offset.direction == direction]
        for after in (False, True) if moves and offsets else (False,) * bool(offsets):
            _line(fig, offsets, bike, index, after)
    style.base_layout(fig, say("offset.title"), height=500)
    fig.update_xaxes(
        title_text=say("offset.cog"),
        tickvals=list(range(len(bike.cogs))),
        ticktext=[str(cog) for cog in bike.cogs],
        tickangle=0,
        tickfont_size=_tick_px(len(bike.cogs)),
    )
    fig.update_yaxes(title_text=say("offset.axis"))
    fig.update_layout(legend_y=-0.28)
    return fig


def _tick_px(cogs: int) -> int:
    """Cog numbers that do not run into each other on a phone."""
    return style.TEXT_PX if cogs <= 9 else 12


def cause_bars(advice: Advice) -> go.Figure:
    """The likeliest causes as bars, each with its name and its chance written on it."""
    causes = [cause for cause in advice.causes if cause.probability >= 0.01][:SHOWN_CAUSES][::-1]
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
