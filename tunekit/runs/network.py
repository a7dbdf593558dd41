"""The plan's devices and junction slots as the numbers the search works on."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tunekit.data import table
from tunekit.runs.plan import Device, Place, RunPlan
from tunekit.runs.routes import Route, comes_back, routes_from, slack_mm, whole_mm

Pair = tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Node:
    """Something with ports: a device, or a slot in which a junction may sit."""

    name: str
    at: str
    ports: int
    device: Device | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A section that lets only so many wires through, and the pairs of nodes whose wire would pass it."""

    between: tuple[str, str]
    most: int
    pairs: frozenset[Pair]


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Nodes, battery first, then the other devices, then the junction slots.

    `need_mm` and `wire_mm` have shape (nodes, nodes): the length a wire needs, and the shortest wire of
    the list that has it; `wire_mm` is 0 where no wire is long enough. `need_mm` is -1 where no route exists.
    """

    nodes: tuple[Node, ...]
    devices: int
    need_mm: NDArray[np.int64]
    wire_mm: NDArray[np.float64]
    bends: NDArray[np.int64]
    """Points that a wire between every pair passes on its way; shape (nodes, nodes)."""
    holes: tuple[Hole, ...] = ()
    routes: dict[str, dict[str, Route]] = field(default_factory=dict)

    @property
    def slots(self) -> range:
        """Indexes of the junction slots."""
        return range(self.devices, len(self.nodes))

    @property
    def excess_mm(self) -> NDArray[np.float64]:
        """Bought length less needed length, for every pair."""
        return self.wire_mm - self.need_mm

    @property
    def cost_mm(self) -> NDArray[np.float64]:
        """What a wire between every pair costs, in millimetres of excess: its excess, its length and its bends."""
        row = table("cable")["wiring"]
        return np.asarray(
            self.excess_mm + row["wire_share"] * self.wire_mm + row["bend_mm"] * self.bends, float
        )

    def route(self, one: int, other: int) -> Route:
        """The way a wire between two nodes takes."""
        return self.routes[self.nodes[one].at][self.nodes[other].at]


def sizes_that_fit(plan: RunPlan, place: Place) -> list[int]:
    """Junction sizes that can be bought and fit the place, smallest first."""
    return sorted({p for p in plan.stock.junction_ports if p > 1 and (not place.ports or p in place.ports)})


def _nodes(plan: RunPlan) -> tuple[Node, ...]:
    devices = sorted(plan.devices, key=lambda device: device.kind != "battery")
    slots = [
        Node(name=f"{place.at}#{number}", at=place.at, ports=sizes_that_fit(plan, place)[-1])
        for place in plan.places
        for number in range(place.most)
        if sizes_that_fit(plan, place)
    ]
    return (*(Node(name=d.name, at=d.at, ports=d.ports, device=d) for d in devices), *slots)


def _needs_mm(
    plan: RunPlan, nodes: tuple[Node, ...], routes: dict[str, dict[str, Route]]
) -> NDArray[np.int64]:
    """Length needed between every two nodes [mm], rounded up; -1 where no route exists."""
    own = [slack_mm(node.device) if node.device else 0.0 for node in nodes]
    need = np.full((len(nodes), len(nodes)), -1, dtype=np.int64)
    for i, one in enumerate(nodes):
        for j, other in enumerate(nodes[:i]):
            route = routes[one.at].get(other.at)
            if route is not None and not comes_back(plan, route.points):
                need[i, j] = need[j, i] = whole_mm(route.need_mm + own[i] + own[j])
    return need


def _bends(nodes: tuple[Node, ...], routes: dict[str, dict[str, Route]]) -> NDArray[np.int64]:
    """Points between the two ends of every pair's route; 0 where no route exists."""
    bends = np.zeros((len(nodes), len(nodes)), dtype=np.int64)
    for i, one in enumerate(nodes):
        for j, other in enumerate(nodes):
            route = routes[one.at].get(other.at)
            bends[i, j] = max(len(route.points) - 2, 0) if route else 0
    return bends


def _wires_mm(need_mm: NDArray[np.int64], lengths: tuple[float, ...]) -> NDArray[np.float64]:
    """The shortest wire of the list that is long enough, for every pair; 0 where none is."""
    stock = np.array(sorted(lengths))
    place = np.searchsorted(stock, need_mm)
    return np.where((need_mm >= 0) & (place < len(stock)), stock[np.minimum(place, len(stock) - 1)], 0.0)


def _holes(plan: RunPlan, nodes: tuple[Node, ...], routes: dict[str, dict[str, Route]]) -> tuple[Hole, ...]:
    """The sections with a limit, each with the wires that would pass it."""
    narrow = {
        frozenset(s.between): (s.between, s.most_wires) for s in plan.sections if s.most_wires is not None
    }
    passing: dict[frozenset[str], set[Pair]] = {section: set() for section in narrow}
    for i, one in enumerate(nodes if narrow else ()):
        for j, other in enumerate(nodes):
            route = routes[one.at].get(other.at)
            for step in zip(route.points, route.points[1:], strict=False) if route else ():
                if i != j and frozenset(step) in passing:
                    passing[frozenset(step)].add((i, j))
    return tuple(
        Hole(between=between, most=most, pairs=frozenset(passing[section]))
        for section, (between, most) in narrow.items()
    )


def network(plan: RunPlan) -> Network:
    """The plan as a network; the plan has been checked."""
    nodes = _nodes(plan)
    routes = {at: routes_from(plan, at) for at in {node.at for node in nodes}}
    need = _needs_mm(plan, nodes, routes)
    return Network(
        nodes=nodes,
        devices=len(plan.devices),
        need_mm=need,
        wire_mm=_wires_mm(need, plan.stock.wires_mm),
        bends=_bends(nodes, routes),
        holes=_holes(plan, nodes, routes),
        routes=routes,
    )
