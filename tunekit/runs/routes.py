"""The way a wire takes through the frame, and how long it must be."""

import heapq
from dataclasses import dataclass
from itertools import groupby
from math import ceil

from tunekit.runs.plan import Device, RunPlan, Section
from tunekit.runs.starters import typical_slack_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """The shortest way between two points, slack included."""

    points: tuple[str, ...]
    need_mm: float


def slack_mm(part: Section | Device) -> float:
    """The part's own slack, or the typical one for what moves there [mm]."""
    if part.slack_mm is not None:
        return part.slack_mm
    return typical_slack_mm(part.slack_for) if part.slack_for else 0.0


def _neighbours(plan: RunPlan) -> dict[str, list[tuple[str, float]]]:
    """Per point the points next to it and the length needed to get there, slack included."""
    near: dict[str, list[tuple[str, float]]] = {point.name: [] for point in plan.points}
    for section in plan.sections:
        one, other = section.between
        need = section.mm + slack_mm(section)
        near[one].append((other, need))
        near[other].append((one, need))
    return near


def routes_from(plan: RunPlan, start: str) -> dict[str, Route]:
    """The shortest route from `start` to every point that can be reached (Dijkstra's algorithm)."""
    near = _neighbours(plan)
    found: dict[str, Route] = {}
    queue: list[tuple[float, tuple[str, ...]]] = [(0.0, (start,))]
    while queue:
        need, points = heapq.heappop(queue)
        if points[-1] in found:
            continue
        found[points[-1]] = Route(points=points, need_mm=need)
        for point, more in near[points[-1]]:
            if point not in found:
                heapq.heappush(queue, (need + more, (*points, point)))
    return found


def comes_back(plan: RunPlan, route: tuple[str, ...]) -> bool:
    """Whether a wire would leave a closed tube and go into one again: nobody can thread it so."""
    inside = [bool(s and s.inside) for s in map(plan.section, route, route[1:])]
    stretches = [hidden for hidden, _ in groupby(inside)]
    return stretches.count(True) > 1


def reachable(plan: RunPlan, start: str) -> set[str]:
    """The points that hang together with `start` by sections."""
    return set(routes_from(plan, start))


def whole_mm(length_mm: float) -> int:
    """Rounded up to whole millimetres; a tape reads no finer, and a wire must never be short."""
    return ceil(length_mm - 1e-9)
