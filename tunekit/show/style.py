"""One look for every figure: large type, legends below, dark lines on white that stand apart without colour.

The palette is ours. Every colour has at least 4.5:1 contrast on white, so it may carry text (held by
tests/show/test_style.py), and neighbours differ in lightness as well as hue; still, nothing is told by colour
alone: pair `INKS[i]` with `DASHES[i]` and `SYMBOLS[i]`.
"""

import plotly.graph_objects as go

FONT = "'Source Sans', system-ui, -apple-system, 'Segoe UI', Roboto, 'Noto Sans', sans-serif"
TEXT_PX = 15
TITLE_PX = 18
PAPER = "#ffffff"
TEXT = "#1b1f24"
GRID = "#d5dae0"
MUTED = "#5a6370"
"""Helping lines and text of less weight."""
INKS = ("#0b4f9e", "#b0400a", "#00695c", "#7a2d8f", "#6b5200", "#33404f")
DASHES = ("solid", "dash", "dot", "dashdot", "longdash", "longdashdot")
SYMBOLS = ("circle", "square", "diamond", "triangle-up", "x", "cross")
GOOD, WARN, BAD = "#00695c", "#8a5a00", "#b3261e"
"""A gear that works, one to mind, one that does not; always with a word or a symbol beside it."""
GOOD_SYMBOL, WARN_SYMBOL, BAD_SYMBOL = "circle", "triangle-up", "x"
BAND = "rgba(0, 105, 92, 0.13)"
"""Fill of a range that is all right."""


def ink(index: int) -> dict[str, str]:
    """Colour and dash of the line number `index`, as Plotly's `line`."""
    return {"color": INKS[index % len(INKS)], "dash": DASHES[index % len(DASHES)]}


def base_layout(fig: go.Figure, title: str, height: int = 420) -> go.Figure:
    """Give `fig` the house's fonts, margins and legend, and return it.

    The title wraps by hand with <br>; `height` is in px and fixed, so that a page does not jump.
    """
    fig.update_layout(
        title={
            "text": title,
            "font": {"size": TITLE_PX},
            "x": 0,
            "xref": "container",
            "xanchor": "left",
            "pad": {"l": 12},
        },
        height=height,
        font={"family": FONT, "size": TEXT_PX, "color": TEXT},
        paper_bgcolor=PAPER,
        plot_bgcolor=PAPER,
        margin={"l": 8, "r": 12, "t": 24 + 24 * (1 + title.count("<br>")), "b": 8},
        legend={"orientation": "h", "yanchor": "top", "y": -0.2, "x": 0, "font": {"size": TEXT_PX}},
        hoverlabel={"font": {"size": TEXT_PX}},
        dragmode=False,
    )
    axis = {
        "gridcolor": GRID,
        "linecolor": MUTED,
        "zeroline": False,
        "automargin": True,
        "fixedrange": True,
        "title": {"font": {"size": TEXT_PX}, "standoff": 8},
        "tickfont": {"size": TEXT_PX},
    }
    fig.update_xaxes(**axis)
    fig.update_yaxes(**axis)
    return fig


def to_scale(fig: go.Figure) -> go.Figure:
    """One millimetre as long on one axis as on the other, and no axes drawn."""
    fig.update_xaxes(visible=False)
    fig.update_yaxes(visible=False, scaleanchor="x", scaleratio=1)
    return fig
