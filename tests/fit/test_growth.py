"""Rear travel that lengthens the chainstay is charged to the cage: the chain is cut for its longest, and hangs at rest.

Worked out: both runs grow with the chainstay, 2 x growth / 12.7 links, and a link is two teeth of take-up.
"""

import pytest

from tunekit import check_fit, size_chain
from tunekit.bike import Bike
from tunekit.bike.starters import starter, starter_names


def grown(growth_mm: float) -> Bike:
    bike = starter("trail-single-12")
    return bike.model_copy(update={"frame": bike.frame.model_copy(update={"chainstay_growth_mm": growth_mm})})


@pytest.mark.parametrize(("growth", "teeth"), [(0, 41), (12, 44.8), (30, 50.4)])
def test_growth_asks_teeth_of_the_cage(growth: float, teeth: float) -> None:
    assert check_fit(grown(growth))["total_capacity"].value == pytest.approx(teeth, abs=0.06)


@pytest.mark.parametrize("growth", [6, 12])
def test_growth_does_not_lengthen_what_the_rules_allow(growth: float) -> None:
    still, moved = size_chain(grown(0)), size_chain(grown(growth))
    assert still.longest_rules is not None
    assert moved.longest_rules is not None
    assert moved.longest_rules <= still.longest_rules


@pytest.mark.parametrize("name", starter_names())
def test_a_bike_as_sold_goes_together_without_a_but(name: str) -> None:
    assert check_fit(starter(name)).status == "pass"


def test_a_chain_that_may_stay_is_not_to_be_cut() -> None:
    bike = starter("road-double-11")
    advice = size_chain(bike.model_copy(update={"chain": bike.chain.model_copy(update={"links": 106})}))
    assert advice.keep
    assert "cut" not in advice.why.lower()


def test_a_rule_too_short_for_this_bike_is_marked() -> None:
    found = []
    for stay in range(400, 421):
        bike = starter("road-double-11")
        advice = size_chain(
            bike.model_copy(update={"frame": bike.frame.model_copy(update={"chainstay_mm": stay})})
        )
        assert advice.shortest is not None
        assert all(rule.safe == (rule.links >= advice.shortest) for rule in advice.rules)
        found += [rule for rule in advice.rules if not rule.safe]
    assert found


def test_room_beside_the_chain_goes_by_the_chain_s_own_width() -> None:
    bike = starter("city-8")
    few = bike.model_copy(update={"cogs": bike.cogs[:3]})
    assert check_fit(few)["pull_accumulated"].limit > 0
