"""What must hold of every wheel, gear, wear reading and comparison of losses."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tunekit.mechanics import gears, losses, sprocket, wear
from tunekit.mechanics.losses import Load

TEETH = st.integers(9, 60)


@given(TEETH)
def test_circles_nest_and_grow(teeth: int) -> None:
    root, pitch, tip = (
        float(of(teeth))
        for of in (sprocket.root_diameter_mm, sprocket.pitch_diameter_mm, sprocket.tip_diameter_mm)
    )
    assert root < pitch < tip
    assert sprocket.pitch_diameter_mm(teeth + 1) - pitch == pytest.approx(12.7 / np.pi, rel=0.02)


@given(TEETH)
def test_the_polygon_has_sides_of_one_pitch(teeth: int) -> None:
    chord = 2 * sprocket.pitch_radius_mm(teeth) * np.sin(np.pi / teeth)
    assert chord == pytest.approx(12.7)


@given(TEETH)
def test_rise_and_variation_shrink_with_teeth(teeth: int) -> None:
    for of in (sprocket.chordal_rise_mm, sprocket.speed_variation, sprocket.speed_variation_of_max):
        assert of(teeth + 1) < of(teeth)
    sampled = np.cos(np.linspace(-np.pi / teeth, np.pi / teeth, 10_001))
    assert sprocket.speed_variation_of_max(teeth) == pytest.approx(1 - sampled.min())
    assert sprocket.speed_variation(teeth) == pytest.approx(np.ptp(sampled) / sampled.mean(), rel=1e-3)


def test_gear_table_holds_every_gear_in_its_place() -> None:
    table = gears.gear_table((34, 50), (11, 17, 28), 2105, 172.5, 90)
    assert table.ratio.shape == (2, 3)
    assert table.ratio[1, 1] == pytest.approx(50 / 17)
    assert table.development_m[1, 1] == pytest.approx(2.105 * 50 / 17)
    assert table.speed_kmh[1, 1] == pytest.approx(0.06 * 90 * 2.105 * 50 / 17)
    assert table.gain_ratio[1, 1] == pytest.approx(2105 / (2 * np.pi) / 172.5 * 50 / 17)
    assert table.steps_pct[0] == pytest.approx([100 * (17 / 11 - 1), 100 * (28 / 17 - 1)])


def test_gears_a_whisker_apart_are_duplicates_and_a_step_apart_are_not() -> None:
    assert gears.duplicates((39, 53), (14, 19)) == (((39, 14), (53, 19)),)
    assert gears.duplicates((34, 50), (11, 28)) == ()


def test_one_cog_has_no_steps() -> None:
    assert gears.gear_table((42,), (18,), 2000).steps_pct.shape == (1, 0)


@given(st.floats(0, 3), st.integers(4, 120))
def test_ruler_and_percentage_undo_each_other(pct: float, links: int) -> None:
    assert wear.wear_pct(wear.span_mm(pct, links), links) == pytest.approx(pct, abs=1e-9)
    assert wear.past_mark_mm(pct, links) == pytest.approx(links * 12.7 * pct / 100)


def test_narrower_chains_are_changed_sooner() -> None:
    limits = [wear.wear_limit_pct(speeds) for speeds in range(1, 15)]
    assert limits == sorted(limits, reverse=True)


def load(ring: int = 50, cog: int = 17, power: float = 200, cadence: float = 90, angle: float = 0) -> Load:
    return Load(ring=ring, cog=cog, power_w=power, cadence_rpm=cadence, angle_deg=angle)


@pytest.mark.parametrize(
    ("first", "second", "verdict"),
    [
        (load(cog=21), load(cog=11), "first"),
        (load(power=100), load(power=200), "second"),
        (load(cadence=60), load(cadence=90), "first"),
        (load(angle=3), load(angle=-1), "second"),
        (load(), load(), "same"),
        # A larger ring bends the links less but slackens the chain: nothing published weighs the two.
        (load(ring=52), load(ring=39), "unknown"),
    ],
    ids=["larger-cog", "tenser-chain", "lower-cadence", "straighter", "same", "factors-disagree"],
)
def test_only_published_orderings_are_told(first: Load, second: Load, verdict: str) -> None:
    assert losses.loses_less(first, second) == verdict
    mirrored = {"first": "second", "second": "first"}
    assert losses.loses_less(second, first) == mirrored.get(verdict, verdict)


def test_tension_is_power_over_chain_speed() -> None:
    """200 W at 90 rpm on 50 teeth: 0.9525 m/s of chain."""
    assert losses.tension_n(200, 90, 50) == pytest.approx(200 / (50 * 0.0127 * 1.5))


def test_every_factor_names_its_source() -> None:
    for factor in ("tension", "size", "angle", "cadence"):
        row = losses.ordering(factor)
        assert row["source"]
        assert row["status"] in ("seen", "mixed")
        assert not any(sign in row["rule"] for sign in ("%",))
