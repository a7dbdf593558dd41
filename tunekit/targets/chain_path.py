"""The window of lengths that work, solved from the chain's path in every gear."""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tunekit.bike import Bike, TunekitError
from tunekit.data import table
from tunekit.mechanics.bounds import Floats
from tunekit.mechanics.from_bike import side_view, travel_mm
from tunekit.mechanics.side_view import Gear, swing_band


@dataclass(frozen=True, slots=True)
class PathWindow:
    """Per gear, the shortest and longest chain in links, at the worst point of rear travel."""

    rings: tuple[int, ...]
    cogs: tuple[int, ...]
    shortest_links: Floats
    """Shape (rings, cogs): fewer are stretched."""
    longest_links: Floats
    """Shape (rings, cogs): more touch themselves or hang."""

    @property
    def lowest(self) -> float:
        """The least that stretches no gear."""
        return float(self.shortest_links.max())

    @property
    def highest(self) -> float:
        """The most that hangs in no gear."""
        return float(self.longest_links.min())

    @property
    def best(self) -> int:
        """The even length with the most in hand at its tighter end; never one that stretches a gear."""
        return max(even_up(self.lowest), 2 * round((self.lowest + self.highest) / 4))

    def too_short(self, links: int) -> tuple[Gear, ...]:
        """Gears stretched by a chain of `links`."""
        return self._gears(self.shortest_links > links)

    def too_long(self, links: int) -> tuple[Gear, ...]:
        """Gears in which it hangs by more than the geometry is sure of."""
        return self._gears(self.longest_links + slop_links() < links)

    def touching(self, links: int) -> tuple[Gear, ...]:
        """Gears in which it just touches, or just does not: the geometry is not sure."""
        return self._gears(np.abs(self.longest_links - links) <= slop_links())

    def _gears(self, where: np.ndarray) -> tuple[Gear, ...]:
        return tuple((self.rings[ring], self.cogs[cog]) for ring, cog in np.argwhere(where))


def even_up(links: float) -> int:
    """The next even number of links."""
    return 2 * math.ceil(links / 2 - 1e-9)


def even_down(links: float) -> int:
    """The even number of links at or below."""
    return 2 * math.floor(links / 2 + 1e-9)


def slop_links() -> float:
    """How far the slack end may be off, since hanger and derailleur body are typical and not measured."""
    return float(table("targets")["chain"]["path_slop"]["links"])


@lru_cache(maxsize=64)
def path_window(bike: Bike) -> PathWindow | TunekitError:
    """The window of this bike, or the sentence that says why its geometry cannot be solved.

    The B screw is taken as set on the largest cog whatever chain is on, so that the answer does not depend on
    the chain it is about.
    """
    uncut = bike.model_copy(update={"chain": bike.chain.model_copy(update={"links": None})})
    try:
        # Wheels that would run into each other give no number on the way to the sentence that says so.
        with np.errstate(invalid="ignore"):
            band = swing_band(side_view(uncut), travel_mm(bike))
    except TunekitError as error:
        return error
    return PathWindow(
        rings=bike.rings,
        cogs=bike.cogs,
        shortest_links=band.shortest_links.max(axis=0),
        longest_links=band.longest_links.min(axis=0),
    )
