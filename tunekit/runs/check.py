"""Is the plan one frame, one battery and no riddle? One sentence when it is not."""

import re
from collections import Counter
from collections.abc import Iterable

from tunekit.bike.errors import PlanError, shown
from tunekit.runs.plan import Cable, RunPlan
from tunekit.runs.routes import reachable


def check_plan(plan: RunPlan) -> None:
    """Raise PlanError, naming the field, the rule, the value and what to do."""
    _check_names(plan)
    _check_labels(plan)
    _check_points(plan)
    _check_battery(plan)
    _check_reach(plan)
    for number, cable in enumerate(plan.cables, 1):
        _check_cable(plan, cable, f"cables[{number}]")


def _twice(names: Iterable[object]) -> object | None:
    return next((name for name, count in Counter(names).items() if count > 1), None)


def _check_names(plan: RunPlan) -> None:
    """Every row can be told from its neighbours."""
    rows = {
        "points": [point.name for point in plan.points],
        "devices": [device.name for device in plan.devices],
        "places": [place.at for place in plan.places],
        "cables": [cable.name for cable in plan.cables],
        "sections": [" – ".join(sorted(section.between)) for section in plan.sections],
    }
    for field, names in rows.items():
        twice = _twice(names)
        if twice is not None:
            raise PlanError(
                f"{field} must each be listed once (got {shown(twice)} twice); remove or rename one."
            )


def _check_labels(plan: RunPlan) -> None:
    """W1 and J1 are the sheet's own labels."""
    for number, device in enumerate(plan.devices, 1):
        if re.fullmatch(r"[WJ]\d+|battery", device.name) and not (
            device.name == "battery" and device.kind == "battery"
        ):
            raise PlanError(
                f"devices[{number}].name must not look like a label of the sheet (got {device.name}); "
                "rename the device."
            )


def _check_points(plan: RunPlan) -> None:
    """Every row stands on a point of the frame."""
    known = {point.name for point in plan.points}
    used = [(f"sections[{n}].between", name) for n, s in enumerate(plan.sections, 1) for name in s.between]
    used += [(f"devices[{n}].at", device.at) for n, device in enumerate(plan.devices, 1)]
    used += [(f"places[{n}].at", place.at) for n, place in enumerate(plan.places, 1)]
    used += [(f"cables[{n}].via", name) for n, cable in enumerate(plan.cables, 1) for name in cable.via]
    for field, name in used:
        if name not in known:
            raise PlanError(
                f"{field} must be one of the plan's points (got {shown(name)}); correct it or add the point."
            )
    for number, section in enumerate(plan.sections, 1):
        if section.between[0] == section.between[1]:
            raise PlanError(
                f"sections[{number}].between must be two different points (got {shown(section.between[0])} "
                "twice); "
                "correct one."
            )


def _check_battery(plan: RunPlan) -> None:
    """Exactly one battery, and something for it to feed."""
    if not plan.devices and not plan.cables:
        raise PlanError(
            "devices and cables are both empty, so there is nothing to run; add a device or a cable."
        )
    if not plan.devices:
        return
    batteries = [device.name for device in plan.devices if device.kind == "battery"]
    if len(batteries) > 1:
        raise PlanError(
            f"devices must hold one battery (got {len(batteries)}: {shown(batteries)}), "
            "since two would feed each other; remove one."
        )
    if not batteries:
        raise PlanError("devices must hold one battery (got none); add the battery and where it sits.")
    if len(plan.devices) == 1:
        raise PlanError(
            "devices must hold something for the battery to feed (got the battery alone); add a device."
        )


def _check_reach(plan: RunPlan) -> None:
    """Every device and every place for a junction hangs together with the battery by sections."""
    if not plan.devices:
        return
    battery = next(device for device in plan.devices if device.kind == "battery")
    within = reachable(plan, battery.at)
    for number, device in enumerate(plan.devices, 1):
        if device.at not in within:
            raise PlanError(
                f"devices[{number}] '{shown(device.name)}' must be reachable from the battery, but no "
                "section leads to "
                f"{plan.called(device.at)}; add the section and its length."
            )


def _check_cable(plan: RunPlan, cable: Cable, place: str) -> None:
    """The cable follows sections of the frame, and its housing stops lie on its way in order."""
    for one, other in zip(cable.via, cable.via[1:], strict=False):
        if plan.section(one, other) is None:
            raise PlanError(
                f"{place}.via must follow sections (got {shown([one, other])}, which none joins); add the "
                "section."
            )
    order = [cable.via.index(stop) if stop in cable.via[1:-1] else -1 for stop in cable.stops]
    if -1 in order or order != sorted(set(order)):
        raise PlanError(
            f"{place}.stops must be points between the two ends of 'via', in that order (got "
            f"{shown(cable.stops)}); "
            "correct them."
        )
