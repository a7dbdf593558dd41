"""Where every ring and cog stands, and the chain's angle in every gear."""

from dataclasses import dataclass

from tunekit.bike import Bike
from tunekit.mechanics.bounds import Floats
from tunekit.mechanics.chainline import gear_angles_deg, middle_mm
from tunekit.mechanics.from_bike import lines_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Chainlines:
    """Distances from the frame's centre plane; rings and cogs smallest first."""

    rings: tuple[int, ...]
    cogs: tuple[int, ...]
    ring_lines_mm: Floats
    cog_lines_mm: Floats
    front_mm: float
    """Chainline of the rings: their middle."""
    rear_mm: float
    """Chainline of the cogs: their middle."""
    difference_mm: float
    """Front less rear; + when the rings stand outboard of the cogs."""
    angles_deg: Floats
    """The chain's angle in every gear, shape (rings, cogs); + when it runs inboard from ring to cog."""


def chainlines(bike: Bike) -> Chainlines:
    """Chainline front and rear and every gear's angle, from the bike's own figures."""
    rings, cogs = lines_mm(bike)
    front, rear = middle_mm(rings), middle_mm(cogs)
    return Chainlines(
        rings=bike.rings,
        cogs=bike.cogs,
        ring_lines_mm=rings,
        cog_lines_mm=cogs,
        front_mm=front,
        rear_mm=rear,
        difference_mm=front - rear,
        angles_deg=gear_angles_deg(rings, cogs, bike.frame.chainstay_mm),
    )
