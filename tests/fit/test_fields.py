"""Every optional field of a bike: left out it means what it meant before, given it changes what it should."""

import pytest
from bikes import GOOD, but
from hypothesis import given
from hypothesis import strategies as st

from tunekit.bike import Bike, SessionError, starter
from tunekit.fit import chainlines, check_fit, size_chain, swap
from tunekit.mechanics.from_bike import side_view, top_view, travel_mm

TRIPLE = but(GOOD, rings=[26, 36, 48], front={"capacity": 22})


def asked(bike: Bike) -> set[str]:
    return {finding.name for finding in check_fit(bike).findings}


def test_a_leaflet_that_says_nothing_is_not_asked() -> None:
    assert asked(GOOD) == {
        *("total_capacity", "largest_cog", "smallest_cog", "front_difference", "pull_per_click"),
        *("pull_accumulated", "chain_speeds", "chain_length", "chainline", "chain_angle"),
    }


def test_a_lever_needs_a_click_for_each_step_and_may_have_more() -> None:
    # Article on 9 and 10 cogs (seen): ten clicks on nine cogs works and is sold so; the least is cogs - 1.
    ten, eleven = GOOD.cogs[:10], GOOD.cogs
    assert check_fit(but(cogs=ten, rear={"lever_clicks": 10}))["lever_clicks"].status == "pass"
    assert check_fit(but(cogs=eleven, rear={"lever_clicks": 10}))["lever_clicks"].status == "pass"
    short = check_fit(but(cogs=eleven, rear={"lever_clicks": 9}))["lever_clicks"]
    assert (short.status, short.limit) == ("fail", 10)
    assert short.remedy == "a lever of 10 clicks or more, or a cassette of 10 cogs or fewer"


@pytest.mark.parametrize(("middle", "status"), [(36, "pass"), (37, "fail")])
def test_a_large_ring_of_48_asks_a_middle_of_36_or_less(middle: int, status: str) -> None:
    # Japanese bicycle glossary, least capacity (seen): 12 teeth, so 36 or less under 48.
    bike = but(TRIPLE, rings=[26, middle, 48], front={"least_difference": 12})
    found = check_fit(bike)["least_difference"]
    assert found.status == status
    assert found.remedy in (None, "a middle ring of 36 or less")


def test_a_ring_too_small_or_too_large_for_the_cage_fails() -> None:
    # Seen on the old tool: a 46 ring under a cage for 53 passed, since nothing could say so.
    assert check_fit(but(rings=[34, 46], front={"least_ring": 50}))["least_ring"].status == "fail"
    assert check_fit(but(rings=[34, 50], front={"least_ring": 50}))["least_ring"].status == "pass"
    assert check_fit(but(rings=[34, 50], front={"largest_ring": 48}))["largest_ring"].status == "fail"


def test_a_cassette_too_small_for_the_body_fails() -> None:
    assert check_fit(but(rear={"least_largest_cog": 30}))["least_largest_cog"].status == "fail"
    assert check_fit(but(rear={"least_largest_cog": 28}))["least_largest_cog"].status == "pass"


def test_friction_levers_have_no_click_that_could_be_wrong() -> None:
    # Seen: friction levers failed the fit by "pull -1.09 a click".
    bike = but(control="friction", rear={"lever_pull_mm": 0.5, "lever_clicks": 2})
    assert {"pull_per_click", "pull_accumulated", "lever_clicks"}.isdisjoint(asked(bike))
    assert check_fit(bike).status == "pass"


def test_a_chainstay_that_shortens_asks_the_cage_for_both_ends() -> None:
    # 4 x (greatest - least) / 12.7 teeth: 12 and -4 mm ask 5.04.
    trail = starter("trail-single-12")
    both = but(trail, frame={"chainstay_least_growth_mm": -4.0})
    more = check_fit(both)["total_capacity"].value - check_fit(trail)["total_capacity"].value  # type: ignore[operator]
    assert more == pytest.approx(4 * 4 / 12.7, abs=0.11)
    assert travel_mm(both)[0] == -4
    assert 0 in travel_mm(both)
    assert size_chain(both).path_longest_links < size_chain(trail).path_longest_links  # type: ignore[operator]
    assert size_chain(both).path_shortest_links == size_chain(trail).path_shortest_links


@given(st.integers(1, 12))
def test_equal_pitches_listed_are_the_one_pitch(cogs: int) -> None:
    plain = but(cogs=range(11, 11 + cogs))
    listed = but(plain, cassette={"pitches_mm": [3.78] * (cogs - 1)} if cogs > 1 else {})
    assert chainlines(plain).angles_deg == pytest.approx(chainlines(listed).angles_deg)
    assert [(f.name, f.value, f.status) for f in check_fit(plain).findings] == [
        (f.name, f.value, f.status) for f in check_fit(listed).findings
    ]


def test_unequal_pitches_move_the_cogs_and_no_single_pull_suits_them() -> None:
    wide = but(cassette={"pitches_mm": [3.78] * 9 + [4.78]})
    lines = chainlines(wide).cog_lines_mm
    assert lines[9] - lines[10] == pytest.approx(4.78)
    assert check_fit(wide)["pull_per_click"].status == "fail"
    assert top_view(wide).rate_mm[-1] - top_view(GOOD).rate_mm[-1] == pytest.approx(-1)
    assert "rear_index" in {item.name for item in swap(GOOD, wide).set_again}


def test_pitches_are_one_for_each_pair() -> None:
    with pytest.raises(SessionError, match=r"^bike needs in cassette\.pitches_mm one figure for each pair"):
        but(cassette={"pitches_mm": [3.78] * 3})


def test_a_hanger_s_own_place_outranks_the_usual_one() -> None:
    view = side_view(but(frame={"hanger_back_mm": 10.0, "hanger_down_mm": 30.0}))
    assert (view.hanger_back_mm, view.hanger_down_mm) == (10, 30)


def test_four_rings_have_gears_lines_and_a_chain() -> None:
    bike = but(rings=[24, 34, 44, 52], front={"capacity": 28}, rear={"capacity": 45, "cage_mm": 90.0})
    assert chainlines(bike).angles_deg.shape == (4, 11)
    assert size_chain(bike).links % 2 == 0


def test_a_long_wheelbase_has_a_chain() -> None:
    # Worked out from the exact belt (facts-conversion 14): 1100, 52 and 32, two more: 217.35, so 218.
    bike = but(rings=[52], cogs=[12, 32], frame={"chainstay_mm": 1100.0}, front=None)
    assert next(rule for rule in size_chain(bike).rules if rule.name == "largest_pair").links == 218
