"""Random frames, and an independent way to price them: every tree, no programme."""

from collections.abc import Iterator
from itertools import combinations, pairwise, product
from math import ceil, inf
from random import Random
from typing import Any

from tunekit.runs import RunPlan

Cost = tuple[int, float]
Lengths = dict[tuple[str, str], float]
Ways = dict[tuple[str, str], tuple[str, ...]]


def random_frame(seed: int) -> RunPlan:
    """A small frame: a random tree of points with one extra section at times, 2 to 5 devices, 1 to 3
    slots."""
    draw = Random(seed)
    count = draw.randint(4, 6)
    names = [f"p{n}" for n in range(count)]
    pairs = [(n, draw.randrange(n)) for n in range(1, count)]
    extra = tuple(sorted(draw.sample(range(count), 2), reverse=True))
    if draw.random() < 0.4 and extra not in pairs:
        pairs.append(extra)  # type: ignore[arg-type]
    sections: list[dict[str, Any]] = [
        {"between": [names[a], names[b]], "mm": draw.randint(20, 400), "slack_mm": draw.choice([0, 0, 30])}
        for a, b in pairs
    ]
    for section in sections:
        section["inside"] = draw.random() < 0.4
        if draw.random() < 0.25:
            section["most_wires"] = draw.randint(1, 3)
    kinds = ["battery", "rear_derailleur", "lever", "button", "front_derailleur"][
        : draw.choice([2, 3, 4, 4, 5])
    ]
    devices = [
        {
            "name": f"d{n}",
            "kind": kind,
            "at": draw.choice(names),
            "ports": draw.choice([1, 1, 1, 2]),
            "slack_mm": draw.choice([0, 40]),
        }
        for n, kind in enumerate(kinds)
    ]
    seats = draw.sample(names, draw.choice([1, 2, 2, 3]))
    most = draw.choice([1, 2]) if len(seats) == 1 else 1
    places = [{"at": at, "ports": draw.choice([[], [3]]), "most": most} for at in seats]
    wires = sorted({draw.randint(40, 900) for _ in range(draw.randint(2, 6))})
    sizes = draw.choice([[3], [4], [3, 4], [2, 3]])
    return RunPlan.build(
        points=[{"name": name, "x": 0.0, "y": 0.0} for name in names],
        sections=sections,
        devices=devices,
        places=places,
        stock={"wires_mm": wires, "junction_ports": sizes},
    )


def brute_cost(plan: RunPlan) -> Cost | None:
    """(parts, cost) of the best wiring, by trying every set of slots and every labelled tree; None when
    none works."""
    between, ways = _distances(plan)
    slots = [
        (place.at, max(sizes))
        for place in plan.places
        for _ in range(place.most)
        if (sizes := [p for p in plan.stock.junction_ports if not place.ports or p in place.ports])
    ]
    devices = [(device.at, device.ports, device.slack_mm or 0.0) for device in plan.devices]
    best: Cost | None = None
    for count in range(len(slots) + 1):
        for chosen in combinations(range(len(slots)), count):
            nodes = devices + [(slots[n][0], slots[n][1], 0.0) for n in chosen]
            excess = _best_tree(plan, nodes, between, ways)
            cost = (2 * count + len(devices) - 1, excess)
            if excess < inf and (best is None or cost < best):
                best = cost
    return best


def _distances(plan: RunPlan) -> tuple[Lengths, Ways]:
    """Lengths and ways between all points (Floyd and Warshall's algorithm)."""
    names = [point.name for point in plan.points]
    length = {(a, b): 0.0 if a == b else inf for a in names for b in names}
    way = {(a, b): (a,) if a == b else () for a in names for b in names}
    for section in plan.sections:
        a, b = section.between
        mm = section.mm + (section.slack_mm or 0.0)
        for one, other in ((a, b), (b, a)):
            length[one, other], way[one, other] = mm, (one, other)
    for via, a, b in product(names, names, names):
        if length[a, via] + length[via, b] < length[a, b]:
            length[a, b] = length[a, via] + length[via, b]
            way[a, b] = way[a, via] + way[via, b][1:]
    return length, way


WIRE_SHARE, BEND_MM = 0.1, 25
"""What a millimetre of wire and a bend count, as data/cable.toml says."""


def _price(plan: RunPlan, need: float, way: tuple[str, ...]) -> float:
    """Excess, wire and bends of one wire; infinite for one that leaves a tube and comes back, or is too long."""
    hidden = {frozenset(section.between) for section in plan.sections if section.inside}
    ins = "".join("x" if frozenset(step) in hidden else " " for step in pairwise(way))
    if need == inf or len(ins.split()) > 1:
        return inf
    wire = min((mm for mm in plan.stock.wires_mm if mm >= ceil(need)), default=inf)
    return wire - ceil(need) + WIRE_SHARE * wire + BEND_MM * max(len(way) - 2, 0)


def _trees(ports: list[int]) -> Iterator[list[tuple[int, int]]]:
    """Every labelled tree on the nodes, from its Prüfer sequence: a node is in it once less than it has
    wires."""
    count = len(ports)
    if count == 1:
        yield []
        return
    for sequence in product(range(count), repeat=count - 2):
        if any(sequence.count(n) >= most for n, most in enumerate(ports)):
            continue
        degree = [1 + sequence.count(n) for n in range(count)]
        edges = []
        for node in sequence:
            leaf = degree.index(1)
            edges.append((leaf, node))
            degree[leaf] -= 1
            degree[node] -= 1
        one, other = (n for n in range(count) if degree[n] == 1)
        yield [*edges, (one, other)]


def _best_tree(plan: RunPlan, nodes: list[tuple[str, int, float]], between: Lengths, ways: Ways) -> float:
    """The least cost of any tree on these nodes that keeps ports and holes; infinite when none does."""
    holes = {frozenset(s.between): s.most_wires for s in plan.sections if s.most_wires is not None}
    pairs = list(product(range(len(nodes)), repeat=2))
    excess = {
        (a, b): _price(
            plan,
            between[nodes[a][0], nodes[b][0]] + nodes[a][2] + nodes[b][2],
            ways[nodes[a][0], nodes[b][0]],
        )
        for a, b in pairs
    }
    steps = {(a, b): [frozenset(step) for step in pairwise(ways[nodes[a][0], nodes[b][0]])] for a, b in pairs}
    best = inf
    for edges in _trees([ports for _, ports, _ in nodes]):
        cost = sum(excess[edge] for edge in edges)
        passed = [step for edge in edges for step in steps[edge]]
        if cost < best and all(passed.count(hole) <= most for hole, most in holes.items()):
            best = cost
    return best
