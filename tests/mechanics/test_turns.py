"""What a hand does, in millimetres, and back."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tunekit.bike import TunekitError
from tunekit.bike.starters import starter, starter_names
from tunekit.data import table
from tunekit.mechanics import turns
from tunekit.mechanics.from_bike import side_view
from tunekit.mechanics.geometry import SideView, hanger_seen_mm, pivots_mm
from tunekit.mechanics.turns import Rate

ROAD = SideView(rings=(34, 50), cogs=(11, 17, 28), chainstay_mm=410, bb_drop_mm=70, cage_mm=56)
RATES = (
    turns.rear_barrel(1.7),
    turns.front_barrel(),
    turns.limit_screw(),
    turns.micro_adjust(0.2),
    turns.b_screw(ROAD),
    turns.hanger_tilt(60.0),
)


@pytest.mark.parametrize("rate", RATES, ids=lambda rate: "-".join(f.name for f in rate.factors))
@given(amount=st.floats(-20, 20))
def test_there_and_back_is_where_one_started(rate: Rate, amount: float) -> None:
    assert rate.amount(rate.mm(amount).value).value == pytest.approx(amount, abs=1e-12)


@pytest.mark.parametrize("rate", RATES, ids=lambda rate: "-".join(f.name for f in rate.factors))
def test_uncertainty_rides_along_both_ways(rate: Rate) -> None:
    for result in (rate.mm(2.0), rate.amount(2.0)):
        assert result.sd == pytest.approx(abs(result.value) * rate.relative_sd)
        assert result.sd >= 0
    assert rate.mm(-1.0).sd == rate.mm(1.0).sd


def test_spread_of_a_product_agrees_with_sampling() -> None:
    """Independent calculation: draw the factors, multiply, and look at the spread."""
    rate, rng = turns.b_screw(ROAD), np.random.default_rng(7)
    draws = np.prod(
        [f.value * (1 + f.relative_sd * rng.standard_normal(400_000)) for f in rate.factors], axis=0
    )
    assert draws.std() == pytest.approx(rate.mm(1.0).sd, rel=0.05)


@pytest.mark.parametrize("name", sorted(table("turns")))
def test_every_factor_says_where_it_comes_from(name: str) -> None:
    row = turns.factor(name)
    assert row.value > 0
    assert 0 <= row.relative_sd < 0.5
    assert row.status in {"seen", "calc", "memory", "common practice", "model", "leaflet", "geometry"}
    assert len(row.source) > 20


def test_b_screw_rate_agrees_with_turning_the_body_about_the_hanger() -> None:
    """Finite difference of the side view's own geometry: turn the body about the bolt, measure the gap."""
    angle = np.radians(ROAD.set_angle_deg)
    x, y = pivots_mm(ROAD)
    guide = np.array([x[-1] - ROAD.pivot_mm * np.sin(angle), y[-1] + ROAD.pivot_mm * np.cos(angle)])
    bolt = np.array(hanger_seen_mm(ROAD))

    def distance(turn: float) -> float:
        c, s = np.cos(turn), np.sin(turn)
        return float(np.hypot(*(bolt + np.array([[c, -s], [s, c]]) @ (guide - bolt))))

    step = 1e-6
    measured = abs(distance(step) - distance(-step)) / (2 * step)
    assert turns.gap_per_radian_mm(ROAD) == pytest.approx(measured, rel=1e-6)


@pytest.mark.parametrize("name", starter_names())
def test_a_b_screw_turn_moves_the_gap_by_about_a_millimetre(name: str) -> None:
    """Common practice, no source: a few turns cover the five millimetres between the published gaps."""
    assert 0.4 < turns.b_screw(side_view(starter(name))).mm_per_unit < 2.0


@given(tilt=st.floats(-8, 8), rim=st.floats(300, 650))
def test_hanger_degrees_and_rim_millimetres_are_inverses(tilt: float, rim: float) -> None:
    assert turns.tilt_deg(turns.rim_mm(tilt, rim), rim) == pytest.approx(tilt, abs=1e-9)


def test_hanger_rate_agrees_with_the_tangent_at_small_angles() -> None:
    assert turns.hanger_tilt(60.0).mm(0.368).value == pytest.approx(60 * np.tan(np.radians(0.368)), rel=1e-4)


@pytest.mark.parametrize("bad", [None, 0.0, -1.0, float("nan")])
def test_a_missing_or_impossible_factor_is_asked_for(bad: float | None) -> None:
    with pytest.raises(TunekitError, match="cable_ratio must be a number above 0"):
        turns.rear_barrel(bad)
    with pytest.raises(TunekitError, match="step_mm must be a number above 0"):
        turns.micro_adjust(bad)


@pytest.mark.parametrize("bad", [float("nan"), float("inf")])
def test_an_amount_that_is_no_number_is_refused(bad: float) -> None:
    with pytest.raises(TunekitError, match="must be a finite number"):
        turns.limit_screw().mm(bad)
    with pytest.raises(TunekitError, match="must be a finite number"):
        turns.limit_screw().amount(bad)
