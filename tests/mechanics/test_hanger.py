"""Four rim readings to a tilt and its effect."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tunekit.bike import TunekitError
from tunekit.mechanics.geometry import SideView
from tunekit.mechanics.hanger import arms_mm, rim_readings_mm, tilt_effect, tilt_from_rim
from tunekit.mechanics.outline import outline

ROAD = SideView(rings=(34, 50), cogs=(11, 15, 21, 28), chainstay_mm=410, bb_drop_mm=70, cage_mm=56)


@given(tilt=st.floats(0.05, 3), clock=st.floats(0.1, 12), rim=st.floats(350, 640), gap=st.floats(30, 60))
def test_a_tilt_comes_back_from_the_readings_it_gives(
    tilt: float, clock: float, rim: float, gap: float
) -> None:
    found = tilt_from_rim(rim_readings_mm(tilt, clock, rim, gap), rim)
    # The two leans are found one by one, which differs from the true tilt by its square.
    assert found.magnitude_deg == pytest.approx(tilt, rel=2e-3)
    assert abs((found.clock - clock + 6) % 12 - 6) < 0.01
    assert found.consistent
    assert found.closure_mm == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("readings", "inboard", "forward", "clock"),
    [
        ((22, 20, 18, 20), 1, 0, 6.0),
        ((18, 20, 22, 20), -1, 0, 12.0),
        ((20, 18, 20, 22), 0, 1, 3.0),
        ((20, 22, 20, 18), 0, -1, 9.0),
    ],
)
def test_the_side_with_the_smallest_reading_leans_inboard(
    readings: tuple[float, ...], inboard: int, forward: int, clock: float
) -> None:
    tilt = tilt_from_rim(readings)
    assert np.sign(round(tilt.inboard_deg, 9)) == inboard
    assert np.sign(round(tilt.forward_deg, 9)) == forward
    assert tilt.clock == pytest.approx(clock)


def test_a_fall_bends_the_pulley_inboard_on_every_cog_and_most_on_the_largest() -> None:
    """A fall on the gear side bends the hanger inward (Urban Velo issue 32; seen); the arm is longest
    where the pulley hangs lowest, on the largest cog."""
    effect = tilt_effect(tilt_from_rim((24, 20, 16, 20)), ROAD)
    assert (effect.shift_mm > 0).all()
    assert (np.diff(effect.shift_mm) > 0).all()
    assert effect.left_mm.max() == pytest.approx(-effect.left_mm.min())
    assert effect.plane_deg > 0


def test_arms_are_those_of_the_picture() -> None:
    below, forward = arms_mm(ROAD)
    view = outline(ROAD, 34, 28, 106)
    guide = next(circle for circle in view.circles if circle.name == "guide_pulley")
    # The picture's cage stands at its own angle, the arms are taken at the setting angle.
    assert below[-1] == pytest.approx(view.hanger_mm[1] - guide.y_mm, abs=3)
    assert forward[-1] == pytest.approx(guide.x_mm - view.hanger_mm[0], abs=3)


def test_spread_agrees_with_reading_many_times() -> None:
    """Independent calculation: the same hanger read 4,000 times by an unsteady hand."""
    rng, true = np.random.default_rng(3), rim_readings_mm(0.5, 7.0)
    found = [tilt_from_rim(true + 0.5 * rng.standard_normal(4)) for _ in range(4000)]
    assert np.std([t.inboard_deg for t in found]) == pytest.approx(found[0].sd_deg, rel=0.05)
    assert np.std([t.clock for t in found]) == pytest.approx(tilt_from_rim(true).clock_sd_hours, rel=0.1)
    assert np.std([t.closure_mm for t in found]) == pytest.approx(0.5, rel=0.05)


def test_a_slipped_reading_shows() -> None:
    assert not tilt_from_rim((22, 20, 18, 25)).consistent
    assert tilt_from_rim((20, 20, 20, 20)).clock_sd_hours == 3.5


@pytest.mark.parametrize("readings", [(float("nan"), 1, 1, 1), (-1, 1, 1, 1), (300, 1, 1, 1)])
def test_an_impossible_reading_is_refused(readings: tuple[float, ...]) -> None:
    with pytest.raises(TunekitError, match="hanger_rim_mm must be"):
        tilt_from_rim(readings)


def test_three_readings_are_not_enough() -> None:
    with pytest.raises(TunekitError, match="hanger_rim_mm needs four readings"):
        tilt_from_rim((20, 20, 20))
