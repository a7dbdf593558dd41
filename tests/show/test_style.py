"""The look: contrast by WCAG's formula, and type that can be read on a phone."""

import tomllib
from pathlib import Path

import plotly.graph_objects as go
import pytest

from tunekit.show import style

THEME = tomllib.loads((Path(__file__).parents[2] / ".streamlit/config.toml").read_text("utf-8"))["theme"]


def luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.2, definition)."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(first: str, second: str) -> float:
    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("colour", [*style.INKS, style.GOOD, style.WARN, style.BAD, style.MUTED, style.TEXT])
def test_every_colour_may_carry_text_on_white(colour: str) -> None:
    """WCAG 2.2, success criterion 1.4.3: 4.5 to 1."""
    assert contrast(colour, style.PAPER) >= 4.5


@pytest.mark.parametrize("name", ["textColor", "linkColor", "primaryColor", "grayTextColor", "redTextColor"])
def test_the_app_s_texts_have_contrast_of_seven_to_one(name: str) -> None:
    """WCAG 2.2, success criterion 1.4.6."""
    assert contrast(THEME[name], THEME["backgroundColor"]) >= 7


def test_the_edges_of_controls_have_contrast_of_three_to_one() -> None:
    """WCAG 2.2, success criterion 1.4.11."""
    assert contrast(THEME["borderColor"], THEME["backgroundColor"]) >= 3


def test_the_formula_gives_the_standard_s_own_extremes() -> None:
    """WCAG 2.2: black on white is 21 to 1, a colour on itself 1 to 1."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#777777") == pytest.approx(1)


def test_lines_differ_without_colour() -> None:
    assert len(set(style.DASHES)) == len(style.INKS)
    assert len(set(style.SYMBOLS)) == len(style.INKS)
    assert len({style.GOOD_SYMBOL, style.WARN_SYMBOL, style.BAD_SYMBOL}) == 3


def test_base_layout_is_large_and_keeps_its_height() -> None:
    fig = style.base_layout(go.Figure(), "A title", 400)
    assert fig.layout.height == 400
    assert fig.layout.font.size >= 14
    assert fig.layout.legend.font.size >= 14
    assert fig.layout.legend.orientation == "h"


def test_to_scale_makes_a_millimetre_the_same_both_ways() -> None:
    fig = style.to_scale(style.base_layout(go.Figure(), "A title"))
    assert fig.layout.yaxis.scaleanchor == "x"
    assert fig.layout.yaxis.scaleratio == 1
