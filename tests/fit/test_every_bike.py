"""No bike that the model takes makes a formula raise: what cannot be computed is a finding that says so."""

import json

import numpy as np
import pytest
from any_bike import valid_bikes
from bikes import but
from hypothesis import HealthCheck, given, settings

from tunekit.bike import Bike, SessionError
from tunekit.fit import chainlines, check_fit, size_chain, swap
from tunekit.mechanics.from_bike import front_check, hand_rate, top_view
from tunekit.mechanics.gears import gear_table
from tunekit.show.as_json import json_text
from tunekit.show.text.fit import chain_text, fit_text, swap_text
from tunekit.show.text.gears import gears_text, line_text

TURNED = ("rear_barrel", "rear_micro_adjust", "high_limit", "b_screw", "front_barrel", "front_micro_adjust")
LOOSE = settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))


@given(valid_bikes())
@LOOSE
def test_fit_and_chain_always_answer(bike: Bike) -> None:
    report, advice = check_fit(bike), size_chain(bike)
    assert fit_text(report)
    assert chain_text(advice)
    assert advice.links % 2 == 0
    json.loads(json_text(report))
    unsolved = advice.basis == "rules"
    assert unsolved == ("chain_path" in {finding.name for finding in report.findings})


@given(valid_bikes())
@LOOSE
def test_gears_line_and_views_always_answer(bike: Bike) -> None:
    table = gear_table(
        bike.rings,
        bike.cogs,
        bike.wheel.circumference_mm,
        bike.crank.length_mm,
        hub_gears=bike.wheel.hub_gears,
    )
    assert gears_text(table)
    assert line_text(chainlines(bike))
    assert np.isfinite(top_view(bike).run_mm).all()
    assert bike.front is None or front_check(bike).stops
    for what in TURNED:
        hand_rate(what, bike)


@given(valid_bikes(), valid_bikes())
@LOOSE
def test_any_swap_answers(before: Bike, after: Bike) -> None:
    assert swap_text(swap(before, after))


def test_a_chain_path_that_cannot_be_solved_is_a_finding_with_its_reason() -> None:
    found = check_fit(but(rear={"cage_mm": 30.0}))["chain_path"]
    assert found.status == "caution"
    assert "cage_mm must be at least" in found.rule


def test_ring_and_cog_that_would_touch_are_refused_by_the_model_in_one_sentence() -> None:
    # Seen: chainstay 200, ring 80, cog 80 passed the model and every page died. Radii by p / sin(180/N), halved:
    # 161.7 each (handbook table's formula, facts 3).
    with pytest.raises(
        SessionError, match=r"^bike has a chainstay of 200 mm, but must have more than 323\.5 mm, or "
    ):
        Bike.build(rings=[80], cogs=[80], frame={"chainstay_mm": 200.0})
