"""Any bike that the model takes, corners and all, drawn from the model's own schema: no field is forgotten."""

from typing import Any

from hypothesis import assume
from hypothesis import strategies as st

from tunekit.bike import Bike, SessionError

SCHEMA: dict[str, Any] = Bike.model_json_schema()


def _numbers(rule: dict[str, Any]) -> st.SearchStrategy[Any]:
    """Anything between the bounds, the bounds themselves often."""
    low, high = rule["minimum"], rule["maximum"]
    if rule["type"] == "integer":
        return st.one_of(st.integers(low, high), st.sampled_from([low, high]))
    return st.one_of(st.floats(low, high), st.sampled_from([float(low), float(high)]))


def _list(rule: dict[str, Any]) -> st.SearchStrategy[Any]:
    least, most = rule.get("minItems", 0), rule["maxItems"]
    return st.lists(_value(rule["items"]), min_size=least, max_size=most, unique=True).map(sorted)


def _value(rule: dict[str, Any]) -> st.SearchStrategy[Any]:
    if "$ref" in rule:
        return _part(SCHEMA["$defs"][rule["$ref"].rpartition("/")[2]])
    if "anyOf" in rule:
        return st.one_of(*map(_value, rule["anyOf"]))
    if "enum" in rule:
        return st.sampled_from(rule["enum"])
    kinds = {"null": st.none, "boolean": st.booleans}
    if rule["type"] in kinds:
        return kinds[rule["type"]]()
    return _list(rule) if rule["type"] == "array" else _numbers(rule)


def _part(rule: dict[str, Any]) -> st.SearchStrategy[dict[str, Any]]:
    """Every field of the part, or its default."""
    needed = {key: _value(field) for key, field in rule["properties"].items() if "default" not in field}
    other = {key: _value(field) for key, field in rule["properties"].items() if "default" in field}
    return st.fixed_dictionaries(needed, optional=other)


@st.composite
def valid_bikes(draw: st.DrawFn) -> Bike:
    """A bike inside every bound of the model; what the model refuses is not one."""
    fields = draw(_part(SCHEMA))
    rear, chain = fields.get("rear") or {}, fields.get("chain") or {}
    if rear.get("actuation", "cable") == "cable":
        rear |= {key: 1.7 for key in ("cable_ratio", "lever_pull_mm") if rear.get(key, 0) is None}
    if chain.get("links"):
        chain["links"] += chain["links"] % 2
    try:
        return Bike.build(**fields)
    except SessionError:
        assume(False)
        raise
