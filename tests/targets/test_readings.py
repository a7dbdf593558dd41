"""One place where each reading should stand: figures as printed, bands round them, the bike's own where it decides."""

import pytest
from any_bike import valid_bikes
from bikes import GOOD, but
from hypothesis import HealthCheck, given, settings

from tunekit.bike import Bike, starter
from tunekit.data import table
from tunekit.fit import size_chain
from tunekit.targets import class_line, target, target_of, until

READINGS = table("targets")["readings"]


@pytest.mark.parametrize("watch", READINGS)
def test_every_figure_says_whose_it_is(watch: str) -> None:
    row = READINGS[watch]
    assert row["source"]
    assert row["status"]
    banded = {"low", "either_way", "either_way_cogs"} & row.keys()
    assert not banded or row["band"]


@given(valid_bikes())
@settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
def test_a_target_stands_in_its_own_band_on_any_bike(bike: Bike) -> None:
    for watch in READINGS:
        found = target(watch, bike)
        assert found is not None
        if found.value is not None:
            assert found.low is None or found.low <= found.value
            assert found.high is None or found.value <= found.high
        assert target_of(watch, bike) == found.value


@pytest.mark.parametrize(
    ("watch", "value", "low", "high"),
    [
        # Magazine garage files and "Tuning your gears" (seen): under the largest cog's centre, under the outer edge
        # of the smallest, half of a cog of 1.6 mm. The bands are judgement.
        ("low_limit_offset_mm", 0.0, -0.4, 0.4),
        ("high_limit_offset_mm", 0.8, 0.4, 1.2),
        # Garage files (seen): 5 to 10 for a common class, 6 to 8 for another; the leaflet's 6 is the bike's.
        ("pulley_gap_mm", 6.0, 5.0, 7.0),
        ("sag_gap_mm", 6.0, 5.0, 7.0),
        # Front derailleur articles (seen): 1 to 3 mm over the teeth, parallel; workshops: 0.5 to 1 mm of air.
        ("front_height_mm", 2.0, 1.0, 3.0),
        ("front_angle_deg", 0.0, -1.0, 1.0),
        ("front_inner_gap_mm", 0.75, 0.5, 1.0),
        ("front_outer_gap_mm", 0.75, 0.5, 1.0),
        # The crank's leaflet.
        ("chainline_front_mm", 43.5, 42.5, 44.5),
        # Common practice.
        ("low_stop_backoff_turns", 0.25, 0.125, 0.5),
        ("chain_wear_pct", 0.0, None, 0.5),
    ],
)
def test_a_road_double_has_the_printed_targets(
    watch: str, value: float, low: float | None, high: float | None
) -> None:
    found = target(watch, GOOD)
    assert found is not None
    assert (found.value, found.low, found.high) == (value, low, high)


def test_a_thicker_cog_moves_the_high_stop() -> None:
    found = target("high_limit_offset_mm", but(cassette={"cog_mm": 2.0}))
    assert found is not None
    assert (found.value, found.low, found.high) == (1.0, 0.5, 1.5)


def test_a_motor_s_high_stop_is_the_leaflet_s_and_open_while_nobody_typed_it() -> None:
    motor = starter("time-trial-electronic")
    unknown, typed = (
        target("high_stop_backoff_turns", bike) for bike in (motor, but(motor, rear={"high_stop_turns": 1.0}))
    )
    assert unknown is not None
    assert typed is not None
    assert (unknown.value, unknown.low, unknown.high) == (None, None, None)
    assert (typed.value, typed.low, typed.high) == (1.0, 0.875, 1.125)


def test_the_chain_s_window_is_the_one_that_fit_tells() -> None:
    for name in ("road-double-11", "trail-single-12", "touring-triple-9"):
        bike, found = starter(name), target("chain_length_links", starter(name))
        advice = size_chain(bike)
        assert found is not None
        assert (found.value, found.low, found.high) == (advice.links, advice.shortest, advice.longest)


@pytest.mark.parametrize(("hub", "line"), [(120, 42), (135, 47.5), (148, 52)])
def test_a_single_ring_s_class(hub: float, line: float) -> None:
    # Crib sheet, club page, magazine article on the 55 mm chainline (seen).
    assert class_line(but(frame={"hub_spacing_mm": float(hub)}))[0] == line


def test_a_hanger_is_even_all_round() -> None:
    found = target("hanger_rim_mm", GOOD)
    assert found is not None
    assert (found.value, found.low) == (None, None)
    assert found.high in (3.0, 4.0)  # repair schools' tolerances, from memory


def test_each_mark_has_its_target() -> None:
    for what, row in table("targets")["until"].items():
        mark = until(what, GOOD)
        assert mark is not None
        assert mark.value == target_of(row["watch"], GOOD)


def test_a_word_without_a_target_has_none() -> None:
    assert target("battery_pct", GOOD) is None
    assert until("rear_cable", GOOD) is None
