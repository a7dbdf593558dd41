"""Each target against print: the published figure, worked out for a bike."""

import pytest

from tunekit import Bike, Session, size_chain
from tunekit.bike import Cassette, RearDerailleur
from tunekit.bike.starters import starter, starter_names
from tunekit.setup import setup_steps


def target(bike: Bike, step: str, walk: str | None = None):
    found = setup_steps(Session(bike=bike), walk).step(step)
    assert found is not None
    return found.target


def bike(**fields) -> Bike:
    return Bike.build(rings=[34, 50], cogs=[11, 12, 13, 14, 15, 17, 19, 21, 24, 28], **fields)


@pytest.mark.parametrize("cog_mm", [1.6, 1.8, 2.0])
def test_the_high_stop_stands_under_the_outer_edge_of_the_smallest_cog(cog_mm):
    # Mountain-bike garage files: pulley centre under the outer edge of the smallest cog (seen).
    found = target(bike(cassette=Cassette(cog_mm=cog_mm)), "high_stop")
    assert found.value == pytest.approx(cog_mm / 2)
    assert found.low < found.value < found.high
    assert found.unit == "mm"


def test_the_low_stop_stands_under_the_centre_of_the_largest_cog():
    # Mountain-bike garage files and "Tuning your gears": pulley centre under the largest cog's centre (seen).
    found = target(bike(), "low_stop")
    assert found.value == 0
    # Beyond half the gap to the spokes' side no chain may go: tighter than a cog's thickness either way.
    assert found.low == -found.high
    assert found.high < 1.6 / 2


@pytest.mark.parametrize("name", starter_names())
def test_the_chain_is_the_one_that_the_chain_page_names(name):
    advice = size_chain(starter(name))
    found = target(starter(name), "chain_length", "new_chain")
    assert found.value == advice.links
    assert (found.low or 0) <= advice.links <= (found.high or 0)


def test_the_pulley_gap_is_the_leaflets_and_6_to_8_passes_for_7():
    # One published class prints 6 to 8 (seen): a leaflet's 7 with that tolerance.
    found = target(bike(rear=RearDerailleur(pulley_gap_mm=7.0)), "pulley_gap")
    assert (found.low, found.value, found.high) == (6.0, 7.0, 8.0)


def test_a_wide_single_ring_cassette_takes_its_leaflets_fifteen():
    # 12-speed wide-range single: 15 (seen).
    assert target(bike(rear=RearDerailleur(pulley_gap_mm=15.0)), "pulley_gap").value == 15.0


@pytest.mark.parametrize(("cogs", "limit"), [(9, 4.0), (10, 3.0), (12, 3.0)])
def test_the_hanger_may_differ_by_four_or_with_many_cogs_three(cogs, limit):
    # Repair schools: within 4 at the rim (memory); 2 to 3 for 10 and more (common practice, no source).
    teeth = [11, 12, 13, 14, 15, 17, 19, 21, 24, 28, 32, 36][:cogs]
    found = target(Bike.build(rings=[34, 50], cogs=teeth), "hanger_gauge")
    assert found.high == limit


@pytest.mark.parametrize(("speeds", "limit"), [(8, 1.0), (9, 0.75), (10, 0.75), (11, 0.5), (12, 0.5)])
def test_chain_wear_follows_the_usual_split(speeds, limit):
    # Common practice, no source: 0.5 for 11 and more, 0.75 for 9 and 10, 1.0 for 8 and fewer.
    found = target(bike(chain={"speeds": speeds, "links": 108}), "chain_wear")
    assert found.high == limit


def test_a_single_ring_stands_where_its_leaflet_says():
    # Magazine article on the 55 mm chainline: a single ring on a 148 hub stands at 52 (seen).
    found = target(starter("trail-single-12"), "chainline", "single_ring")
    assert (found.value, found.low, found.high) == (52, 51, 53)


@pytest.mark.parametrize(
    ("step", "value", "low", "high"),
    [
        ("front_height", 2, 1, 3),  # front derailleur articles: 1 to 2, 1 to 3, 2 to 3 (seen)
        ("front_angle", 0, -1, 1),  # parallel, seen from above (seen); 1 degree from memory
        ("front_inner", 0.75, 0.5, 1.0),  # 0.5 to 1: common practice, no source
        ("front_barrel_out", 1, 0.5, 3),  # in fully, then one turn out (seen)
    ],
)
def test_front_targets(step, value, low, high):
    found = target(starter("road-double-10"), step, "front_cable")
    assert (found.value, found.low, found.high) == (value, low, high)


def test_the_barrel_starts_where_four_texts_agree_that_it_may():
    # 2, 1, 1/2 and 3 turns out are printed (seen): all four lie within the tolerance.
    found = target(starter("road-double-10"), "barrel_out")
    assert all(found.low <= printed <= found.high for printed in (2, 1, 0.5, 3))


@pytest.mark.parametrize(
    ("walk", "step", "low", "high"),
    [
        ("rear_cable", "rear_bolt", 5, 10),  # 8 to 10, 7.9 to 9.6, 6 to 8 and 5 N m (seen, they conflict)
        ("rear_cable", "clamp_cable", 4, 7),  # 4 to 5, 4.0 to 5.9 and 5 to 7 N m (seen, they conflict)
        ("cassette_swap", "lockring", 29, 50),  # 40, 30 to 50 and 29 to 49 N m (seen)
        ("front_cable", "front_clamp", 2.8, 7),  # 2.8 to 4 (seen) and 5 to 7 (memory)
    ],
)
def test_torque_is_the_parts_own_and_print_stands_beside(walk, step, low, high):
    found = setup_steps(Session(bike=starter("road-double-10")), walk).step(step)
    assert found is not None
    assert found.target is None
    assert f"{low:g} to {high:g} N m" in found.beside
    assert "outranks this" in found.beside


@pytest.mark.parametrize(
    ("step", "cogs", "plate", "way"),
    [
        ("front_rub_small", "11 or 12 on ring 34", "outer", "outboard"),
        ("front_rub_large", "25 or 28 on ring 50", "inner", "inboard"),
    ],
)
def test_the_rub_steps_name_the_crossed_gears_of_this_bike(step, cogs, plate, way):
    # Crossed gears are those furthest from the cog on which the stop is set (front derailleur articles; seen).
    how = setup_steps(Session(bike=starter("road-double-11")), "front_cable").step(step).how
    assert f"With cog {cogs} expect the {plate} plate to rub" in how
    assert f"unless a trim moves the cage {way}" in how


def test_a_wide_cage_needs_no_trim_and_the_step_does_not_speak_of_one():
    road = starter("road-double-11")
    wide = road.model_copy(update={"front": road.front.model_copy(update={"cage_width_mm": 16.0})})
    how = setup_steps(Session(bike=wide), "front_cable").step("front_rub_large").how
    assert "expect" not in how
