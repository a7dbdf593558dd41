"""Lengths, small parts and drag of mechanical cables."""

from math import exp, radians

import pytest

from tunekit.data import table
from tunekit.runs import RunPlan, plan_runs, starter_plan
from tunekit.runs.records import CableRun, RunSheet


@pytest.fixture
def plan() -> RunPlan:
    return starter_plan("road", "cable")


@pytest.fixture
def sheet(plan: RunPlan) -> RunSheet:
    return plan_runs(plan)


def run(sheet: RunSheet, pulls: str) -> CableRun:
    return next(run for run in sheet.cables if run.pulls == pulls)


def test_housing_and_bare_wire_take_turns_from_lever_to_derailleur(sheet: RunSheet) -> None:
    assert [(p.kind, p.start, p.end) for p in run(sheet, "rear").pieces] == [
        ("housing", "right lever", "head tube"),
        ("bare", "head tube", "chainstay"),
        ("housing", "chainstay", "dropout"),
    ]
    assert [p.kind for p in run(sheet, "front").pieces] == ["housing", "bare"]


def test_housing_has_slack_where_things_move_and_bare_wire_has_none(plan: RunPlan, sheet: RunSheet) -> None:
    first, bare, loop = run(sheet, "rear").pieces
    way = ("right_lever", "bars", "stem", "head_tube")
    path = sum(s.mm for s in plan.sections if set(s.between) <= set(way))
    assert first.slack_mm == 60 + 10  # bars turn, stem clamps
    assert first.length_mm == path + 70
    assert bare.slack_mm == loop.slack_mm == 0


def test_inner_wire_is_the_run_and_150_mm_to_trim(sheet: RunSheet) -> None:
    """Common practice, no source (facts 12)."""
    for cable in sheet.cables:
        assert cable.inner_mm == sum(piece.length_mm for piece in cable.pieces) + 150
        assert cable.inner_bought_mm is not None
        assert cable.inner_bought_mm >= cable.inner_mm


def test_every_housing_end_has_a_ferrule_and_every_inner_wire_a_cap(sheet: RunSheet) -> None:
    """A ferrule on every end that takes one (workshop page on housing length; magazine on shift cables)."""
    counts = {line.part: line.count for line in sheet.parts}
    housing = [piece for cable in sheet.cables for piece in cable.pieces if piece.kind == "housing"]
    assert counts["ferrule"] == 2 * len(housing) == 6
    assert counts["end_cap"] == len(sheet.cables) == 2


def test_friction_is_the_capstan_ratio_over_all_bends(sheet: RunSheet) -> None:
    """Capstan (Euler-Eytelwein) equation, any statics textbook (from memory)."""
    mu = table("cable")["mu_clean"]["value"]
    rear = run(sheet, "rear")
    assert rear.bend_deg == sum(piece.bend_deg for piece in rear.pieces)
    assert rear.force_ratio == pytest.approx(exp(mu * radians(rear.bend_deg)))


def test_more_bends_mean_more_drag_until_indexing_is_unlikely(plan: RunPlan) -> None:
    def bent(factor: float) -> CableRun:
        sections = tuple(
            s.model_copy(update={"bend_deg": min(s.bend_deg * factor, 1080)}) for s in plan.sections
        )
        return run(plan_runs(plan.model_copy(update={"sections": sections})), "rear")

    mild, sharp = bent(0.5), bent(3)
    assert mild.drag_mm < sharp.drag_mm
    assert mild.verdict.startswith("That is within the quiet")
    assert "clean indexing is unlikely" in sharp.verdict


def test_a_last_loop_shorter_than_common_practice_is_pointed_out(plan: RunPlan) -> None:
    """250 to 350 mm, common practice (facts 12)."""
    short = tuple(s.model_copy(update={"mm": 180.0}) if "dropout" in s.between else s for s in plan.sections)
    notes = run(plan_runs(plan.model_copy(update={"sections": short})), "rear").notes
    assert "The last housing loop is 180 mm; 250 mm or more is common practice, a tight loop drags." in notes


def test_an_old_cable_is_not_bought_again() -> None:
    assert not plan_runs(starter_plan("road")).cables
