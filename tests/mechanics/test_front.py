"""The front cage in every gear."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tunekit.bike import TunekitError
from tunekit.bike.starters import starter
from tunekit.mechanics.chainline import cog_lines_mm, ring_lines_mm
from tunekit.mechanics.from_bike import chain_width_mm, front_view
from tunekit.mechanics.front import Cage, best_stops, chain_lines_mm, clearance, set_by_gap_mm, stop_screws_mm

RINGS, COGS = (34, 50), (11, 12, 13, 14, 15, 17, 19, 21, 23, 25)
RING_LINES = ring_lines_mm(43.5, 7.5, 2)
COG_LINES = cog_lines_mm(130, 3.0, 1.6, 3.95, 10)
WIDTH = 5.9


def chain(cage: Cage) -> np.ndarray:
    return chain_lines_mm(RING_LINES, COG_LINES, 405.0, cage.ends_mm)


def test_the_chain_is_on_the_ring_at_the_ring_and_on_the_cog_at_the_cog() -> None:
    ends = chain_lines_mm(RING_LINES, COG_LINES, 405.0, [0.0, 405.0])
    assert ends[:, :, 0] == pytest.approx(np.tile(RING_LINES[:, None], (1, 10)))
    assert ends[:, :, 1] == pytest.approx(np.tile(COG_LINES, (2, 1)))


@given(position=st.floats(35, 55), angle=st.floats(-3, 3), width=st.floats(8, 16))
def test_air_on_both_sides_and_the_chain_fill_the_cage_where_the_chain_runs_straight(
    position: float, angle: float, width: float
) -> None:
    cage = Cage(width_mm=width, angle_deg=angle)
    straight = np.full((1, 1, 2), 45.0) + cage.skew_mm
    found = clearance(straight, cage, [position], WIDTH)
    assert float(found.inner_mm[0, 0] + found.outer_mm[0, 0]) == pytest.approx(width - WIDTH)


@given(angle=st.floats(-2, 2), width=st.floats(9, 15), air=st.floats(0, 1))
@settings(max_examples=60)
def test_gears_called_clear_have_the_air_asked_for(angle: float, width: float, air: float) -> None:
    cage = Cage(width_mm=width, angle_deg=angle)
    lines = chain(cage)
    for row, stop in enumerate(best_stops(RINGS, COGS, lines, cage, WIDTH, air)):
        for place, cogs in ((stop.position_mm, stop.clear), (stop.trim_mm, stop.trim_clear)):
            if place is None:
                continue
            found = clearance(lines, cage, [place, place], WIDTH)
            for cog in cogs:
                where = (row, COGS.index(cog))
                assert min(found.inner_mm[where], found.outer_mm[where]) >= air - 1e-9
        assert set(stop.clear) | set(stop.trim_clear) | set(stop.rubs) == set(COGS)
        assert set(stop.too_slanted) <= set(stop.rubs)


@given(angle=st.floats(-2, 2), width=st.floats(9, 13))
@settings(max_examples=30)
def test_no_position_clears_more_gears(angle: float, width: float) -> None:
    """Brute force: walk the cage across in twentieths of a millimetre and count."""
    cage = Cage(width_mm=width, angle_deg=angle)
    lines = chain(cage)
    stops = best_stops(RINGS, COGS, lines, cage, WIDTH)
    for row, stop in enumerate(stops):
        counts = []
        for place in np.arange(30, 60, 0.05):
            found = clearance(lines, cage, [place, place], WIDTH)
            counts.append(int(((found.inner_mm >= 0.5) & (found.outer_mm >= 0.5))[row].sum()))
        assert max(counts) <= len(stop.clear)


def test_straying_past_the_range_rubs_a_gear_that_was_clear() -> None:
    cage = Cage(width_mm=12)
    lines = chain(cage)
    for row, stop in enumerate(best_stops(RINGS, COGS, lines, cage, WIDTH)):
        clear = [COGS.index(cog) for cog in stop.clear]
        for place in (stop.low_mm - 0.01, stop.high_mm + 0.01):
            found = clearance(lines, cage, [place, place], WIDTH)
            assert np.minimum(found.inner_mm, found.outer_mm)[row, clear].min() < 0.5


def test_the_crossed_gears_rub_on_the_side_they_slant_to() -> None:
    """Small ring and smallest cog lean on the outer plate, big ring and largest cog on the inner one."""
    cage = Cage(width_mm=10)
    found = clearance(chain(cage), cage, RING_LINES, WIDTH)
    assert found.rubs_outer[0, 0]
    assert not found.rubs_inner[0, 0]
    assert found.rubs_inner[1, -1]
    assert not found.rubs_outer[1, -1]


def test_a_cage_narrower_than_the_slant_says_which_gears_it_can_never_clear() -> None:
    cage = Cage(width_mm=8)
    small, large = best_stops(RINGS, COGS, chain(cage), cage, WIDTH)
    assert COGS[0] in small.too_slanted
    assert COGS[-1] in large.too_slanted
    none = Cage(width_mm=6)
    assert all(stop.clear == () for stop in best_stops(RINGS, COGS, chain(none), none, WIDTH))


def test_the_two_screws_must_let_the_cage_reach_every_position() -> None:
    cage, lines = front_view(starter("touring-triple-9"))
    bike = starter("touring-triple-9")
    stops = best_stops(bike.rings, bike.cogs, lines, cage, chain_width_mm(bike))
    inner, outer = stop_screws_mm(stops)
    assert inner == min(stops[0].position_mm, stops[0].trim_mm or np.inf)
    assert inner < outer
    assert len(stops) == 3


def test_a_bike_without_a_front_derailleur_says_so() -> None:
    with pytest.raises(TunekitError, match="front must be given"):
        front_view(starter("gravel-single"))


@pytest.mark.parametrize(
    ("fields", "text"),
    [
        ({"width_mm": 2}, "cage_width_mm must be from 4 to 40 mm (got 2)"),
        ({"width_mm": 12, "angle_deg": 45}, "front_angle_deg must be from -20 to 20 deg (got 45)"),
        ({"width_mm": float("nan")}, "cage_width_mm must be a number"),
        ({"width_mm": 12, "front_mm": 80.0}, "tail_mm less front_mm must be from 5 to 200 mm"),
    ],
)
def test_an_impossible_cage_is_refused(fields: dict[str, float], text: str) -> None:
    with pytest.raises(TunekitError) as raised:
        Cage(**fields)
    assert text in str(raised.value)


@given(angle=st.floats(-2, 2), width=st.floats(9, 15), gap=st.floats(0, 2))
def test_a_cage_set_by_a_gap_leaves_that_gap(angle: float, width: float, gap: float) -> None:
    """In the two gears in which the stops are set: smallest ring and largest cog, and the other way about."""
    cage = Cage(width_mm=width, angle_deg=angle)
    lines = chain(cage)
    inner = set_by_gap_mm(lines[0, -1], cage, WIDTH, gap, "inner")
    outer = set_by_gap_mm(lines[-1, 0], cage, WIDTH, gap, "outer")
    found = clearance(lines, cage, [inner, outer], WIDTH)
    assert float(found.inner_mm[0, -1]) == pytest.approx(gap)
    assert float(found.outer_mm[-1, 0]) == pytest.approx(gap)
