"""A failure names what is missing and the nearest change, and the change puts it right."""

from typing import Any

import pytest

from tunekit import PlanError
from tunekit.runs import Device, Place, RunPlan, plan_runs
from tunekit.runs.edit import with_junctions
from tunekit.runs.programme import Programme
from tunekit.show.text.runs import runs_text


def why(plan: RunPlan) -> str:
    with pytest.raises(PlanError) as caught:
        plan_runs(plan)
    return str(caught.value)


def changed(plan: RunPlan, **parts: Any) -> RunPlan:
    return plan.model_copy(update=parts)


def wide_open(plan: RunPlan) -> RunPlan:
    """Without the grommet that lets one wire through."""
    return changed(plan, sections=tuple(s.model_copy(update={"most_wires": None}) for s in plan.sections))


@pytest.fixture
def one_short(time_trial: RunPlan) -> RunPlan:
    """Two levers and one button at a cockpit for three ports, the frame junction full."""
    plan = wide_open(
        changed(time_trial, devices=tuple(d for d in time_trial.devices if d.name != "right button"))
    )
    return changed(plan, places=(Place(at="stem", ports=(3,)), Place(at="bottom_bracket", ports=(4,))))


def test_one_port_short_at_the_cockpit(one_short: RunPlan) -> None:
    assert why(one_short) == (
        "No wiring reaches every device: one port short at the stem; a four-port junction there, "
        "or a second junction in the down tube."
    )


def test_both_changes_named_put_it_right(one_short: RunPlan) -> None:
    larger = changed(one_short, places=(Place(at="stem", ports=(3, 4)), one_short.places[1]))
    assert {j.at: j.ports for j in plan_runs(larger).junctions} == {"stem": 4, "bottom_bracket": 4}
    further = with_junctions(one_short, "down_tube", 1)
    # Any size fits there, so the levers and the button meet in the down tube and the stem needs none.
    assert {j.at: j.ports for j in plan_runs(further).junctions} == {"down_tube": 4, "bottom_bracket": 4}


def test_a_size_that_the_list_lacks_is_said_to_be_lacking(one_short: RunPlan) -> None:
    small = changed(one_short, stock=one_short.stock.model_copy(update={"junction_ports": (3,)}))
    small = changed(small, places=(Place(at="stem"),))
    assert "junction there, which the list lacks" in why(small)


def test_a_hole_that_is_too_narrow(road: RunPlan) -> None:
    plan = changed(road, places=tuple(place for place in road.places if place.at != "stem"))
    assert why(plan) == (
        "No wiring reaches every device: the hole between stem and head tube lets one wire through and two "
        "must pass; "
        "a wider hole, or a second junction at the stem."
    )
    assert plan_runs(with_junctions(plan, "stem", 1)).proven
    wider = tuple(s.model_copy(update={"most_wires": 2}) if s.most_wires else s for s in plan.sections)
    assert plan_runs(changed(plan, sections=wider)).proven


def test_no_place_for_any_junction(time_trial: RunPlan) -> None:
    assert why(changed(time_trial, places=())) == (
        "No wiring reaches every device: seven devices must be joined and the plan has too few places for "
        "junctions; "
        "add points where junctions may sit, such as the stem and the bottom bracket."
    )


def test_ports_and_lengths_both_short_are_both_named(time_trial: RunPlan) -> None:
    stock = time_trial.stock.model_copy(update={"wires_mm": (700.0,)})
    place = (Place(at="bottom_bracket", ports=(4,)),)
    sentence = why(changed(wide_open(time_trial), stock=stock, places=place))
    assert "three ports short at the bottom bracket" in sentence
    assert "the longest in the list is 700 mm" in sentence


def test_a_device_with_two_ports_passes_the_signal_on(road: RunPlan) -> None:
    """Two devices in line behind the battery need no junction at all."""
    battery = next(d for d in road.devices if d.kind == "battery")
    unit = Device(name="unit", kind="wireless_unit", at="bottom_bracket", ports=2)
    rear = next(d for d in road.devices if d.kind == "rear_derailleur")
    sheet = plan_runs(changed(road, devices=(battery, unit, rear)))
    assert not sheet.junctions
    assert sheet.continuity[1].path == ("W2", "unit", "W1") or sheet.continuity[1].path == (
        "W1",
        "unit",
        "W2",
    )


def test_a_search_out_of_time_says_that_its_answer_is_not_proven(
    time_trial: RunPlan, monkeypatch: pytest.MonkeyPatch
) -> None:
    solve = Programme.solve
    monkeypatch.setattr(Programme, "solve", lambda *given: (solve(*given)[0], False))
    sheet = plan_runs(time_trial)
    assert not sheet.proven
    assert "ran out of time" in runs_text(sheet)


def test_a_search_out_of_time_without_an_answer_claims_no_impossibility(
    time_trial: RunPlan, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Programme, "solve", lambda *given: (None, False))
    with pytest.raises(PlanError, match=r"ran out of its 3 s without finding one"):
        plan_runs(time_trial, seconds=3)


def test_the_same_plan_gives_the_same_sheet(time_trial: RunPlan) -> None:
    assert plan_runs(time_trial) == plan_runs(time_trial)


def test_one_junction_more_is_named_before_several_changes_at_once(time_trial: RunPlan) -> None:
    plan = changed(time_trial, places=tuple(place for place in time_trial.places if place.at != "stem"))
    sentence = (
        "No wiring reaches every device: a place for a junction is missing; a second junction at the stem."
    )
    assert why(plan) == sentence
    assert plan_runs(with_junctions(plan, "stem", 1)).proven
