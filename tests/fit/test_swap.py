"""Before and after: gears, chain, capacity, B screw, index, and what to set again."""

import pytest
from bikes import GOOD, but

from tunekit.data import table
from tunekit.fit import check_fit, swap
from tunekit.mechanics.sprocket import tip_diameter_mm

OLD = but(chain={"links": 106}, rear={"largest_cog": 34, "capacity": 39, "cage_mm": 80})
BIGGER = but(OLD, cogs=[11, 13, 15, 17, 19, 21, 23, 25, 27, 30, 34])


def names(before: object, after: object) -> list[str]:
    return [item.name for item in swap(before, after).set_again]  # type: ignore[arg-type]


def test_nothing_changed_is_nothing_to_set() -> None:
    report = swap(OLD, OLD)
    assert (report.gained, report.lost, report.set_again) == ((), (), ())
    assert report.index_shift_mm == (0.0,) * 11
    assert report.why == "Nothing has to be set again."


def test_a_bigger_cassette_gains_low_gears_and_moves_the_pulley() -> None:
    report = swap(OLD, BIGGER)
    assert (50, 34) in report.gained
    assert (50, 28) in report.lost
    assert (report.lowest_before, report.lowest_after) == (34 / 28, 1.0)
    assert (report.capacity_before, report.capacity_after, report.capacity_limit) == (33, 39, 39)
    assert report.pulley_gap_change_mm == pytest.approx(
        (tip_diameter_mm(28) - tip_diameter_mm(34)) / 2, abs=1e-4
    )
    assert [item.name for item in report.set_again] == ["chain", "b_screw"]
    assert report.why == "Set again, in this order: chain, B screw."


def test_another_wheel_moves_every_cog_by_the_same() -> None:
    """A spacer of half a millimetre behind the smallest cog's locknut: every cog stands further inboard."""
    report = swap(OLD, but(OLD, cassette={"locknut_gap_mm": 3.5}))
    assert report.index_shift_mm == pytest.approx((0.5,) * 11)
    assert [item.name for item in report.set_again] == ["high_limit", "low_limit", "rear_index"]


def test_a_wider_hub_moves_the_cogs_outboard() -> None:
    assert swap(OLD, but(OLD, frame={"hub_spacing_mm": 131})).index_shift_mm == pytest.approx((-0.5,) * 11)


def test_a_hair_of_a_difference_is_left_alone() -> None:
    assert names(OLD, but(OLD, cassette={"locknut_gap_mm": 3.05})) == []


def test_other_spacing_spreads_the_shift_and_asks_for_the_lever_to_match() -> None:
    report = swap(OLD, but(OLD, cassette={"pitch_mm": 3.74}))
    assert report.index_shift_mm[0] == 0.0
    assert report.index_shift_mm[-1] == pytest.approx(-0.4)
    assert [item.name for item in report.set_again] == ["low_limit", "rear_index"]


def test_another_number_of_cogs_asks_for_another_lever_first() -> None:
    fewer = but(OLD, cogs=OLD.cogs[1:], chain={"speeds": 10})
    assert names(OLD, fewer)[0] == "lever"


def test_new_rings_ask_for_the_front_height_and_stops() -> None:
    assert names(OLD, but(OLD, rings=[36, 52]))[-2:] == ["front_height", "front_limits"]
    assert "front_height" not in names(OLD, but(OLD, rings=[36, 50]))


def test_the_report_carries_the_fit_of_the_bike_after() -> None:
    report = swap(GOOD, but(GOOD, cogs=BIGGER.cogs))
    assert report.fit["total_capacity"].status == "fail"
    assert report.fit["largest_cog"].status == "fail"
    assert report.chain.shortest is None
    assert report.why.startswith(
        "The bike after does not go together: total capacity, largest cog, chain length. Set again"
    )


def test_every_finding_and_every_setting_has_a_name_to_be_told_by() -> None:
    told = table("words/fit")["swap"]
    every = but(
        but(GOOD, rings=[28, 38, 48], rear={"cage_mm": 30.0, "least_largest_cog": 28, "lever_clicks": 10}),
        front={"largest_ring": 50, "least_ring": 46, "least_difference": 10},
    )
    assert {f.name for f in check_fit(every).findings} == set(told["findings"])
    everything = but(
        GOOD,
        rings=[36, 52],
        cogs=range(12, 22),
        cassette={"pitch_mm": 3.95, "locknut_gap_mm": 2.0},
        chain={"links": 96},
    )
    assert set(names(OLD, everything)) == set(told["names"])
