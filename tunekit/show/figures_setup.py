"""The picture of a set-up step or of a move: which screw, which way, seen from where. SVG, with its words."""

from dataclasses import dataclass

from tunekit.bike import Bike
from tunekit.data import phrase
from tunekit.diagnosis.advice import Move
from tunekit.setup import Step
from tunekit.show import setup_drawings_front, setup_drawings_plain, setup_drawings_rear
from tunekit.show.setup_shown import Shown, shown, shown_turn

DRAWINGS = setup_drawings_rear.DRAWINGS | setup_drawings_front.DRAWINGS | setup_drawings_plain.DRAWINGS


MOVES = {
    "turned.rear_barrel": "barrel_middle",
    "turned.rear_micro_adjust": "micro_middle",
    "turned.high_limit": "high_stop",
    "turned.low_limit": "low_stop",
    "turned.b_screw": "gap",
    "turned.hanger": "hanger",
    "turned.front_low_limit": "front_gap_inner",
    "turned.front_high_limit": "front_gap_outer",
    "turned.front_angle_deg": "angle",
    "measured.hanger_rim_mm": "hanger",
    "measured.cable_drag": "pluck",
    "measured.connectors_seated": "plug",
    "measured.battery_pct": "battery",
    "measured.wheel_seated": "wheel",
    "measured.worn_cog": "teeth",
    "measured.front_inner_gap_mm": "front_gap_inner",
    "measured.front_outer_gap_mm": "front_gap_outer",
    "measured.front_angle_deg": "angle",
    "fitted.connectors": "plug",
    "fitted.battery": "battery",
    "fitted.wheel": "wheel",
    "fitted.chain_route": "route",
}
"""The drawing of a move by its kind and word. A move of another place has none rather than a wrong one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawing, and what it says for those who do not see it."""

    svg: str
    alt: str


def step_picture(step: Step, bike: Bike) -> Picture:
    """The step's picture as the log stands: after a verdict it shows the turn that the verdict asks for."""
    it = shown(step, bike)
    return _drawn(step.picture, it, it.target)


def move_picture(move: Move, bike: Bike) -> Picture | None:
    """The picture of what the diagnosis asks for; None when no drawing shows that place."""
    drawing = MOVES.get(f"{move.kind}.{move.what}")
    if drawing is None:
        return None
    turn = move.amount if move.kind == "turned" else None
    return _drawn(drawing, shown_turn(move.what, turn, bike), phrase("setup", "pictures.to_be_set"))


def _drawn(drawing: str, it: Shown, target: str) -> Picture:
    gaps = {
        "smallest": it.bike.cogs[0],
        "largest": it.bike.cogs[-1],
        "large_ring": it.bike.rings[-1],
        "target": target,
    }
    alt = phrase("setup", f"pictures.{drawing}", **gaps)
    way = phrase("setup", "pictures.turns", rotation=it.rotation) if it.rotation else ""
    return Picture(svg=DRAWINGS[drawing](it), alt=f"{alt} {way}".strip())
