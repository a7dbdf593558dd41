"""Pictures of the metal: they show what they are given, in type and marks that a phone can show."""

import numpy as np
import plotly.graph_objects as go
import pytest

from tunekit.bike.starters import starter
from tunekit.mechanics.from_bike import chain_width_mm, front_view, side_view, top_view
from tunekit.mechanics.front import best_stops, clearance
from tunekit.mechanics.gears import gear_table
from tunekit.mechanics.outline import outline
from tunekit.mechanics.side_view import solve_paths, swing_band
from tunekit.show import figures_metal as figures
from tunekit.show import style

BIKE = starter("road-double-11")
VIEW = side_view(BIKE)


def front_figure(angle_deg: float = 0.0) -> go.Figure:
    cage, lines = front_view(BIKE, angle_deg)
    width = chain_width_mm(BIKE)
    stops = best_stops(BIKE.rings, BIKE.cogs, lines, cage, width)
    clear = clearance(lines, cage, [stop.position_mm for stop in stops], width)
    return figures.front_cage_figure(stops[1], BIKE.cogs, lines, clear, cage, width, 1)


def every_figure() -> dict[str, go.Figure]:
    return {
        "side": figures.side_view_figure(outline(VIEW, 50, 28, 106)),
        "cage": figures.cage_angle_figure(solve_paths(VIEW, 106), swing_band(VIEW), BIKE.rings, BIKE.cogs),
        "top": figures.top_view_figure(top_view(BIKE, index_mm=0.3, drag_mm=0.1), 50, 28),
        "slant": figures.angle_figure(top_view(BIKE)),
        "gears": figures.gear_chart(gear_table(BIKE.rings, BIKE.cogs, 2105)),
        "front": front_figure(),
    }


FIGURES = every_figure()


@pytest.mark.parametrize("name", FIGURES)
def test_every_text_is_large_enough_for_a_phone(name: str) -> None:
    layout = FIGURES[name].layout
    sizes = [layout.font.size, layout.title.font.size, layout.legend.font.size]
    sizes += [note.font.size for note in layout.annotations]
    assert min(sizes) >= 14


@pytest.mark.parametrize("name", FIGURES)
def test_every_title_line_fits_360_px(name: str) -> None:
    """At 18 px a line of 37 characters ran into the edge of 360 px (seen in Chromium)."""
    assert max(len(line) for line in FIGURES[name].layout.title.text.split("<br>")) <= 35


@pytest.mark.parametrize("name", FIGURES)
def test_a_figure_becomes_json_without_nan(name: str) -> None:
    assert "NaN" not in FIGURES[name].to_json()


@pytest.mark.parametrize("name", ["cage", "slant", "gears"])
def test_rings_differ_by_symbol_and_dash_not_only_by_colour(name: str) -> None:
    lines = [t for t in FIGURES[name].data if t.mode == "lines+markers" and t.fill is None]
    assert len({line.line.dash for line in lines}) == len(lines) == 2


def test_side_view_shows_the_outline_it_was_given_to_scale() -> None:
    drawn = outline(VIEW, 50, 28, 106)
    fig = figures.side_view_figure(drawn)
    chain = next(trace for trace in fig.data if trace.name == "chain, 106 links")
    assert np.array_equal(np.column_stack([chain.x, chain.y]), drawn.chain_mm)
    assert fig.layout.yaxis.scaleratio == 1
    assert len(fig.layout.shapes) == 4


@pytest.mark.parametrize(
    ("links", "gear", "word"),
    [(102, (50, 28), "STRETCHED"), (112, (34, 11), "SLACK"), (106, (50, 28), "works")],
)
def test_side_view_says_in_words_what_is_wrong(links: int, gear: tuple[int, int], word: str) -> None:
    assert word in figures.side_view_figure(outline(VIEW, *gear, links)).layout.title.text


def test_gears_that_do_not_work_are_crossed_and_named() -> None:
    fig = figures.cage_angle_figure(solve_paths(VIEW, 112), swing_band(VIEW), BIKE.rings, BIKE.cogs)
    symbols = [symbol for trace in fig.data[1:3] for symbol in trace.marker.symbol]
    works = solve_paths(VIEW, 112).works[0, :, :, 0].ravel()
    assert [symbol == style.BAD_SYMBOL for symbol in symbols] == [not ok for ok in works]
    assert "does not work" in [trace.name for trace in fig.data]


def test_top_view_places_the_pulley_where_the_offsets_say() -> None:
    view = top_view(BIKE, index_mm=0.3, drag_mm=0.1)
    fig = figures.top_view_figure(view, 50, 28, across=1)
    pulleys = [trace for trace in fig.data if trace.name and trace.name.startswith("guide pulley")]
    assert [trace.y[0] for trace in pulleys] == list(view.pulley_lines_mm[:, -1])
    assert "to scale" in fig.layout.title.text
    assert fig.layout.yaxis.scaleratio == 1


def test_front_chart_tells_the_plate_by_word_and_arrow() -> None:
    fig = front_figure()
    rubbing = next(trace for trace in fig.data if trace.name == "rubs outer plate")
    assert rubbing.marker.symbol == "triangle-right"
    assert {y for y in rubbing.y if y} <= {str(cog) for cog in BIKE.cogs}
    assert "turned 1.5°" in front_figure(1.5).layout.title.text
