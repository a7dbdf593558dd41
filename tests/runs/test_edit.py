"""One change at a time: the new plan is checked, the old one untouched."""

import pytest

from tunekit import PlanError
from tunekit.runs import RunPlan, plan_runs, plan_to_text
from tunekit.runs.edit import with_device, with_junctions, with_length, with_stock, without_device


def test_a_length_either_way_round_becomes_measured(road: RunPlan) -> None:
    before = plan_to_text(road)
    section = with_length(road, ("head_tube", "stem"), 95).section("stem", "head_tube")
    assert section is not None
    assert (section.mm, section.measured) == (95, True)
    assert plan_to_text(road) == before


def test_a_wrong_length_is_refused(road: RunPlan) -> None:
    with pytest.raises(PlanError, match=r"sections\[4\]\.mm must be at least 0"):
        with_length(road, ("stem", "head_tube"), -1)


def test_a_device_gets_a_name_of_its_own_and_can_go_again(road: RunPlan) -> None:
    once = with_device(road, "button", "left_lever")
    twice = with_device(once, "button", "left_lever")
    assert [d.name for d in twice.devices[-2:]] == ["left button", "left button 2"]
    assert without_device(twice, "left button 2") == once


def test_an_added_device_changes_the_plan_at_once(road: RunPlan) -> None:
    ports = {j.at: j.ports for j in plan_runs(with_device(road, "button", "bars")).junctions}
    assert ports["stem"] == 5


def test_junctions_may_sit_and_no_longer_sit(road: RunPlan) -> None:
    more = with_junctions(road, "down_tube", 2)
    assert more.places[-1].most == 2
    assert with_junctions(more, "down_tube", 0) == road


def test_the_users_own_list_replaces_the_typical_one(road: RunPlan) -> None:
    own = with_stock(road, "1000; 500, 300", "3 4")
    assert (own.stock.wires_mm, own.stock.junction_ports, own.stock.typical) == (
        (1000, 500, 300),
        (3, 4),
        False,
    )
    assert {wire.length_mm for wire in plan_runs(own).wires} <= {1000, 500, 300}


@pytest.mark.parametrize(
    ("wires", "junctions", "sentence"),
    [
        (
            "300, long",
            "3",
            "stock.wires_mm must be numbers like 200, 250, 300 (got 300, long); correct the list.",
        ),
        (
            "",
            "3",
            "stock.wires_mm must hold at least one number (got an empty list); list what can be bought.",
        ),
        ("0", "3", "stock.wires_mm[1] must be more than 0"),
        ("nan", "3", "stock.wires_mm[1] must be"),
        ("300", "3.5", "stock.junction_ports must be whole numbers"),
        ("300", "inf", "stock.junction_ports must be whole numbers"),
    ],
)
def test_a_list_that_is_none(road: RunPlan, wires: str, junctions: str, sentence: str) -> None:
    with pytest.raises(PlanError) as caught:
        with_stock(road, wires, junctions)
    assert str(caught.value).startswith(sentence)
