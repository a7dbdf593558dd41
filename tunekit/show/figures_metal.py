"""Pictures of what the metal does: side view, cage angle, top view, front cage and gears.

Every function takes results and returns a figure; nothing is worked out here. Colour never speaks alone: each
line has its own dash, each state its own symbol and word.
"""

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go

from tunekit.mechanics.front import Cage, Clearance, RingStop
from tunekit.mechanics.gears import GearTable
from tunekit.mechanics.outline import Outline
from tunekit.mechanics.side_view import Band, Paths
from tunekit.mechanics.top_view import DIRECTIONS, TopView
from tunekit.show import style

FLAGS = {
    "works": "works: not stretched, not slack",
    "stretched": "STRETCHED: chain too short",
    "slack": "SLACK: chain too long",
    "touching": "TOUCHES ITSELF: chain too long",
}
DIRECTION_WORDS = {"to_larger_cog": "from smaller cog", "to_smaller_cog": "from larger cog"}


def _note(
    fig: go.Figure, x: float, y: float, text: str, *, colour: str = style.TEXT, **anchor: object
) -> None:
    fig.add_annotation(
        x=x,
        y=y,
        text=text,
        showarrow=False,
        font={"size": style.TEXT_PX, "color": colour},
        bgcolor="rgba(255,255,255,0.8)",
        **anchor,
    )


def _circle(fig: go.Figure, x: float, y: float, radius: float) -> None:
    fig.add_shape(
        type="circle",
        x0=x - radius,
        x1=x + radius,
        y0=y - radius,
        y1=y + radius,
        line={"color": style.MUTED, "width": 1.5},
        fillcolor="rgba(90,99,112,0.10)",
        layer="below",
    )


def _swing(fig: go.Figure, drawn: Outline) -> None:
    """The tension pulley's way, and the cage at both ends of it."""
    fig.add_scatter(
        x=drawn.swing_mm[:, 0],
        y=drawn.swing_mm[:, 1],
        mode="lines",
        name="usable swing of the cage",
        line={"color": style.GOOD, "width": 2, "dash": "dot"},
        hoverinfo="skip",
    )
    words, symbols = ("furthest back", "furthest forward"), ("triangle-left", "triangle-right")
    for cage, word, symbol, angle in zip(drawn.extremes_mm, words, symbols, drawn.swing_deg, strict=True):
        fig.add_scatter(
            x=cage[:, 0],
            y=cage[:, 1],
            mode="lines+markers",
            showlegend=False,
            line={"color": style.GOOD, "width": 2, "dash": "dot"},
            marker={"color": style.GOOD, "size": [0, 11], "symbol": symbol},
            hovertemplate=f"{word}, {angle:.0f}°<extra></extra>",
        )


def side_view_figure(drawn: Outline, height: int = 400) -> go.Figure:
    """The chain in one gear, to scale, with the cage and both ends of its swing."""
    fig = go.Figure()
    for wheel in drawn.circles:
        _circle(fig, wheel.x_mm, wheel.y_mm, wheel.radius_mm)
        if wheel.name in ("ring", "cog"):
            _note(fig, wheel.x_mm, wheel.y_mm, str(wheel.teeth))
    _swing(fig, drawn)
    colour = style.TEXT if drawn.flag == "works" else style.BAD
    fig.add_scatter(
        x=drawn.chain_mm[:, 0],
        y=drawn.chain_mm[:, 1],
        mode="lines",
        name=f"chain, {drawn.links} links",
        line={"color": colour, "width": 3},
        hoverinfo="skip",
    )
    fig.add_scatter(
        x=drawn.cage_mm[:, 0],
        y=drawn.cage_mm[:, 1],
        mode="lines+markers",
        name="cage",
        line={"color": style.INKS[1], "width": 6},
        marker={"size": 9, "symbol": "circle"},
        text=["guide pulley", "tension pulley"],
        hovertemplate="%{text}<extra></extra>",
    )
    fig.add_scatter(
        x=[drawn.hanger_mm[0], drawn.pivot_mm[0]],
        y=[drawn.hanger_mm[1], drawn.pivot_mm[1]],
        mode="lines+markers",
        name="hanger bolt to cage pivot",
        line={"color": style.MUTED, "width": 2, "dash": "dash"},
        marker={"size": 8, "symbol": "square-open"},
        hoverinfo="skip",
    )
    lean = "forward" if drawn.cage_deg >= 0 else "back"
    title = f"{drawn.ring} x {drawn.cog}: cage {abs(drawn.cage_deg):.0f}° {lean}<br>{FLAGS[drawn.flag]}"
    style.to_scale(style.base_layout(fig, title, height))
    return fig.update_layout(legend={"y": -0.02})


def cage_angle_figure(paths: Paths, band: Band, rings: Sequence[int], cogs: Sequence[int]) -> go.Figure:
    """Cage angle over all gears for the first length of `paths`, with the band in which every ring works."""
    names, fig = [str(cog) for cog in cogs], go.Figure()
    back, front = band.shared_deg
    fig.add_scatter(
        x=[*names, *names[::-1]],
        y=np.concatenate([front, back[::-1]]),
        fill="toself",
        mode="lines",
        fillcolor=style.BAND,
        line={"color": style.GOOD, "width": 1},
        name="usable band",
        hoverinfo="skip",
    )
    for r, ring in enumerate(rings):
        works = paths.works[0, r, :, 0]
        fig.add_scatter(
            x=names,
            y=paths.cage_deg[0, r, :, 0],
            mode="lines+markers",
            name=f"ring {ring}",
            line={**style.ink(r), "width": 2.5},
            marker={
                "size": 11,
                "symbol": [style.SYMBOLS[r] if ok else style.BAD_SYMBOL for ok in works],
                "color": [style.INKS[r] if ok else style.BAD for ok in works],
            },
            hovertemplate="ring " + str(ring) + ", cog %{x}: %{y:.0f}°<extra></extra>",
        )
    if not paths.works[0, :, :, 0].all():
        fig.add_scatter(x=[None], y=[None], mode="markers", name="does not work",
                        marker={"symbol": style.BAD_SYMBOL, "size": 11, "color": style.BAD})  # fmt: skip
    style.base_layout(fig, f"Cage angle in every gear, {paths.links[0]} links<br>0° = straight down", 440)
    fig.update_xaxes(title_text="cog, teeth", type="category", tickangle=0)
    return fig.update_yaxes(title_text="forward of straight down, °", range=[-100, 130], dtick=30)


def _wheels_from_above(
    fig: go.Figure,
    teeth: Sequence[int],
    lines: np.ndarray,
    chosen: int,
    middle: float,
    half: float,
    *,
    label: str,
) -> None:
    """Rings or cogs as strokes along the bike; the chosen one thick, the end ones numbered."""
    for number, (count, line) in enumerate(zip(teeth, lines, strict=True)):
        picked = count == chosen
        fig.add_scatter(
            x=[middle - half, middle + half],
            y=[line, line],
            mode="lines",
            showlegend=False,
            line={"color": style.TEXT if picked else style.MUTED, "width": 5 if picked else 2},
            hovertemplate=f"{label} {count}: {line:.1f} mm from the middle<extra></extra>",
        )
        if picked or number in (0, len(teeth) - 1):
            left = label == "cog"
            _note(
                fig,
                middle - half if left else middle + half,
                float(line),
                f"<b>{count}</b>" if picked else str(count),
                xanchor="right" if left else "left",
                yanchor="middle",
                xshift=-2 if left else 2,
            )


def top_view_figure(view: TopView, ring: int, cog: int, across: int = 4, height: int = 420) -> go.Figure:
    """Rings, cogs, pulley and the chain of one gear from above, to scale; `across` widens it sideways."""
    r, c = view.rings.index(ring), view.cogs.index(cog)
    run, fig = float(view.run_mm[r, c]), go.Figure()
    _wheels_from_above(fig, view.cogs, view.cog_lines_mm, cog, 0.0, 20.0, label="cog")
    _wheels_from_above(fig, view.rings, view.ring_lines_mm, ring, run, 30.0, label="ring")
    fig.add_scatter(
        x=[0, run],
        y=[view.cog_lines_mm[c], view.ring_lines_mm[r]],
        mode="lines",
        name="chain",
        line={"color": style.INKS[0], "width": 4},
        hoverinfo="skip",
    )
    for row, direction in enumerate(DIRECTIONS):
        fig.add_scatter(
            x=[60 + 35 * row],
            y=[view.pulley_lines_mm[row, c]],
            mode="markers",
            name=f"guide pulley {DIRECTION_WORDS[direction]}, {view.offset_mm[row, c]:+.1f} mm",
            marker={
                "size": 12,
                "symbol": ("triangle-up", "triangle-down")[row],
                "color": style.INKS[1 + row],
                "line": {"color": style.PAPER, "width": 1},
            },
            hovertemplate=f"{view.offset_mm[row, c]:+.2f} mm, + = inboard of the cog<extra></extra>",
        )
    fig.add_hline(y=0, line={"color": style.MUTED, "dash": "dashdot", "width": 1.5})
    _note(fig, run / 2, 0, "middle of the frame", yanchor="top", yshift=-2)
    angle = float(view.angle_deg[r, c])
    side = "inboard" if angle >= 0 else "outboard"
    scale = "to scale" if across == 1 else f"width x {across}"
    title = f"{ring} x {cog} from above, {scale}<br>slant {abs(angle):.1f}°, {side} toward the cog"
    style.to_scale(style.base_layout(fig, title, height))
    fig.update_layout(legend={"y": -0.02})
    fig.update_xaxes(range=[-60, run + 75])
    return fig.update_yaxes(scaleratio=across, range=[72, -3])


def angle_figure(view: TopView) -> go.Figure:
    """The chain's slant in every gear."""
    fig, names = go.Figure(), [str(cog) for cog in view.cogs]
    for r, ring in enumerate(view.rings):
        fig.add_scatter(
            x=names,
            y=view.angle_deg[r],
            mode="lines+markers",
            name=f"ring {ring}",
            line={**style.ink(r), "width": 2.5},
            marker={"size": 10, "symbol": style.SYMBOLS[r], "color": style.INKS[r]},
            hovertemplate="ring " + str(ring) + ", cog %{x}: %{y:.1f}°<extra></extra>",
        )
    fig.add_hline(y=0, line={"color": style.MUTED, "width": 1.5})
    style.base_layout(fig, "Slant of the chain in every gear<br>+ = inboard toward the cog", 420)
    fig.update_xaxes(title_text="cog, teeth", type="category", tickangle=0)
    return fig.update_yaxes(title_text="slant, °")


def gear_chart(table: GearTable) -> go.Figure:
    """Development of every gear, one row per ring on a scale of equal steps."""
    fig, rows = go.Figure(), [f"ring {ring}" for ring in table.rings]
    doubled = {pair for pairs in table.duplicates for pair in pairs}
    for r, ring in enumerate(table.rings):
        twice = [(ring, cog) in doubled for cog in table.cogs]
        fig.add_scatter(
            x=table.development_m[r], y=[rows[r]] * len(table.cogs), mode="lines+markers",
            line={**style.ink(r), "width": 2}, showlegend=False,
            marker={"size": 13, "color": style.INKS[r],
                    "symbol": [f"{style.SYMBOLS[r]}-open" if both else style.SYMBOLS[r] for both in twice]},
            customdata=np.column_stack([table.cogs, table.gear_inches[r]]),
            hovertemplate=str(ring) + " x %{customdata[0]:.0f}: %{x:.2f} m, %{customdata[1]:.0f} gear inches"
            "<extra></extra>",
        )  # fmt: skip
        for place in (0, len(table.cogs) - 1):
            _note(fig, float(np.log10(table.development_m[r, place])), r, str(table.cogs[place]), yshift=20)
    if doubled:
        fig.add_scatter(x=[None], y=[None], mode="markers", name="hollow: also on another ring",
                        marker={"symbol": "circle-open", "size": 12, "color": style.TEXT})  # fmt: skip
    style.base_layout(
        fig, "How far one turn of the crank goes<br>smallest and largest cog marked", 200 + 75 * len(rows)
    )
    fig.update_xaxes(title_text="metres a turn", type="log", tickvals=[1, 1.5, 2, 3, 4, 5, 6, 8, 10, 12])
    return fig.update_yaxes(range=[-0.6, len(rows) - 0.3])


def front_cage_figure(
    stop: RingStop,
    cogs: Sequence[int],
    chain_mm: np.ndarray,
    clear: Clearance,
    cage: Cage,
    chain_width_mm: float,
    row: int,
) -> go.Figure:
    """One ring's gears in the front cage: where the chain passes, the plates, and which gears rub.

    `chain_mm` and `clear` are those of all rings, `row` the ring's place among them. Each bar is the way of
    the chain's middle along the plates.
    """
    fig, names = go.Figure(), [str(cog) for cog in cogs]
    inner, outer = clear.inner_mm[row], clear.outer_mm[row]
    states = ["rubs inner plate" if i < 0 else "rubs outer plate" if o < 0 else "clear"
              for i, o in zip(inner, outer, strict=True)]  # fmt: skip
    looks = {
        "clear": (style.GOOD, style.GOOD_SYMBOL),
        "rubs inner plate": (style.BAD, "triangle-left"),
        "rubs outer plate": (style.BAD, "triangle-right"),
    }
    for state, (colour, symbol) in looks.items():
        places = [c for c, found in enumerate(states) if found == state]
        fig.add_scatter(
            x=[x for c in places for x in (*chain_mm[row, c], None)],
            y=[y for c in places for y in (names[c], names[c], None)],
            mode="lines+markers", name=state, line={"color": colour, "width": 5},
            marker={"symbol": symbol, "size": 12, "color": colour},
            hovertemplate="cog %{y}: chain at %{x:.1f} mm<extra></extra>",
        )  # fmt: skip
    half, room = cage.width_mm / 2, (cage.width_mm - chain_width_mm) / 2
    for sign, word in ((-1, "inner plate"), (1, "outer plate")):
        fig.add_vline(x=stop.position_mm + sign * half, line={"color": style.TEXT, "width": 4})
        fig.add_vline(
            x=stop.position_mm + sign * room, line={"color": style.MUTED, "width": 1.5, "dash": "dot"}
        )
        _note(fig, stop.position_mm + sign * half, len(names) - 0.4, word, yanchor="bottom",
              xanchor="left" if sign < 0 else "right", xshift=-5 * sign)  # fmt: skip
    turned = "" if cage.angle_deg == 0 else f", turned {abs(cage.angle_deg):.1f}°"
    style.base_layout(
        fig,
        f"Ring {stop.ring} in the front cage{turned}<br>dotted: as far as the chain may go",
        260 + 26 * len(names),
    )
    fig.update_xaxes(
        title_text="mm from the frame's middle",
        range=[stop.position_mm - half - 1, stop.position_mm + half + 1],
    )
    return fig.update_yaxes(
        title_text="cog, teeth", type="category", categoryarray=names, range=[-0.6, len(names) + 0.5]
    )
