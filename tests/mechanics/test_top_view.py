"""Pulley offsets for every click, both directions."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tunekit.bike import TunekitError
from tunekit.bike.starters import starter, starter_names
from tunekit.fit import chainlines
from tunekit.mechanics.from_bike import lines_mm, side_view, top_runs_mm, top_view
from tunekit.mechanics.geometry import wheels
from tunekit.mechanics.hanger import tilt_from_rim
from tunekit.mechanics.loop import taut_loop
from tunekit.mechanics.side_view import solve_paths
from tunekit.mechanics.top_view import DIRECTIONS, best_index, moves_mm, offsets_mm, rate_error_mm

small = st.floats(-2, 2)


@given(
    index=small, drag=st.floats(0, 1), cogs=st.integers(2, 13), ratio=st.floats(1, 2), pull=st.floats(1, 4)
)
def test_offset_is_the_sum_of_its_parts(
    index: float, drag: float, cogs: int, ratio: float, pull: float
) -> None:
    """offset = index + rate error x cogs from the middle ± drag, worked out again without arrays."""
    found = offsets_mm(moves_mm(pull, ratio, cogs), 3.95, index_mm=index, drag_mm=drag)
    for place in range(cogs):
        error = (pull * ratio - 3.95) * (place - (cogs - 1) / 2)
        assert found[0, place] == pytest.approx(index + error - drag)
        assert found[1, place] == pytest.approx(index + error + drag)


def test_clicks_that_match_the_cogs_leave_no_error() -> None:
    assert rate_error_mm(np.full(9, 3.95), 3.95) == pytest.approx(np.zeros(10))
    uneven = np.array([2.5] * 5 + [3.0] * 2 + [3.5] * 2)
    assert rate_error_mm(uneven * 1.5, uneven * 1.5) == pytest.approx(np.zeros(10))


def test_uneven_clicks_err_where_they_are_uneven() -> None:
    """Published pulls of one lever family: five of 2.5, two of 3.0, two of 3.5 (a technical article)."""
    pulls = [2.5] * 5 + [3.0] * 2 + [3.5] * 2
    error = rate_error_mm(moves_mm(pulls, 1.5, 10), 4.25)
    steps = np.diff(error)
    assert steps == pytest.approx(np.array(pulls) * 1.5 - 4.25)
    assert error[4] + error[5] == pytest.approx(0)


@given(index=st.floats(-3, 3), high=st.floats(-0.5, 0.5), low=st.floats(-0.5, 0.5))
def test_stops_hold_only_where_the_pulley_would_pass_them(index: float, high: float, low: float) -> None:
    moves = np.full(9, 3.95)
    held = offsets_mm(moves, 3.95, index_mm=index, high_limit_mm=high, low_limit_mm=low)
    assert (held[:, 0] >= -high - 1e-9).all()
    assert (held[:, -1] <= low + 1e-9).all()
    assert held[:, 1:-1] == pytest.approx(np.full((2, 8), index))


def test_a_stop_that_reaches_past_a_cog_holds_the_next_one_too() -> None:
    held = offsets_mm(np.full(9, 3.95), 3.95, low_limit_mm=-5.0)
    assert held[0, -1] == pytest.approx(-5.0)
    assert held[0, -2] == pytest.approx(-5.0 + 3.95)
    assert held[0, -3] == pytest.approx(0.0)


def test_many_bikes_at_once_are_each_as_if_alone() -> None:
    rng = np.random.default_rng(0)
    index, drag, high = rng.normal(size=50), rng.random(50), rng.random(50)
    moves = 3.95 + 0.1 * rng.normal(size=(50, 9))
    every = offsets_mm(moves, 3.95, index_mm=index, drag_mm=drag, high_limit_mm=high)
    for one in (0, 17, 49):
        alone = offsets_mm(moves[one], 3.95, index_mm=index[one], drag_mm=drag[one], high_limit_mm=high[one])
        assert np.array_equal(every[one], alone)


@given(index=small, drag=st.floats(0, 1), pull=st.floats(2.2, 2.4))
def test_no_other_index_does_better_than_the_best(index: float, drag: float, pull: float) -> None:
    offset = offsets_mm(moves_mm(pull, 1.7, 10), 3.95, index_mm=index, drag_mm=drag)
    best = best_index(offset)
    assert np.abs(offset + best.move_mm).max() == pytest.approx(best.left_mm)
    for other in (-0.1, 0.1):
        assert np.abs(offset + best.move_mm + other).max() > best.left_mm


@pytest.mark.parametrize("name", starter_names())
def test_top_view_of_every_starter_is_near_enough_to_index(name: str) -> None:
    """Published pulls and ratios are rounded, so the product misses the pitch by up to 0.13 a click (calc
    from the published pairs); over a cassette that is 13/2 clicks either way."""
    view = top_view(starter(name))
    assert np.abs(view.rate_mm).max() < 0.13 * (len(view.cogs) - 1) / 2 + 1e-9
    assert view.pulley_lines_mm.shape == (2, len(view.cogs))
    assert not view.held.any()


def test_offsets_are_told_by_cog_and_direction() -> None:
    view = top_view(starter("road-double-10"), index_mm=0.4, drag_mm=0.1, high_limit_mm=0.0)
    assert view.offset(17, "to_larger_cog") == pytest.approx(0.3, abs=0.1)
    assert view.offset(17, DIRECTIONS[1]) - view.offset(17, DIRECTIONS[0]) == pytest.approx(0.2)
    with pytest.raises(TunekitError, match="cog must be one of the bike's"):
        view.offset(99, "to_larger_cog")
    with pytest.raises(TunekitError, match="direction must be to_larger_cog or to_smaller_cog"):
        view.offset(17, "up")


def test_tilt_adds_its_lever_arm_on_every_cog() -> None:
    bike, tilt = starter("road-double-11"), tilt_from_rim((24, 20, 16, 20))
    straight, bent = top_view(bike), top_view(bike, tilt=tilt)
    assert bent.offset_mm - straight.offset_mm == pytest.approx(np.tile(bent.tilt_mm, (2, 1)))


def test_the_top_run_is_the_taut_loop_s() -> None:
    bike = starter("road-double-11")
    view = side_view(bike)
    paths = solve_paths(view, 106)
    loop = taut_loop(wheels(view), np.radians(paths.cage_deg[..., 0]))
    assert top_runs_mm(bike) == pytest.approx(loop.top_mm[0])


def test_one_gear_has_one_angle_wherever_it_is_named() -> None:
    bike = starter("road-double-11")
    rings, cogs = lines_mm(bike)
    angle = np.degrees(np.arctan((rings[1] - cogs[-1]) / bike.frame.chainstay_mm))
    assert top_view(bike).angle_deg[1, -1] == pytest.approx(angle)
    assert chainlines(bike).angles_deg[1, -1] == pytest.approx(angle)


@pytest.mark.parametrize("pulls", [[2.3, 2.3], 0.1, float("nan")])
def test_pulls_that_fit_no_lever_are_refused(pulls: object) -> None:
    with pytest.raises(TunekitError, match="lever_pull_mm"):
        moves_mm(pulls, 1.7, 10)  # type: ignore[arg-type]
