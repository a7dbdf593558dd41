"""Teeth that have to be taken up, and teeth that can be.

Rule: (largest ring - smallest ring) + (largest cog - smallest cog), as in "Rear Derailleur Capacity
Explained" (2007) and the Japanese bicycle glossary, total capacity. A tooth more on a wheel wraps half a link
more of chain.
"""

from collections.abc import Sequence

LINKS_PER_TOOTH = 0.5
"""Half of each wheel is wrapped, so each tooth takes up half a link."""
ROUNDING_LINKS = 2
"""What rounding up to a whole inch can add."""


def total_capacity(rings: Sequence[int], cogs: Sequence[int]) -> int:
    """Chain slack the cage has to take up, in teeth; a single ring adds nothing."""
    return front_difference(rings) + max(cogs) - min(cogs)


def front_difference(rings: Sequence[int]) -> int:
    """Teeth between the largest ring and the smallest."""
    return max(rings) - min(rings)


def largest_cog_for(rings: Sequence[int], cogs: Sequence[int], capacity: int) -> int:
    """Largest cog that keeps these rings and this smallest cog within `capacity`."""
    return capacity - front_difference(rings) + min(cogs)


def smallest_ring_for(rings: Sequence[int], cogs: Sequence[int], capacity: int) -> int:
    """Smallest inner ring that keeps these cogs within `capacity`."""
    return max(rings) - capacity + max(cogs) - min(cogs)


def take_up_links(capacity: int, needed: int) -> float:
    """How much longer than the shortest usable chain one may be, in links; negative when over capacity.

    Half a link for each spare tooth, and one inch besides: a leaflet's capacity has to hold for the bike
    whose wrap was only just more than a whole inch and was rounded up (our reading of the rule).
    """
    return (capacity - needed) * LINKS_PER_TOOTH + ROUNDING_LINKS
