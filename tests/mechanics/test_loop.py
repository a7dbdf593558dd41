"""The taut loop: tangency, arcs, length and slope, for any four wheels a bicycle could have."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString

from tunekit.mechanics.chain_length import belt_links, circle_belt_links
from tunekit.mechanics.geometry import SideView, wheels
from tunekit.mechanics.loop import TURN, Wheels, circle_mm, picked, run, taut_loop
from tunekit.mechanics.outline import chain_points
from tunekit.mechanics.sprocket import PITCH_MM, pitch_radius_mm

ANGLES = st.floats(-85, 90)


@st.composite
def views(draw: st.DrawFn) -> SideView:
    """Bikes from a folder to a wide-range single, one gear each."""
    cog = draw(st.integers(9, 52))
    return SideView(
        rings=(draw(st.integers(20, 58)),),
        cogs=(cog,),
        chainstay_mm=draw(st.floats(390, 480)),
        bb_drop_mm=draw(st.floats(-60, 90)),
        cage_mm=draw(st.floats(58, 105)),
        guide_teeth=draw(st.integers(10, 13)),
        tension_teeth=draw(st.integers(10, 13)),
        pulley_gap_mm=draw(st.floats(3, 18)),
        pivot_mm=draw(st.floats(0, 12)),
    )


def in_contact(view: SideView, cage: float) -> bool:
    """Whether the chain lies on all four wheels; further forward it would miss the guide pulley."""
    loop = taut_loop(one(view), np.asarray(cage))
    return min(float(loop.guide), float(loop.tension)) > 0


def one(view: SideView) -> Wheels:
    return picked(wheels(view), (0, 0, 0))


@given(view=views(), deg=ANGLES)
@settings(max_examples=40)
def test_length_equals_the_drawn_outline_to_1e_6(view: SideView, deg: float) -> None:
    """Independent calculation: shapely measures the finely sampled path."""
    cage = np.radians(deg)
    assume(in_contact(view, cage))
    drawn = LineString(chain_points(one(view), cage, 25_000)).length
    assert abs(drawn - float(circle_mm(one(view), taut_loop(one(view), cage)))) < 1e-6


@given(view=views(), deg=ANGLES)
def test_outline_closes_without_a_corner(view: SideView, deg: float) -> None:
    """Every run meets its circles in a tangent: no turn between two points is sharper than an arc's step."""
    assume(in_contact(view, np.radians(deg)))
    points = chain_points(one(view), np.radians(deg), 400)
    steps = np.diff(points, axis=0)
    steps = steps[np.hypot(*steps.T) > 1e-9]
    turns = np.diff(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0])))
    assert np.abs(turns).max() < 1.2 * TURN / 399
    assert points[0] == pytest.approx(points[-1], abs=1e-9)


@given(view=views(), deg=ANGLES)
def test_wraps_add_up_to_one_turn_with_the_guide_pulley_against(view: SideView, deg: float) -> None:
    loop = taut_loop(one(view), np.asarray(np.radians(deg)))
    assert float(loop.ring + loop.tension - loop.guide + loop.cog) == pytest.approx(TURN)


@given(
    distance=st.floats(100, 600), angle=st.floats(-3, 3), first=st.floats(-48, 48), second=st.floats(-48, 48)
)
def test_a_run_touches_both_circles_at_right_angles(
    distance: float, angle: float, first: float, second: float
) -> None:
    dx, dy = np.asarray(distance * np.cos(angle)), np.asarray(distance * np.sin(angle))
    length, heading = run(dx, dy, first - second)
    normal = np.array([-np.sin(heading), np.cos(heading)])
    joined = np.array([dx, dy]) + second * normal - first * normal
    assert joined == pytest.approx(float(length) * np.array([np.cos(heading), np.sin(heading)]), abs=1e-8)


@given(view=views(), deg=ANGLES)
def test_slope_by_cage_angle_agrees_with_finite_differences(view: SideView, deg: float) -> None:
    cage, step = np.radians(deg), 1e-5
    before, here, after = (taut_loop(one(view), np.asarray(cage + d)) for d in (-step, 0.0, step))
    for value, slope in (("links", "slope"), ("guide", "guide_slope"), ("fold_mm", "fold_slope")):
        measured = (getattr(after, value) - getattr(before, value)) / (2 * step)
        assert float(getattr(here, slope)) == pytest.approx(float(measured), rel=1e-6, abs=1e-6)


def belt_wheels(centre: float, ring: int, cog: int) -> tuple[Wheels, float]:
    """Pulleys shrunk to nothing and laid on the lower run: only ring and cog are left; and the cage angle."""
    front, rear = float(pitch_radius_mm(ring)), float(pitch_radius_mm(cog))
    tilt = np.arcsin((front - rear) / centre)
    foot = np.array([-np.sin(tilt), -np.cos(tilt)]) * rear
    along = np.array([np.cos(tilt), -np.sin(tilt)])
    x, y = foot + 120 * along
    numbers = (centre, 0.0, front, float(ring), rear, float(cog), float(x), float(y))
    return Wheels(*(np.asarray(n) for n in numbers), 0.0, 0, 0.0, 0, 10.0, 60.0), np.pi / 2 - tilt  # type: ignore[arg-type]


@given(centre=st.floats(300, 500), ring=st.integers(20, 58), cog=st.integers(9, 52))
def test_two_circle_limit_is_the_exact_open_belt(centre: float, ring: int, cog: int) -> None:
    wheel, cage = belt_wheels(centre, ring, cog)
    loop = taut_loop(wheel, np.asarray(cage))
    assert float(loop.links) == pytest.approx(float(belt_links(centre, ring, cog)), abs=1e-9)
    circles = float(circle_mm(wheel, loop)) / PITCH_MM
    assert circles == pytest.approx(float(circle_belt_links(centre, ring, cog)), abs=1e-9)
