"""Teeth against what the leaflets allow: capacity, largest and smallest cog, rings."""

import math

from tunekit.bike import Bike
from tunekit.fit.limits import limit, words
from tunekit.fit.report import Finding, Status
from tunekit.mechanics import capacity
from tunekit.targets.chain_rules import needed_teeth


def _teeth(name: str, value: float, most: float, rule: str, if_ignored: str, remedy: str) -> Finding:
    """A finding about a number of teeth that must not exceed the leaflet's figure."""
    status: Status = "pass" if value <= most else "fail"
    return Finding(
        name=name,
        status=status,
        value=value,
        limit=most,
        unit="teeth",
        rule=rule,
        if_ignored=if_ignored,
        remedy=None if status == "pass" else remedy,
    )


def total_capacity(bike: Bike) -> Finding:
    """Teeth to take up against the leaflet's capacity."""
    needed = round(needed_teeth(bike), 1)
    return _teeth(
        "total_capacity",
        needed,
        bike.rear.capacity,
        words("total_capacity.rule"),
        words("total_capacity.if_ignored"),
        _capacity_remedy(bike, needed),
    )


def _capacity_remedy(bike: Bike, needed: float) -> str:
    """Whatever of a smaller largest cog, a larger inner ring or a longer cage can be had."""
    room = math.floor(bike.rear.capacity - capacity.growth_teeth(bike.frame.travel_growth_mm))
    cog = capacity.largest_cog_for(bike.rings, bike.cogs, room)
    ring = capacity.smallest_ring_for(bike.rings, bike.cogs, room)
    ways = []
    if cog > bike.cogs[0]:
        ways.append(words("total_capacity.remedy_cog", cog=cog))
    if bike.rings[0] < ring < bike.rings[-1]:
        ways.append(words("total_capacity.remedy_ring", ring=ring))
    return ", or ".join([*ways, words("total_capacity.remedy_cage", needed=math.ceil(needed))])


def largest_cog(bike: Bike) -> Finding:
    """Largest cog against the leaflet's."""
    value, most = bike.cogs[-1], bike.rear.largest_cog
    remedy = words("largest_cog.remedy", limit=most, value=value)
    rule, if_ignored = words("largest_cog.rule"), words("largest_cog.if_ignored")
    return _teeth("largest_cog", value, most, rule, if_ignored, remedy)


def smallest_cog(bike: Bike) -> Finding:
    """Smallest cog against the leaflet's figure, or against common practice when none is entered."""
    told = bike.rear.smallest_cog
    least = limit("smallest_cog", "teeth") if told is None else told
    value = bike.cogs[0]
    below: Status = "caution" if told is None else "fail"
    status: Status = "pass" if value >= least else below
    rule = "smallest_cog.rule_common" if told is None else "smallest_cog.rule_leaflet"
    return Finding(
        name="smallest_cog",
        status=status,
        value=value,
        limit=least,
        unit="teeth",
        rule=words(rule, limit=f"{least:g}"),
        if_ignored=words("smallest_cog.if_ignored"),
        remedy=None if status == "pass" else words("smallest_cog.remedy", limit=f"{least:g}", value=value),
    )


def front_difference(bike: Bike) -> Finding | None:
    """Ring difference against the front derailleur's; nothing to ask of a single ring."""
    value = capacity.front_difference(bike.rings)
    if len(bike.rings) == 1:
        return None
    if bike.front is None:
        return Finding(
            name="front_difference",
            status="caution",
            value=value,
            limit=None,
            unit="teeth",
            rule=words("front_difference.rule_none"),
            if_ignored=words("front_difference.if_ignored_none"),
            remedy=words("front_difference.remedy_none"),
        )
    remedy = words("front_difference.remedy_ring", ring=bike.rings[-1] - bike.front.capacity)
    rule, if_ignored = words("front_difference.rule"), words("front_difference.if_ignored")
    return _teeth("front_difference", value, bike.front.capacity, rule, if_ignored, remedy)


def _leaflet(name: str, value: int, bound: int | None, at_most: bool, **gaps: object) -> Finding | None:
    """A number of teeth against a figure that only the leaflet has; nothing to ask while nobody typed it."""
    if bound is None:
        return None
    status: Status = "pass" if (value <= bound if at_most else value >= bound) else "fail"
    return Finding(
        name=name,
        status=status,
        value=value,
        limit=bound,
        unit="teeth",
        rule=words(f"{name}.rule"),
        if_ignored=words(f"{name}.if_ignored"),
        remedy=None if status == "pass" else words(f"{name}.remedy", limit=bound, **gaps),
    )


def least_largest_cog(bike: Bike) -> Finding | None:
    """Largest cog against the least that the leaflet allows."""
    return _leaflet("least_largest_cog", bike.cogs[-1], bike.rear.least_largest_cog, at_most=False)


def largest_ring(bike: Bike) -> Finding | None:
    """Largest ring against the largest that the front cage is curved for."""
    leaflet = None if bike.front is None else bike.front.largest_ring
    return _leaflet("largest_ring", bike.rings[-1], leaflet, at_most=True)


def least_ring(bike: Bike) -> Finding | None:
    """Largest ring against the least that the front cage is curved for."""
    leaflet = None if bike.front is None else bike.front.least_ring
    return _leaflet("least_ring", bike.rings[-1], leaflet, at_most=False)


def least_difference(bike: Bike) -> Finding | None:
    """Difference of the two largest of three or more rings against the front derailleur's least."""
    if bike.front is None or len(bike.rings) < 3:
        return None
    apart, least = bike.rings[-1] - bike.rings[-2], bike.front.least_difference
    return _leaflet("least_difference", apart, least, at_most=False, ring=bike.rings[-1] - (least or 0))
