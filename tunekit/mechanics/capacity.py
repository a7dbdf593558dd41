"""Teeth that have to be taken up, and teeth that can be.

Rule: (largest ring - smallest ring) + (largest cog - smallest cog), as in "Rear Derailleur Capacity
Explained" (2007) and the Japanese bicycle glossary, total capacity. A tooth more on a wheel wraps half a link
more of chain.
"""

from collections.abc import Sequence

from tunekit.mechanics.sprocket import PITCH_MM

LINKS_PER_TOOTH = 0.5
"""Half of each wheel is wrapped, so each tooth takes up half a link."""
ROUNDING_LINKS = 2
"""What rounding up to a whole inch can add."""


def growth_teeth(growth_mm: float) -> float:
    """Teeth that a cage must take up besides, for a chainstay that changes by this much over the travel [mm].

    Both runs of chain change with it, 2 x growth / 12.7 links in all, and a link is two teeth: 4 x growth / 12.7.
    The chain is cut for the longest chainstay, so that this much hangs slack at the shortest.
    """
    return 4 * growth_mm / PITCH_MM


def growth_links(growth_mm: float) -> float:
    """The same in links: what a chain cut for the longest chainstay hangs slack at the shortest."""
    return growth_teeth(growth_mm) * LINKS_PER_TOOTH


def total_capacity(rings: Sequence[int], cogs: Sequence[int], growth_mm: float = 0.0) -> float:
    """Chain slack the cage has to take up, in teeth; a single ring adds nothing, chainstay growth [mm] does."""
    return front_difference(rings) + max(cogs) - min(cogs) + growth_teeth(growth_mm)


def front_difference(rings: Sequence[int]) -> int:
    """Teeth between the largest ring and the smallest."""
    return max(rings) - min(rings)


def largest_cog_for(rings: Sequence[int], cogs: Sequence[int], capacity: int) -> int:
    """Largest cog that keeps these rings and this smallest cog within `capacity`."""
    return capacity - front_difference(rings) + min(cogs)


def smallest_ring_for(rings: Sequence[int], cogs: Sequence[int], capacity: int) -> int:
    """Smallest inner ring that keeps these cogs within `capacity`."""
    return max(rings) - capacity + max(cogs) - min(cogs)


def take_up_links(capacity: int, needed: float) -> float:
    """How much longer than the shortest usable chain one may be, in links; negative when over capacity.

    Half a link for each spare tooth, and one inch besides: a leaflet's capacity has to hold for the bike
    whose wrap was only just more than a whole inch and was rounded up (our reading of the rule).
    """
    return (capacity - needed) * LINKS_PER_TOOTH + ROUNDING_LINKS
