"""What a bike is, in the few words by which tables say what they are for."""

from collections.abc import Callable

from tunekit.bike.model import Bike

_PARTS: dict[str, Callable[[Bike], bool]] = {
    "hanger": lambda bike: not bike.rear.on_axle,
    "clutch": lambda bike: bike.rear.clutch,
    "guide": lambda bike: bike.crank.guide,
}


def conditions(bike: Bike) -> frozenset[str]:
    """What a cause, look, repair or fact may need of the bike.

    cable, electronic, front, front_cable, front_electronic, cell (a lever has one of its own unless the bike says
    that it is wired), hanger (none where the derailleur is bolted to the axle), clutch, guide.
    """
    found: set[str] = {bike.rear.actuation}
    if bike.front is not None:
        found |= {"front", f"front_{bike.front.actuation}"}
    if bike.control != "wired":
        found.add("cell")
    found |= {word for word, has in _PARTS.items() if has(bike)}
    return frozenset(found)
