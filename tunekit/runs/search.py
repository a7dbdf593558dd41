"""The wiring with the fewest parts and then the least cost (excess, wire and bends), by exact search.

D devices and J junctions in a tree take D + J - 1 wires, so D + 2 J - 1 parts in all, and fewest parts
means fewest junctions. For J = 0, 1, 2 … the programme looks for the tree with the least cost; the
first J that has one is the answer.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass

from tunekit.runs.network import Network
from tunekit.runs.programme import Programme, Tree

TIME_BOX_S = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What the search brought back; `tree` None with `proven` True means that no wiring exists."""

    tree: Tree | None
    proven: bool


def least_junctions(net: Network) -> int:
    """A lower bound: a tree's ends are twice its wires, so the ports must be at least 2 (D + J - 1)."""
    sizes = sorted((net.nodes[n].ports for n in net.slots), reverse=True)
    ports = sum(node.ports for node in net.nodes[: net.devices])
    for junctions in range(len(sizes) + 1):
        if ports + sum(sizes[:junctions]) >= 2 * (net.devices + junctions - 1):
            return junctions
    return len(sizes) + 1


def best_tree(
    net: Network, seconds: float = TIME_BOX_S, clock: Callable[[], float] = time.monotonic
) -> Found:
    """The wiring with the fewest junctions, then the least cost.

    seconds : time box of the whole search; when it runs out the answer is the best so far and not proven.
    """
    end, proven = clock() + seconds, True
    programme: Programme | None = None
    for junctions in range(least_junctions(net), len(net.slots) + 1):
        programme = programme or Programme(net, net.cost_mm, net.wire_mm > 0)
        tree, certain = programme.solve(junctions, end - clock())
        proven = proven and certain
        if tree is not None or clock() > end:
            return Found(tree=tree, proven=proven and tree is not None)
    return Found(tree=None, proven=proven)
