"""From the tree that was found to wires with labels, junctions of the right size, and spare stowed."""

import itertools
from dataclasses import dataclass

from tunekit.data import phrase
from tunekit.runs.network import Network, sizes_that_fit
from tunekit.runs.plan import Place, Point, RunPlan, Section
from tunekit.runs.programme import Arc, Tree
from tunekit.runs.records import Continuity, Junction, Wire
from tunekit.runs.routes import slack_mm

SPARE_WORTH_COILING_MM = 60.0
"""Less than this cannot be coiled without a kink and lies along the run (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wiring:
    """The tree in the words of the bench."""

    wires: tuple[Wire, ...]
    junctions: tuple[Junction, ...]
    continuity: tuple[Continuity, ...]


def steps_of(plan: RunPlan, route: tuple[str, ...]) -> list[Section]:
    """The sections a route runs along."""
    found = [plan.section(one, other) for one, other in itertools.pairwise(route)]
    return [section for section in found if section is not None]


def hidden_mm(plan: RunPlan, route: tuple[str, ...]) -> float:
    """How much of a route lies inside tubes [mm]."""
    return sum(section.mm for section in steps_of(plan, route) if section.inside)


def guides(plan: RunPlan, route: tuple[str, ...]) -> list[str]:
    """Names of the old cables whose inner wire lies along the whole hidden part of a route."""
    hidden = {frozenset(section.between) for section in steps_of(plan, route) if section.inside}
    laid = {
        cable.name: set(map(frozenset, zip(cable.via, cable.via[1:], strict=False)))
        for cable in plan.cables
        if cable.old
    }
    return [name for name, sections in laid.items() if hidden and hidden <= sections]


def _pulling_order(plan: RunPlan, net: Network, arcs: tuple[Arc, ...]) -> list[Arc]:
    """Hidden runs first; of these what an old wire can guide, since it is there once; then the longest."""

    def key(arc: Arc) -> tuple[bool, bool, float, Arc]:
        route = net.route(*arc).points
        hidden = hidden_mm(plan, route)
        return (hidden == 0, not guides(plan, route), -hidden, arc)

    return sorted(arcs, key=key)


def _stow_point(plan: RunPlan, route: tuple[str, ...]) -> Point:
    """A hollow point of the route that a hand can reach and no axle crosses, else the best there is."""
    points = [plan.point(name) for name in route]
    worth = {"hole": 0, "panel": 0, "none": 1, "bottom_bracket": 2}
    hollow = [point for point in points if point.hollow]
    return min(hollow, key=lambda point: worth[point.opening]) if hollow else points[-1]


def _stowed(plan: RunPlan, route: tuple[str, ...], excess_mm: float) -> tuple[str | None, str]:
    """Where the excess goes, and the sentence."""
    if excess_mm <= 0:
        return None, ""
    point = _stow_point(plan, route)
    kind = "open" if not point.hollow else "bracket" if point.opening == "bottom_bracket" else "tube"
    kind = f"{kind}_short" if kind != "bracket" and excess_mm < SPARE_WORTH_COILING_MM else kind
    return point.name, phrase("runs", f"stow.{kind}", mm=f"{excess_mm:g}", place=point.called)


def _wire(plan: RunPlan, net: Network, arc: Arc, label: str, names: dict[int, str]) -> Wire:
    route = net.route(*arc).points
    excess = float(net.excess_mm[arc])
    stow_at, stow = _stowed(plan, route, excess)
    own = [slack_mm(device) for n in arc if (device := net.nodes[n].device)]
    return Wire(
        label=label,
        start=names[arc[0]],
        end=names[arc[1]],
        route=route,
        need_mm=int(net.need_mm[arc]),
        slack_mm=sum(own) + sum(slack_mm(section) for section in steps_of(plan, route)),
        length_mm=float(net.wire_mm[arc]),
        excess_mm=excess,
        stow_at=stow_at,
        stow=stow,
    )


def _junction(plan: RunPlan, net: Network, slot: int, label: str, wires: tuple[str, ...]) -> Junction:
    """The smallest junction that fits the place and has enough ports."""
    at = net.nodes[slot].at
    place: Place = next(place for place in plan.places if place.at == at)
    ports = min(size for size in sizes_that_fit(plan, place) if size >= len(wires))
    return Junction(label=label, at=at, ports=ports, used=len(wires), wires=wires)


def _paths(tree: Tree) -> dict[int, list[Arc]]:
    """Per node the arcs from the battery to it."""
    parent = {end: (start, end) for start, end in tree.arcs}
    paths: dict[int, list[Arc]] = {}
    for node in parent:
        path, at = [], node
        while at in parent:
            path.append(parent[at])
            at = parent[at][0]
        paths[node] = path[::-1]
    return paths


def wiring(plan: RunPlan, net: Network, tree: Tree) -> Wiring:
    """The tree as wires W1, W2 … in the order of pulling, junctions J1, J2 … from the battery, and the
    ways to ring out."""
    paths = _paths(tree)
    slots = sorted(tree.slots, key=lambda n: (len(paths[n]), n))
    names = {n: node.name for n, node in enumerate(net.nodes)}
    labels = {n: f"J{number}" for number, n in enumerate(slots, 1)}
    names.update({n: f"junction {label}" for n, label in labels.items()})
    arcs = {arc: f"W{number}" for number, arc in enumerate(_pulling_order(plan, net, tree.arcs), 1)}
    plugged = {n: tuple(arcs[a] for a in sorted(arcs, key=lambda a: a[1] != n) if n in a) for n in slots}
    return Wiring(
        wires=tuple(_wire(plan, net, arc, label, names) for arc, label in arcs.items()),
        junctions=tuple(_junction(plan, net, n, labels[n], plugged[n]) for n in slots),
        continuity=tuple(
            Continuity(device=net.nodes[n].name, path=_rung(paths[n], arcs, labels, names))
            for n in range(1, net.devices)
        ),
    )


def _rung(
    path: list[Arc], arcs: dict[Arc, str], labels: dict[int, str], names: dict[int, str]
) -> tuple[str, ...]:
    """Wires and what they are plugged into on the way, the device itself left out."""
    rung: list[str] = []
    for arc in path:
        rung += [arcs[arc], labels.get(arc[1], names[arc[1]])]
    return tuple(rung[:-1])
