"""One sentence for every plan that cannot be used, and the plan as it was."""

from pathlib import Path
from typing import Any

import pytest

from tunekit import PlanError
from tunekit.runs import (
    Device,
    RunPlan,
    check_plan,
    load_plan,
    plan_from_text,
    plan_runs,
    plan_to_text,
    starter_plan,
)
from tunekit.runs import plan as plan_module


def refused(plan: RunPlan) -> str:
    before = plan_to_text(plan)
    with pytest.raises(PlanError) as caught:
        plan_runs(plan)
    assert plan_to_text(plan) == before
    assert "\n" not in str(caught.value)
    assert str(caught.value).endswith(".")
    return str(caught.value)


def changed(plan: RunPlan, **parts: Any) -> RunPlan:
    return plan.model_copy(update=parts)


def test_two_batteries(road: RunPlan) -> None:
    second = Device(name="spare battery", kind="battery", at="stem")
    assert refused(changed(road, devices=(*road.devices, second))) == (
        "devices must hold one battery (got 2: battery, spare battery), since two would feed each other; "
        "remove one."
    )


def test_no_battery(road: RunPlan) -> None:
    sentence = refused(changed(road, devices=road.devices[:2]))
    assert sentence == "devices must hold one battery (got none); add the battery and where it sits."


def test_a_device_nowhere_reachable(road: RunPlan) -> None:
    kept = tuple(s for s in road.sections if "dropout" not in s.between)
    assert refused(changed(road, sections=kept)) == (
        "devices[4] 'rear derailleur' must be reachable from the battery, but no section leads to dropout; "
        "add the section and its length."
    )


def test_negative_length() -> None:
    with pytest.raises(PlanError) as caught:
        plan_from_text('starter = "road"\nmeasured = [{between = ["stem", "head_tube"], mm = -5}]')
    assert str(caught.value).startswith("sections[4].mm must be at least 0 (")
    assert str(caught.value).endswith("(got -5); correct the number.")


def test_a_list_without_a_long_enough_wire(time_trial: RunPlan) -> None:
    short = time_trial.stock.model_copy(update={"wires_mm": (250.0, 500.0, 750.0)})
    assert refused(changed(time_trial, stock=short)) == (
        "No wiring reaches every device: the wire from the junction at the bottom bracket to the junction "
        "at the stem "
        "needs 1180 mm and the longest in the list is 750 mm; add a wire of 1180 mm or more to the list."
    )


def test_a_section_between_unknown_points_and_one_listed_twice(road: RunPlan) -> None:
    lost = road.sections[0].model_copy(update={"between": ("stem", "saddle")})
    assert "sections[11].between must be one of the plan's points (got saddle)" in refused(
        changed(road, sections=(*road.sections, lost))
    )
    again = refused(changed(road, sections=(*road.sections, road.sections[0])))
    assert again == "sections must each be listed once (got bars – left_lever twice); remove or rename one."


def test_nothing_to_run_and_a_battery_alone(road: RunPlan) -> None:
    assert "nothing to run" in refused(changed(road, devices=(), cables=()))
    assert "the battery alone" in refused(changed(road, devices=road.devices[-1:]))


def test_a_device_named_like_a_label_of_the_sheet(road: RunPlan) -> None:
    sly = road.devices[0].model_copy(update={"name": "J1"})
    assert "must not look like a label of the sheet (got J1)" in refused(
        changed(road, devices=(sly, *road.devices[1:]))
    )


def test_a_cable_that_jumps_and_stops_out_of_order() -> None:
    plan = starter_plan("road", "cable")
    cable = plan.cables[0]
    jumps = cable.model_copy(update={"via": ("right_lever", "stem"), "stops": ()})
    assert "cables[1].via must follow sections (got right_lever, stem" in refused(
        changed(plan, cables=(jumps,))
    )
    swapped = cable.model_copy(update={"stops": ("chainstay", "head_tube")})
    assert "cables[1].stops must be points between the two ends" in refused(changed(plan, cables=(swapped,)))


@pytest.mark.parametrize(
    ("text", "start"),
    [
        ('starter = "tandem"', "file starter must be road, time_trial, gravel, trail or small (got tandem)"),
        ('starter = "road"\nactuation = "rope"', "file actuation must be electronic or cable (got rope)"),
        ('starter = "road"\ncolour = "red"', "colour is not a known key (got red); remove it"),
        (
            'starter = "road"\nmeasured = [{between = ["stem", "moon"], mm = 5}]',
            "file measured names a section",
        ),
        (
            'starter = "road"\nmeasured = [{between = ["stem", "head_tube"], mm = nan}]',
            "sections[4].mm must be",
        ),
        ('starter = "road"\nmeasured = [{between = 7, mm = 5}]', "file measured must be rows like"),
        ('starter = "road"\nsections = 3', "sections must be a list"),
        ('{"starter": "road", "tunekit_runs": 2}', "tunekit_runs must be 1 (got 2); update the tool"),
        ('{"starter": "road"', "file must be whole JSON"),
        ("starter = road", "file must be whole TOML"),
        ("[1, 2]", "file must be a table of keys and values"),
        ("", "points is missing; add it."),
        ("[" * 100_000, "file must be a run plan (got endless nesting)"),
    ],
)
def test_files_that_cannot_be_used(text: str, start: str) -> None:
    with pytest.raises(PlanError) as caught:
        plan_from_text(text)
    assert str(caught.value).startswith(start)
    assert "\n" not in str(caught.value)


def test_other_bytes_too_many_bytes_and_no_file(tmp_path: Path) -> None:
    with pytest.raises(PlanError, match="must be UTF-8 text"):
        plan_from_text(b"\xff\xfe\x00")
    (tmp_path / "big.toml").write_bytes(b"#" * 3_000_000)
    with pytest.raises(PlanError, match="must be smaller than 2 MB"):
        load_plan(tmp_path / "big.toml")
    with pytest.raises(PlanError, match="cannot be read"):
        load_plan(tmp_path / "none.toml")


@pytest.mark.parametrize("name", ["road", "time_trial", "gravel", "trail", "small"])
@pytest.mark.parametrize("actuation", ["electronic", "cable"])
def test_every_starter_survives_its_file_and_is_planned(tmp_path: Path, name: str, actuation: str) -> None:
    plan = starter_plan(name, actuation)
    (tmp_path / "plan.json").write_text(plan_to_text(plan), encoding="utf-8")
    assert load_plan(tmp_path / "plan.json") == plan
    check_plan(plan)
    assert plan_runs(plan).proven


def test_the_short_plan_of_the_docstring_is_a_whole_plan() -> None:
    documented = plan_module.__doc__ or ""
    text = "\n".join(line[4:] for line in documented.splitlines() if line.startswith("    "))
    plan = plan_from_text(text)
    assert plan.stock.wires_mm == (300, 500, 900, 1200)
    assert not plan.stock.typical
    assert plan_runs(plan).proven
