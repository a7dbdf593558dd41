"""Changes to a plan, one at a time; each gives a new checked plan or raises PlanError and leaves the old
one."""

from typing import Any

from tunekit.bike.errors import PlanError, shown
from tunekit.runs.plan import Device, DeviceKind, Place, RunPlan


def _changed(plan: RunPlan, **parts: Any) -> RunPlan:
    """The plan with some parts replaced, its rows checked one by one."""
    return RunPlan.build(**{**plan.model_dump(), **parts})


def with_length(plan: RunPlan, between: tuple[str, str], mm: float) -> RunPlan:
    """The plan with a section's measured length in place of the typical one."""
    rows = [
        {**s.model_dump(), "mm": mm, "measured": True} if set(s.between) == set(between) else s.model_dump()
        for s in plan.sections
    ]
    return _changed(plan, sections=rows)


def free_name(plan: RunPlan, kind: DeviceKind, at: str) -> str:
    """A name that no device has yet: "left button", "lever", "lever 2"."""
    side = next((word for word in ("left", "right") if at.startswith(word)), "")
    name = f"{side} {kind.replace('_', ' ')}".strip()
    taken = {device.name for device in plan.devices}
    number = next(n for n in range(1, 100) if (name if n == 1 else f"{name} {n}") not in taken)
    return name if number == 1 else f"{name} {number}"


def with_device(plan: RunPlan, kind: DeviceKind, at: str) -> RunPlan:
    """The plan with one device more, under a name of its own."""
    slack = {"slack_for": "battery_pulled_out"} if kind == "battery" else {}
    device = Device.model_validate({"name": free_name(plan, kind, at), "kind": kind, "at": at, **slack})
    return _changed(plan, devices=[*(d.model_dump() for d in plan.devices), device.model_dump()])


def without_device(plan: RunPlan, name: str) -> RunPlan:
    """The plan without a device."""
    return _changed(plan, devices=[device.model_dump() for device in plan.devices if device.name != name])


def with_junctions(plan: RunPlan, at: str, most: int) -> RunPlan:
    """The plan with room for so many junctions at a point (0: none); a new place takes every size."""
    others = [place for place in plan.places if place.at != at]
    here = next((place for place in plan.places if place.at == at), Place(at=at))
    kept = [*others, here.model_copy(update={"most": most})] if most else others
    return _changed(plan, places=[place.model_dump() for place in kept])


def with_stock(plan: RunPlan, wires: str, junctions: str) -> RunPlan:
    """The plan with the user's own lists, as typed: "200, 250 300"."""
    stock = {
        **plan.stock.model_dump(),
        "wires_mm": _numbers("stock.wires_mm", wires),
        "junction_ports": _whole("stock.junction_ports", junctions),
        "typical": False,
    }
    return _changed(plan, stock=stock)


def _whole(field: str, text: str) -> list[int]:
    """The whole numbers of a typed list."""
    numbers = _numbers(field, text)
    if not all(number.is_integer() for number in numbers):
        raise PlanError(f"{field} must be whole numbers like 3, 4, 5 (got {shown(text)}); correct the list.")
    return [int(number) for number in numbers]


def _numbers(field: str, text: str) -> list[float]:
    """The numbers of a typed list."""
    try:
        numbers = [float(word) for word in text.replace(",", " ").replace(";", " ").split()]
    except ValueError:
        raise PlanError(
            f"{field} must be numbers like 200, 250, 300 (got {shown(text)}); correct the list."
        ) from None
    if not numbers:
        raise PlanError(
            f"{field} must hold at least one number (got an empty list); list what can be bought."
        )
    return numbers
