"""The mixed-integer programme behind the wiring.

The wiring is a tree rooted at the battery. Only *hubs* (junctions, devices with a second port) can carry
a wire onward, so only they need the flow that keeps the tree in one piece:

    x[a]     1 when a wire runs along arc a (away from the battery)
    y[s]     1 when slot s holds a junction
    f[k, a]  flow from the battery to hub k along arc a, at most x[a]    (one commodity for each hub)
    e[s]     ports by which slot s is grown, g[h] wires by which hole h is widened    (only when asked
    what is missing)
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tunekit.runs.network import Network

Arc = tuple[int, int]
Floats = NDArray[np.float64]
MOST_EXTRA = 12.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tree:
    """A wiring: arcs away from the battery, junction slots used, ports and hole widths that are still
    missing."""

    arcs: tuple[Arc, ...]
    slots: tuple[int, ...]
    missing_ports: dict[int, int]
    missing_width: dict[int, int]


class _Rows:
    """Linear rows, low <= A v <= high, collected one by one."""

    def __init__(self) -> None:
        self.row: list[int] = []
        self.column: list[int] = []
        self.value: list[float] = []
        self.low: list[float] = []
        self.high: list[float] = []

    def add(self, terms: Sequence[tuple[int, float]], low: float, high: float) -> None:
        """One row from (column, factor) terms."""
        for column, value in terms:
            self.row.append(len(self.low))
            self.column.append(column)
            self.value.append(value)
        self.low.append(low)
        self.high.append(high)


class Programme:
    """One network's programme: minimise the cost of the arcs plus `price` for each missing port or hole
    width.

    cost, allowed : shape (nodes, nodes); price None admits nothing missing.
    """

    def __init__(
        self, net: Network, cost: Floats, allowed: NDArray[np.bool_], price: float | None = None
    ) -> None:
        self.net, self.price = net, price
        self.hubs = [n for n in range(1, net.devices) if net.nodes[n].ports > 1] + list(net.slots)
        ends = range(1, len(net.nodes))
        self.arcs: list[Arc] = [(i, j) for i in [0, *self.hubs] for j in ends if i != j and allowed[i, j]]
        self.cost = [float(cost[arc]) for arc in self.arcs]
        self.into: list[list[int]] = [[] for _ in net.nodes]
        self.out: list[list[int]] = [[] for _ in net.nodes]
        for number, (start, end) in enumerate(self.arcs):
            self.out[start].append(number)
            self.into[end].append(number)
        self._lay_out_columns()
        self.rows = _Rows()
        self._degree_rows()
        self._hole_rows()
        self._flow_rows()

    def _lay_out_columns(self) -> None:
        """Where x, y, f, e and g begin."""
        self.first_slot = len(self.arcs)
        self.first_flow = self.first_slot + len(self.net.slots)
        self.first_extra = self.first_flow + len(self.hubs) * len(self.arcs)
        self.first_width = self.first_extra + len(self.net.slots)
        self.size = self.first_width + len(self.net.holes)

    def _slot(self, node: int) -> int:
        return self.first_slot + node - self.net.devices

    def _extra(self, node: int) -> int:
        return self.first_extra + node - self.net.devices

    def _degree_rows(self) -> None:
        """Every device is fed once, a junction once if it is there; no port is used twice."""
        for n, node in enumerate(self.net.nodes):
            fed = [(a, 1.0) for a in self.into[n]]
            used = [*fed, *((a, 1.0) for a in self.out[n])]
            if n < self.net.devices:
                self.rows.add(fed, min(n, 1), min(n, 1))
                self.rows.add(used, 0, node.ports)
                continue
            self.rows.add([*fed, (self._slot(n), -1.0)], 0, 0)
            self.rows.add([*used, (self._slot(n), -float(node.ports)), (self._extra(n), -1.0)], -np.inf, 0)
            self.rows.add([(self._extra(n), 1.0), (self._slot(n), -MOST_EXTRA)], -np.inf, 0)
            if n - 1 in self.net.slots and self.net.nodes[n - 1].at == node.at:
                # Slots of one place are alike, so they fill in order.
                self.rows.add([(self._slot(n - 1), 1.0), (self._slot(n), -1.0)], 0, 1)

    def _hole_rows(self) -> None:
        """No hole takes more wires than fit."""
        for number, hole in enumerate(self.net.holes):
            passing = [(a, 1.0) for a, arc in enumerate(self.arcs) if arc in hole.pairs]
            self.rows.add([*passing, (self.first_width + number, -1.0)], -np.inf, hole.most)

    def _flow_rows(self) -> None:
        """One unit runs from the battery to every hub that is there, along wires that are there."""
        for k, hub in enumerate(self.hubs):
            first = self.first_flow + k * len(self.arcs)
            for a in range(len(self.arcs)):
                self.rows.add([(first + a, 1.0), (a, -1.0)], -np.inf, 0)
            for n in self.hubs:
                balance = [
                    *((first + a, 1.0) for a in self.into[n]),
                    *((first + a, -1.0) for a in self.out[n]),
                ]
                if n == hub and n in self.net.slots:
                    balance.append((self._slot(n), -1.0))
                arrives = float(n == hub and n not in self.net.slots)
                self.rows.add(balance, arrives, arrives)

    def _count_row(self, junctions: int | None) -> tuple[Floats, float, float]:
        """The number of junctions, held when given."""
        row = np.zeros((1, self.size))
        row[0, self.first_slot : self.first_flow] = 1.0
        return (row, 0.0, np.inf) if junctions is None else (row, float(junctions), float(junctions))

    def solve(self, junctions: int | None, seconds: float) -> tuple[Tree | None, bool]:
        """The best tree with that many junctions (None: any number), and whether the answer is proven."""
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_array

        if not self.arcs:
            return None, True
        rows = self.rows
        matrix = csr_array((rows.value, (rows.row, rows.column)), shape=(len(rows.low), self.size))
        whole, objective, upper = np.ones(self.size), np.zeros(self.size), np.ones(self.size)
        whole[self.first_flow : self.first_extra] = 0.0
        objective[: len(self.arcs)] = self.cost
        objective[self.first_extra :] = self.price or 0.0
        upper[self.first_extra :] = 0.0 if self.price is None else MOST_EXTRA
        found = milp(
            objective,
            integrality=whole,
            bounds=Bounds(0.0, upper),
            constraints=[
                LinearConstraint(matrix, rows.low, rows.high),
                LinearConstraint(*self._count_row(junctions)),
            ],
            options={"time_limit": max(seconds, 0.01), "mip_rel_gap": 0.0},
        )
        return (None if found.x is None else self._tree(found.x)), found.status in (0, 2)

    def _tree(self, values: Floats) -> Tree:
        """The arcs and slots that are on, and what is missing."""
        counts = np.rint(values).astype(int)
        return Tree(
            arcs=tuple(arc for a, arc in enumerate(self.arcs) if counts[a]),
            slots=tuple(n for n in self.net.slots if counts[self._slot(n)]),
            missing_ports={n: int(counts[self._extra(n)]) for n in self.net.slots if counts[self._extra(n)]},
            missing_width={
                h: int(counts[self.first_width + h])
                for h in range(len(self.net.holes))
                if counts[self.first_width + h]
            },
        )
