"""Bikes to ask: one that fits, made over with `but`, and any bike that could stand in a workshop."""

from typing import Any

from hypothesis import strategies as st

from tunekit.bike import Bike, starter

GOOD = starter("road-double-11")


def but(bike: Bike = GOOD, **changes: Any) -> Bike:
    """The bike with some fields of its parts changed, as in but(rear={"capacity": 30})."""
    fields: dict[str, Any] = {name: getattr(bike, name) for name in Bike.model_fields}
    for name, value in changes.items():
        part = fields[name]
        if isinstance(value, dict):
            fields[name] = {**(part.model_dump() if part else {}), **value}
        else:
            fields[name] = value
    return Bike.build(**fields)


def teeth(low: int, high: int, most: int) -> st.SearchStrategy[list[int]]:
    """Tooth counts in order, each once."""
    return st.lists(st.integers(low, high), min_size=1, max_size=most, unique=True).map(sorted)


@st.composite
def any_bike(draw: st.DrawFn) -> Bike:
    """Any plausible bike, well matched or not."""
    cable = draw(st.booleans())
    return Bike.build(
        rings=draw(teeth(20, 56, 3)),
        cogs=draw(teeth(9, 52, 13)),
        frame={
            "chainstay_mm": draw(st.floats(380, 480)),
            "bb_drop_mm": draw(st.floats(-60, 85)),
            "chainstay_growth_mm": draw(st.sampled_from([0.0, 12.0, 30.0])),
            "hub_spacing_mm": draw(st.sampled_from([130.0, 135.0, 142.0, 148.0])),
        },
        rear={
            "actuation": "cable" if cable else "electronic",
            "cage_mm": draw(st.floats(40, 110)),
            "largest_cog": draw(st.integers(23, 52)),
            "capacity": draw(st.integers(20, 50)),
            "cable_ratio": draw(st.floats(1.0, 2.0)) if cable else None,
            "lever_pull_mm": draw(st.floats(2.0, 4.5)) if cable else None,
        },
        front=draw(st.sampled_from([None, {"capacity": 14}, {"capacity": 22}])),
        cassette={"pitch_mm": draw(st.floats(3.4, 5.5))},
        crank={"chainline_mm": draw(st.floats(41, 56))},
        chain={"speeds": draw(st.integers(5, 13)), "links": draw(st.sampled_from([None, 98, 106, 112, 120]))},
    )
