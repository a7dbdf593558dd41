"""How many links by the published rules, and the window of lengths that the rules alone allow."""

import math

from tunekit.bike import Bike
from tunekit.mechanics import capacity, chain_length
from tunekit.mechanics.chain_length import DERAILLEUR_LINKS, SINGLE_RING_LINKS, Rounding
from tunekit.mechanics.from_bike import wide_range
from tunekit.mechanics.side_view import Gear

Raw = tuple[float, Rounding]
"""A rule's length before evening [links], and how it is made even."""


def _longest_mm(bike: Bike) -> float:
    """Crank to hub at the worst point of rear travel."""
    return bike.frame.chainstay_mm + bike.frame.chainstay_growth_mm


def pair_rule(bike: Bike) -> str:
    """Name of the largest-to-largest rule for a bike of this kind."""
    if wide_range(bike):
        return "largest_pair_single_ring"
    return "largest_pair_suspension" if bike.frame.chainstay_growth_mm else "largest_pair"


def raw_lengths(bike: Bike) -> dict[str, Raw]:
    """Every published rule's raw answer for the largest ring and cog, by its name."""
    ring, cog, longest = bike.rings[-1], bike.cogs[-1], _longest_mm(bike)
    wrap = wrap_links(bike)
    still = float(chain_length.belt_links(bike.frame.chainstay_mm, ring, cog))
    up = Rounding.INCH_UP
    raw: dict[str, Raw] = {
        "largest_pair": (still + DERAILLEUR_LINKS, up),
        "largest_pair_single_ring": (wrap + SINGLE_RING_LINKS, up),
        "largest_pair_suspension": (wrap + DERAILLEUR_LINKS, up),
        "simple": (float(chain_length.simple_links(longest, ring, cog)), Rounding.INCH_HALF_UP),
        "simple_rounded_up": (float(chain_length.simple_links(longest, ring, cog)), up),
        "second_order": (float(chain_length.second_order_links(longest, ring, cog)), Rounding.INCH_HALF_UP),
        "engineering": (float(chain_length.engineering_links(longest, ring, cog)) + DERAILLEUR_LINKS, up),
        "belt": (wrap + DERAILLEUR_LINKS, up),
        "circle_belt": (float(chain_length.circle_belt_links(longest, ring, cog)) + DERAILLEUR_LINKS, up),
    }
    if len(bike.rings) > 1:
        del raw["largest_pair_single_ring"]
    if not bike.frame.chainstay_growth_mm:
        del raw["largest_pair_suspension"]
    return raw


def links_by_rule(bike: Bike) -> int:
    """Links by the rule for a bike of this kind."""
    return int(chain_length.rounded(*raw_lengths(bike)[pair_rule(bike)]))


def shortest_by_rule(bike: Bike) -> int:
    """Largest-to-largest plus two at the longest chainstay: the least that any text allows."""
    return int(chain_length.largest_pair_links(_longest_mm(bike), bike.rings[-1], bike.cogs[-1]))


def wrap_links(bike: Bike) -> float:
    """Exact belt round the largest ring and cog at the longest chainstay, in links."""
    return float(chain_length.belt_links(_longest_mm(bike), bike.rings[-1], bike.cogs[-1]))


def _slack_links(bike: Bike, links: int, teeth_fewer: int) -> float:
    """Links that the cage takes up beyond the derailleur's allowance, `teeth_fewer` than the largest pair."""
    rest = capacity.growth_links(bike.frame.travel_growth_mm)
    return links - DERAILLEUR_LINKS - wrap_links(bike) + rest + teeth_fewer * capacity.LINKS_PER_TOOTH


def needed_teeth(bike: Bike) -> float:
    """Teeth that the cage has to take up on this bike, what the rear travel adds among them."""
    return capacity.total_capacity(bike.rings, bike.cogs, bike.frame.travel_growth_mm)


def rules_window(bike: Bike) -> tuple[int, int] | None:
    """Shortest and longest even chain by the rules; None when the capacity is exceeded."""
    needed = needed_teeth(bike)
    if needed > bike.rear.capacity:
        return None
    spare = capacity.take_up_links(bike.rear.capacity, needed)
    longest = 2 * math.floor((wrap_links(bike) + DERAILLEUR_LINKS + spare) / 2 + 1e-9)
    return shortest_by_rule(bike), longest


def too_short_by_rule(bike: Bike, links: int) -> tuple[Gear, ...]:
    """Gears whose wrap plus two is more than `links`."""
    longest = _longest_mm(bike)
    return tuple(
        (ring, cog)
        for ring in bike.rings
        for cog in bike.cogs
        if chain_length.largest_pair_links(longest, ring, cog) > links
    )


def too_long_by_rule(bike: Bike, links: int) -> tuple[Gear, ...]:
    """Gears that leave more slack than the leaflet's capacity takes up, a link counting as two teeth."""
    most = bike.rings[-1] + bike.cogs[-1]
    room = capacity.take_up_links(bike.rear.capacity, 0)
    return tuple(
        (ring, cog)
        for ring in bike.rings
        for cog in bike.cogs
        if _slack_links(bike, links, most - ring - cog) > room + 1e-9
    )


def beyond_capacity(bike: Bike) -> tuple[Gear, ...]:
    """Gears further from the largest pair, in teeth, than the leaflet's capacity."""
    room = bike.rear.capacity - capacity.growth_teeth(bike.frame.travel_growth_mm)
    most = bike.rings[-1] + bike.cogs[-1]
    return tuple((ring, cog) for ring in bike.rings for cog in bike.cogs if most - ring - cog > room)
