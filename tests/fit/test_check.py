"""Each finding at its limit, over it, and put right by its own remedy."""

import math
import re

import pytest
from bikes import GOOD, any_bike, but
from hypothesis import given, settings

from tunekit.bike import Bike
from tunekit.fit import Finding, check_fit
from tunekit.fit.report import worst_of


def finding(bike: Bike, name: str) -> Finding:
    return check_fit(bike)[name]


def test_a_bike_that_fits_has_no_failure_and_every_question_is_asked() -> None:
    report = check_fit(GOOD)
    assert report.status != "fail"
    assert [f.name for f in report.findings] == [
        "total_capacity",
        "largest_cog",
        "smallest_cog",
        "front_difference",
        "pull_per_click",
        "pull_accumulated",
        "chain_speeds",
        "chain_length",
        "chainline",
        "chain_angle",
    ]


def test_the_report_is_as_bad_as_its_worst_finding() -> None:
    assert worst_of(("pass", "caution", "pass")) == "caution"
    assert worst_of(("caution", "fail", "pass")) == "fail"
    assert worst_of(()) == "pass"
    assert check_fit(but(rear={"capacity": 20})).status == "fail"


@pytest.mark.parametrize(("capacity", "status"), [(33, "pass"), (32, "fail")])
def test_capacity_is_exact_to_the_tooth(capacity: int, status: str) -> None:
    found = finding(but(rear={"capacity": capacity}), "total_capacity")
    assert (found.status, found.value, found.limit, found.unit) == (status, 33, capacity, "teeth")


def test_capacity_names_the_nearest_cassette_ring_and_cage() -> None:
    bike = but(rear={"capacity": 30})
    found = finding(bike, "total_capacity")
    assert found.remedy == (
        "a cassette whose largest cog is 25 or less, or an inner ring of 37 or more, "
        "or a derailleur of capacity 33 or more (a longer cage)"
    )
    smaller = but(bike, cogs=[cog for cog in bike.cogs if cog <= 25], chain={"speeds": 10})
    assert finding(smaller, "total_capacity").status == "pass"
    assert finding(but(bike, rings=[37, 50]), "total_capacity").status == "pass"


def test_largest_cog_is_a_limit_of_its_own() -> None:
    found = finding(but(rear={"largest_cog": 25, "capacity": 45}), "largest_cog")
    assert (found.status, found.value, found.limit) == ("fail", 28, 25)
    assert found.remedy == "a cassette whose largest cog is 25 or less, or a derailleur that allows 28"
    assert finding(but(rear={"largest_cog": 28}), "largest_cog").status == "pass"


def test_smallest_cog_fails_against_a_leaflet_and_only_warns_without_one() -> None:
    nine = [9, *GOOD.cogs[1:]]
    assert finding(but(cogs=nine), "smallest_cog").status == "caution"
    assert finding(but(cogs=nine, rear={"smallest_cog": 11}), "smallest_cog").status == "fail"
    assert finding(but(cogs=nine, rear={"smallest_cog": 9}), "smallest_cog").status == "pass"


def test_front_difference_names_the_nearest_ring() -> None:
    found = finding(but(front={"capacity": 14}), "front_difference")
    assert (found.status, found.value, found.limit) == ("fail", 16, 14)
    assert found.remedy == "an inner ring of 36 or more"


def test_front_difference_is_asked_only_where_there_are_rings_to_change() -> None:
    assert finding(but(front=None), "front_difference").status == "caution"
    with pytest.raises(KeyError):
        finding(but(rings=[50]), "front_difference")


@pytest.mark.parametrize(
    ("pull", "ratio", "pitch", "status"),
    [
        (2.7, 1.4, 3.78, "pass"),
        (2.3, 1.7, 3.74, "caution"),
        (2.5, 1.7, 3.95, "fail"),
        (3.4, 1.7, 3.95, "fail"),
    ],
    ids=["matched", "ten-speed-lever-on-eleven", "nine-speed-lever-on-ten", "mountain-lever-on-road"],
)
def test_pull_times_ratio_is_held_against_the_pitch(
    pull: float, ratio: float, pitch: float, status: str
) -> None:
    bike = but(rear={"lever_pull_mm": pull, "cable_ratio": ratio}, cassette={"pitch_mm": pitch})
    found = finding(bike, "pull_per_click")
    assert found.status == status
    assert found.value == pytest.approx(pull * ratio - pitch, abs=1e-4)


def test_the_error_piles_up_over_half_the_clicks() -> None:
    bike = but(cassette={"pitch_mm": 3.72})
    found = finding(bike, "pull_accumulated")
    assert found.value == pytest.approx((2.7 * 1.4 - 3.72) * 5)
    assert found.limit == pytest.approx(3.72 - 0.8 - 2.75)
    assert found.status == "caution"


def test_electronic_bikes_are_not_asked_about_cables() -> None:
    bike = but(rear={"actuation": "electronic", "cable_ratio": None, "lever_pull_mm": None, "step_mm": 0.2})
    assert {"pull_per_click", "pull_accumulated"}.isdisjoint(f.name for f in check_fit(bike).findings)


@pytest.mark.parametrize(
    ("speeds", "status"), [(11, "pass"), (12, "caution"), (10, "fail"), (8, "fail")], ids=str
)
def test_a_chain_too_wide_fails_and_one_too_narrow_warns(speeds: int, status: str) -> None:
    found = finding(but(chain={"speeds": speeds}, cassette={"pitch_mm": 3.74}), "chain_speeds")
    assert found.status == status
    assert found.remedy == (None if status == "pass" else "a chain for 11 cogs")


@pytest.mark.parametrize(
    ("links", "status"),
    [(None, "pass"), (104, "fail"), (106, "pass"), (108, "pass"), (110, "caution")],
    ids=str,
)
def test_a_short_chain_fails_and_a_long_one_warns(links: int | None, status: str) -> None:
    found = finding(but(chain={"links": links}), "chain_length")
    assert (found.status, found.value) == (status, links)
    assert bool(found.gears) == (status != "pass")


def test_a_short_chain_names_the_largest_pair_and_the_links_to_add() -> None:
    found = finding(but(chain={"links": 102}), "chain_length")
    assert (50, 28) in found.gears
    assert found.remedy == "add 4 links: a chain of 106 links"


def test_a_crooked_chainline_says_which_way_to_move_the_rings() -> None:
    found = finding(but(crank={"chainline_mm": 50}), "chainline")
    assert found.status == "caution"
    move = found.value - found.limit
    assert found.remedy.startswith(f"move the rings inboard by {move:.1f} mm or more")
    assert finding(but(crank={"chainline_mm": 50 - math.ceil(move)}), "chainline").status == "pass"


def test_crossed_gears_are_named() -> None:
    found = finding(GOOD, "chain_angle")
    assert found.gears == ((50, 28),)
    assert found.value == pytest.approx(3.3292, abs=1e-4)


def test_a_hopeless_angle_is_answered_with_a_move_that_levels_the_worst_two() -> None:
    bike = but(crank={"chainline_mm": 60})
    found = finding(bike, "chain_angle")
    assert found.status == "fail"
    inboard, best = map(float, re.findall(r"(?:inboard by|angle) ([\d.]+)", found.remedy))
    moved = finding(but(bike, crank={"chainline_mm": 60 - inboard}), "chain_angle")
    assert moved.value == pytest.approx(best, abs=0.06)


@settings(max_examples=40)
@given(any_bike())
def test_any_bike_is_answered_in_whole_sentences_and_finite_numbers(bike: Bike) -> None:
    for found in check_fit(bike).findings:
        assert (found.remedy is None) == (found.status == "pass")
        assert all(number is None or math.isfinite(number) for number in (found.value, found.limit))
        text = found.rule + found.if_ignored + (found.remedy or "")
        assert not re.search(r"[{}]|nan|inf\b|None", text)
        assert set(found.gears) <= {(ring, cog) for ring in bike.rings for cog in bike.cogs}


@settings(max_examples=40)
@given(any_bike())
def test_a_smaller_largest_cog_never_makes_capacity_worse(bike: Bike) -> None:
    if len(bike.cogs) < 2:
        return
    order = ["pass", "caution", "fail"]
    smaller = but(bike, cogs=bike.cogs[:-1])
    for name in ("total_capacity", "largest_cog"):
        assert order.index(finding(smaller, name).status) <= order.index(finding(bike, name).status)
