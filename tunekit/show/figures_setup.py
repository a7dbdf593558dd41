"""The picture of a set-up step: which screw, which way, seen from where. Plain SVG, with its words."""

from dataclasses import dataclass

from tunekit.bike import Bike
from tunekit.data import phrase
from tunekit.setup import Step
from tunekit.show import setup_drawings_front, setup_drawings_plain, setup_drawings_rear
from tunekit.show.setup_shown import shown

DRAWINGS = setup_drawings_rear.DRAWINGS | setup_drawings_front.DRAWINGS | setup_drawings_plain.DRAWINGS


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawing, and what it says for those who do not see it."""

    svg: str
    alt: str


def step_picture(step: Step, bike: Bike) -> Picture:
    """The step's picture as the log stands: after a verdict it shows the turn that the verdict asks for."""
    it = shown(step, bike)
    gaps = {
        "smallest": bike.cogs[0],
        "largest": bike.cogs[-1],
        "large_ring": bike.rings[-1],
        "target": it.target,
    }
    alt = phrase("setup", f"pictures.{step.picture}", **gaps)
    way = phrase("setup", "pictures.turns", rotation=it.rotation) if it.rotation else ""
    return Picture(svg=DRAWINGS[step.picture](it), alt=f"{alt} {way}".strip())
