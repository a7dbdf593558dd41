"""What a bike has is what tables may ask of it: nothing is offered for a part that is not there."""

import pytest

import tunekit
from tunekit.bike import Bike, starter
from tunekit.bike.conditions import conditions


def trail(**rear: object) -> Bike:
    fields = starter("trail-single-12").model_dump()
    return Bike.build(**{**fields, "rear": {**fields["rear"], **rear}})


@pytest.mark.parametrize(
    ("bike", "has", "lacks"),
    [
        (trail(), {"cable", "cell", "hanger"}, {"electronic", "front", "clutch", "guide"}),
        (trail(on_axle=True, clutch=True), {"clutch"}, {"hanger"}),
        (starter("time-trial-electronic"), {"electronic", "front_electronic"}, {"cable", "front_cable"}),
    ],
)
def test_conditions_are_the_bike_s_own(bike: Bike, has: set[str], lacks: set[str]) -> None:
    assert has <= conditions(bike)
    assert lacks.isdisjoint(conditions(bike))


def test_no_hanger_is_bent_where_there_is_none() -> None:
    log = [
        {"kind": "told", "at": "2026-11-25T10:00:00Z", "what": "fall"},
        {
            "kind": "measured",
            "at": "2026-11-25T10:01:00Z",
            "what": "hanger_rim_mm",
            "value": [20, 20, 26, 20],
        },
        {"kind": "heard", "at": "2026-11-25T10:02:00Z", "cog": 51, "moment": "pedalling", "what": "rattle"},
    ]
    session = tunekit.Session.model_validate(
        {"tunekit_session": 1, "title": "axle", "bike": trail(on_axle=True).model_dump(), "log": log}
    )
    advice = tunekit.advise(session)
    assert not [cause.name for cause in advice.causes if cause.name.startswith("hanger")]
    offered = [step.what for step in (advice.next, *advice.runners_up) if step is not None]
    assert "hanger_rim_mm" not in offered
