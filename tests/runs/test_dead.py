"""Which break explains which silence. The truth is cut by hand: remove one part, see what loses the
battery."""

import pytest

from tunekit import PlanError
from tunekit.runs import RunPlan, RunSheet, explain_dead, plan_runs, starter_frames, starter_plan


def answering_without(sheet: RunSheet, broken: str) -> set[str]:
    """Devices still joined to the battery when a wire or junction is taken out, by walking the wires."""
    links = [(w.start, w.end) for w in sheet.wires if w.label != broken]
    links = [pair for pair in links if f"junction {broken}" not in pair]
    live, grew = {"battery"}, True
    while grew:
        more = {end for pair in links if live & set(pair) for end in pair} - live
        live, grew = live | more, bool(more)
    return live & {row.device for row in sheet.continuity}


@pytest.mark.parametrize("name", starter_frames())
def test_each_single_break_is_named_among_the_suspects_of_one_branch(name: str) -> None:
    sheet = plan_runs(starter_plan(name))
    for label in [w.label for w in sheet.wires] + [j.label for j in sheet.junctions]:
        (branch,) = explain_dead(sheet, answering_without(sheet, label))
        assert label in {suspect.label for suspect in branch.suspects}


def test_all_answer(time_trial: RunPlan) -> None:
    sheet = plan_runs(time_trial)
    assert explain_dead(sheet, {row.device for row in sheet.continuity}) == ()


def test_none_answers_points_at_the_battery_first(time_trial: RunPlan) -> None:
    (branch,) = explain_dead(plan_runs(time_trial), set())
    assert [suspect.kind for suspect in branch.suspects] == ["battery", "wire", "junction"]


def test_two_separate_breaks_give_two_branches(time_trial: RunPlan) -> None:
    alive = {"left lever", "right lever", "left button", "right button", "front derailleur"} - {"left lever"}
    branches = explain_dead(plan_runs(time_trial), alive)
    assert [branch.devices for branch in branches] == [("left lever",), ("rear derailleur",)]
    assert all({s.kind for s in branch.suspects} == {"wire", "device"} for branch in branches)


def test_the_whole_cockpit_dead_is_its_wire_or_its_junction(time_trial: RunPlan) -> None:
    (branch,) = explain_dead(plan_runs(time_trial), {"front derailleur", "rear derailleur"})
    assert [(s.kind, s.label) for s in branch.suspects] == [("wire", "W1"), ("junction", "J2")]
    assert branch.why == (
        "Wire W1 (junction J1 to junction J2) or one of its plugs or junction J2 at the stem: any of these "
        "explains why "
        "left lever, right lever, left button and right button do not answer."
    )


def test_a_name_that_is_no_device(time_trial: RunPlan) -> None:
    with pytest.raises(
        PlanError, match=r"responding must name devices of the plan, .* \(got bell\); correct the name\."
    ):
        explain_dead(plan_runs(time_trial), {"bell"})
