"""Order of pulling: what guides, where a magnet helps, when the bottom bracket comes out, where a pinch
threatens."""

import pytest

from tunekit.runs import RunPlan, plan_runs, starter_frames, starter_plan
from tunekit.runs.edit import with_length
from tunekit.runs.records import PullStep, RunSheet


def step(sheet: RunSheet, start: str) -> int:
    return next(n for n, s in enumerate(sheet.pulling) if s.command.startswith(start))


def notes(sheet: RunSheet, end: str) -> tuple[str, ...]:
    found: list[PullStep] = [s for s in sheet.pulling if s.label and s.command.endswith(f"{end}.")]
    return found[0].notes


def test_the_battery_is_off_before_and_tests_come_before_closing(road: RunPlan) -> None:
    sheet = plan_runs(road)
    order = [
        step(sheet, s)
        for s in (
            "Disconnect",
            "Take the cranks",
            "Pull W1",
            "Push every plug",
            "Connect the battery",
            "Do the tests",
        )
    ]
    assert order == sorted(order)


def test_an_old_inner_wire_guides_once_and_then_its_thread(road: RunPlan) -> None:
    said = [note for s in plan_runs(road).pulling for note in s.notes]
    # The thread for the chainstay is tied where the chainstay ends, not where W1 is tied on.
    tied = [note for note in said if "end of the rear cable's old wire at the" in note]
    assert len(tied) == 1
    assert "old wire at the bottom bracket" not in tied[0]
    assert "tie W1 on there" in tied[0]
    assert sum("thread that W1 left behind" in note for note in said) == 1
    assert sum("old inner wire of the front cable" in note for note in said) == 1


def test_a_magnet_helps_where_nothing_guides(road: RunPlan) -> None:
    seat = next(s for s in plan_runs(road).pulling if s.label and "battery" in s.command)
    assert any(note.startswith("A magnet outside the tube") for note in seat.notes)


def test_the_bottom_bracket_comes_out_for_a_junction_in_its_shell(road: RunPlan) -> None:
    assert any("bottom bracket out" in s.command for s in plan_runs(road).pulling)


def test_the_bottom_bracket_stays_when_all_is_guided_past_it() -> None:
    plan = starter_plan("trail")
    kept = tuple(d.model_copy(update={"at": "down_tube"}) if d.kind == "battery" else d for d in plan.devices)
    places = tuple(place.model_copy(update={"at": "stem"}) for place in plan.places[:1])
    stock = plan.stock.model_copy(update={"wires_mm": (300.0, 600.0, 1600.0)})
    steps = plan_runs(plan.model_copy(update={"devices": kept, "places": places, "stock": stock})).pulling
    assert any("old inner wire of the rear cable" in note for s in steps for note in s.notes)
    assert not any("bottom bracket out" in s.command for s in steps)


def test_a_pinch_is_named_where_a_clamp_threatens(road: RunPlan) -> None:
    assert any(
        "between left lever" in n or "between bars and stem" in n
        for n in notes(plan_runs(road), "left lever")
    )


@pytest.mark.parametrize("name", starter_frames())
@pytest.mark.parametrize("actuation", ["electronic", "cable"])
def test_commands_have_20_words_or_fewer(name: str, actuation: str) -> None:
    for found in plan_runs(starter_plan(name, actuation)).pulling:
        assert len(found.command.split()) <= 20, found.command


@pytest.mark.parametrize("name", starter_frames())
def test_every_excess_has_a_place_and_never_in_the_head_tube(name: str) -> None:
    for wire in plan_runs(starter_plan(name)).wires:
        assert (wire.excess_mm > 0) == bool(wire.stow) == (wire.stow_at is not None)
        assert wire.stow_at in (None, *wire.route)
        assert wire.stow_at != "head_tube"


def test_both_ends_get_the_same_words_and_no_label_twice(time_trial: RunPlan) -> None:
    sheet = plan_runs(time_trial)
    assert [tag.label for tag in sheet.tags] == [wire.label for wire in sheet.wires]
    assert len({tag.text for tag in sheet.tags}) == len(sheet.tags)


def test_signal_words_stand_gravest_first(road: RunPlan) -> None:
    for plan in (road, starter_plan("road", "cable")):
        signals = [caution.signal for caution in plan_runs(plan).cautions]
        assert signals == sorted(signals, key=["WARNING", "CAUTION", "NOTICE"].index)


def test_a_measured_length_is_no_longer_listed_as_typical(road: RunPlan) -> None:
    measured = with_length(road, ("head_tube", "stem"), 120)
    assert ("stem", "head_tube") in plan_runs(road).unmeasured
    assert ("stem", "head_tube") not in plan_runs(measured).unmeasured


@pytest.mark.parametrize("frame", ["gravel", "trail"])
def test_with_housing_throughout_the_old_wire_leads_the_new_housing(frame: str) -> None:
    """Three shop texts agree (seen): old housing off over the old wire, new housing up it, only then the wire out."""
    plan = starter_plan(frame)
    cables = tuple(cable.model_copy(update={"old": False}) for cable in plan.cables)
    kept = {"devices": (), "places": (), "cables": cables}
    said = [s.command for s in plan_runs(plan.model_copy(update=kept)).pulling]
    order = ["Slide the old housing", "Slide the new housing", "Only now draw the old wire", "Thread the"]
    places = [next(n for n, text in enumerate(said) if text.startswith(start)) for start in order]
    assert places == sorted(places)
    assert not any("thin liner" in text for text in said)


def test_tests_before_closing_are_those_that_can_be_done_then(road: RunPlan) -> None:
    sheet = plan_runs(road)
    assert not any("every gear" in test or "cranks" in test for test in sheet.tests)
    assert any("every gear" in test for test in sheet.tests_after)
    assert any("cranks" in test for test in sheet.tests_after)


@pytest.mark.parametrize("frame", starter_frames())
def test_no_wire_leaves_a_closed_tube_and_comes_back(frame: str) -> None:
    plan = starter_plan(frame)
    for wire in plan_runs(plan).wires:
        inside = [bool(s and s.inside) for s in map(plan.section, wire.route, wire.route[1:])]
        assert "".join("x" if hidden else " " for hidden in inside).split().__len__() <= 1, wire.label
