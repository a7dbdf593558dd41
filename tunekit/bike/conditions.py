"""What a bike is, in the few words by which tables say what they are for."""

from tunekit.bike.model import Bike


def conditions(bike: Bike) -> frozenset[str]:
    """What a cause, look, repair or fact may need: cable, electronic, front, front_cable, front_electronic, cell.

    A lever has a cell of its own unless the bike says that it is wired.
    """
    found: set[str] = {bike.rear.actuation}
    if bike.front is not None:
        found |= {"front", f"front_{bike.front.actuation}"}
    if bike.control != "wired":
        found.add("cell")
    return frozenset(found)
