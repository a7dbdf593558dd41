"""Issue 6's checks. Common practice, no source (the figures are typical of the trade)."""

from itertools import pairwise

import pytest

from tunekit.runs import Device, RunPlan, RunSheet, plan_runs, starter_plan


def without_buttons(plan: RunPlan) -> RunPlan:
    return plan.model_copy(update={"devices": tuple(d for d in plan.devices if d.kind != "button")})


def bought(sheet: RunSheet, *ends: str) -> float:
    """The wire that leads between two points of the frame."""
    (found,) = [wire for wire in sheet.wires if {wire.route[0], wire.route[-1]} == set(ends)]
    return found.length_mm


def test_a_time_trial_bike_with_one_pair_of_levers_needs_three_ports_at_the_cockpit(
    time_trial: RunPlan,
) -> None:
    sheet = plan_runs(without_buttons(time_trial))
    ports = {junction.at: junction.ports for junction in sheet.junctions}
    assert ports == {"stem": 3, "bottom_bracket": 4}


def test_a_time_trial_bike_with_extra_buttons_needs_five_ports_at_the_cockpit(time_trial: RunPlan) -> None:
    ports = {junction.at: junction.ports for junction in plan_runs(time_trial).junctions}
    assert ports == {"stem": 5, "bottom_bracket": 4}


def test_a_time_trial_bike_takes_about_1200_mm_from_stem_to_bottom_bracket(time_trial: RunPlan) -> None:
    assert bought(plan_runs(without_buttons(time_trial)), "stem", "bottom_bracket") == pytest.approx(
        1200, abs=50
    )


def test_a_time_trial_bike_takes_about_750_mm_from_bottom_bracket_to_rear_derailleur(
    time_trial: RunPlan,
) -> None:
    assert bought(plan_runs(time_trial), "bottom_bracket", "dropout") == pytest.approx(750, abs=50)


def test_a_battery_in_the_seat_tube_takes_about_500_mm_and_the_levers_two_of_about_350(
    time_trial: RunPlan,
) -> None:
    sheet = plan_runs(without_buttons(time_trial))
    assert bought(sheet, "seat_tube", "bottom_bracket") == pytest.approx(500, abs=50)
    levers = [wire.length_mm for wire in sheet.wires if wire.end.endswith("lever")]
    assert levers == pytest.approx([350, 350], abs=50)


def test_nine_devices_are_reached_without_a_loop_or_a_port_used_twice(time_trial: RunPlan) -> None:
    more = (
        Device(name="charging port", kind="charging_port", at="seat_tube"),
        Device(name="wireless unit", kind="wireless_unit", at="down_tube"),
    )
    sheet = plan_runs(time_trial.model_copy(update={"devices": (*time_trial.devices, *more)}))
    assert sheet.proven
    assert len(sheet.wires) == 9 + len(sheet.junctions) - 1
    assert {row.device for row in sheet.continuity} == {
        d.name for d in time_trial.devices + more if d.kind != "battery"
    }
    ends = [end for wire in sheet.wires for end in (wire.start, wire.end)]
    room = {f"junction {junction.label}": junction.ports for junction in sheet.junctions}
    for name in ends:
        assert ends.count(name) <= room.get(name, 1)


def test_every_wire_is_long_enough_and_from_the_list(time_trial: RunPlan) -> None:
    for wire in plan_runs(time_trial).wires:
        assert wire.length_mm in time_trial.stock.wires_mm
        assert wire.length_mm - wire.need_mm == wire.excess_mm >= 0
        shorter = [mm for mm in time_trial.stock.wires_mm if wire.need_mm <= mm < wire.length_mm]
        assert not shorter


def test_slack_stands_where_bars_turn_stem_clamps_and_battery_comes_out(road: RunPlan) -> None:
    sheet = plan_runs(road)
    by_end = {wire.route[-1] if wire.start != "battery" else "battery": wire for wire in sheet.wires}
    assert by_end["battery"].slack_mm == 100  # the battery is pulled out
    assert by_end["stem"].slack_mm == 60  # the bars turn
    assert by_end["left_lever"].slack_mm == 10  # the stem clamps
    assert by_end["dropout"].slack_mm == 0


def test_suspension_that_moves_adds_its_slack_to_the_rear_run() -> None:
    plan = starter_plan("trail")
    (rear,) = [wire for wire in plan_runs(plan).wires if wire.end == "rear derailleur"]
    path = [plan.section(*step) for step in pairwise(rear.route)]
    assert rear.need_mm == sum(section.mm for section in path if section) + 60
