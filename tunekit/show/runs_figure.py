"""The frame to tap: every measured section with its length, every point with what sits there.

The places come from `runs_drawing`; tapped marks carry ["section", one, other] or ["point", name].
"""

import plotly.graph_objects as go

from tunekit.runs import RunPlan
from tunekit.show import style
from tunekit.show.runs_drawing import WIDTH, Spot, canvas

Chosen = tuple[str, ...]

MARK = (100.0, 62.0)
"""Width and height of a mark on a phone, in units of the drawing."""
LABEL_SHARES = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.82)


def frame_figure(plan: RunPlan, chosen: Chosen) -> go.Figure:
    """The frame with lengths at its sections; what is chosen is drawn larger and in another ink."""
    base = canvas(plan)
    # A schema: it fills whatever width there is, so that on a phone there is room between the marks.
    fig = style.base_layout(go.Figure(), "", height=400)
    fig.update_xaxes(visible=False)
    fig.update_yaxes(visible=False)
    fig.update_layout(showlegend=False, clickmode="event+select", hovermode="closest", hoverdistance=28)
    fig.update_layout(margin={"l": 0, "r": 0, "t": 0, "b": 0})
    fig.update_xaxes(range=[40, WIDTH - 30])
    fig.update_yaxes(range=[base.height + 20, -20])
    for line in base.outline:
        _line(fig, line, style.GRID, 6)
    for section in plan.sections:
        _line(fig, tuple(base.spots[name] for name in section.between), "#aeb8c2", 9)
    _sections(fig, plan, base.spots, chosen)
    _points(fig, plan, base.spots, chosen)
    return fig


def _line(fig: go.Figure, spots: tuple[Spot, ...], ink: str, width: int) -> None:
    fig.add_scatter(
        x=[x for x, _ in spots],
        y=[y for _, y in spots],
        mode="lines",
        line={"color": ink, "width": width},
        hoverinfo="skip",
    )


def _label_spots(plan: RunPlan, spots: dict[str, Spot]) -> list[Spot]:
    """Near the middle of each section, moved along it where it would cover another length or a point."""
    taken = list(spots.values())
    found: list[Spot] = []
    for one, other in (section.between for section in plan.sections):
        (x1, y1), (x2, y2) = spots[one], spots[other]
        tries = [(x1 + share * (x2 - x1), y1 + share * (y2 - y1)) for share in LABEL_SHARES]
        best = max(tries, key=lambda spot: min(1.0, *(_apart(spot, other) for other in taken)))
        taken.append(best)
        found.append(best)
    return found


def _apart(one: Spot, other: Spot) -> float:
    """1 and more when two marks of a phone's drawing do not touch."""
    return max(abs(one[0] - other[0]) / MARK[0], abs(one[1] - other[1]) / MARK[1])


def _sections(fig: go.Figure, plan: RunPlan, spots: dict[str, Spot], chosen: Chosen) -> None:
    """A length at the middle of each section; ✓ once it is measured."""
    middles = _label_spots(plan, spots)
    keys = [("section", *section.between) for section in plan.sections]
    fig.add_scatter(
        x=[x for x, _ in middles],
        y=[y for _, y in middles],
        mode="markers+text",
        text=[f"<b>{s.mm:g}</b>{' ✓' if s.measured else ''}" for s in plan.sections],
        textposition="middle center",
        textfont={"size": 13, "color": ["#ffffff" if key == chosen else style.TEXT for key in keys]},
        marker={
            "symbol": "square",
            "size": 30,
            "color": [style.INKS[0] if key == chosen else "#ffffff" for key in keys],
            "line": {"color": style.INKS[0], "width": 1.5},
        },
        customdata=[list(key) for key in keys],
        hovertext=[f"{plan.called(a)} – {plan.called(b)}" for a, b in (s.between for s in plan.sections)],
        hoverinfo="text",
        selected={"marker": {"opacity": 1}},
        unselected={"marker": {"opacity": 1}, "textfont": {"color": style.TEXT}},
    )


def _points(fig: go.Figure, plan: RunPlan, spots: dict[str, Spot], chosen: Chosen) -> None:
    """Points: a square where a device sits, a ring where a junction may sit, else a dot."""
    devices, places = {device.at for device in plan.devices}, {place.at for place in plan.places}
    keys = [("point", point.name) for point in plan.points]
    symbols = [
        "square" if p.name in devices else "circle-open" if p.name in places else "circle"
        for p in plan.points
    ]
    fig.add_scatter(
        x=[spots[point.name][0] for point in plan.points],
        y=[spots[point.name][1] for point in plan.points],
        mode="markers",
        marker={
            "symbol": symbols,
            "size": [22 if key == chosen else 16 for key in keys],
            "color": [style.INKS[1] if key == chosen else style.TEXT for key in keys],
            "line": {"width": 4},
            "opacity": 1,
        },
        customdata=[list(key) for key in keys],
        hovertext=[point.called for point in plan.points],
        hoverinfo="text",
        selected={"marker": {"opacity": 1}},
        unselected={"marker": {"opacity": 1}},
    )
