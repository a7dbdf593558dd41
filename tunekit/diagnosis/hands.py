"""What a hand's work moves, in millimetres (or degrees) of the amount that the belief is about."""

import numpy as np
from numpy.typing import NDArray

from tunekit.bike import Bike
from tunekit.data import table
from tunekit.diagnosis.evidence import Evidence

Floats = NDArray[np.float64]

AXES = (
    "index",
    "high",
    "low",
    "gap",
    "front_height",
    "front_angle",
    "front_inner",
    "front_outer",
    "front_index",
)
"""Amounts that a hand can set; stops count + = lets the pulley (or cage) go further out of the range."""


def moved_per_unit(bike: Bike) -> dict[str, tuple[str, float]]:
    """For each turned thing: the axis it moves and by how much for one turn, step, millimetre or degree."""
    hand = table("hands")
    ratio = bike.rear.cable_ratio or 1.0
    step = bike.rear.step_mm or hand["step_mm"]
    front_step = (bike.front and bike.front.step_mm) or hand["step_mm"]
    return {
        "rear_barrel": ("index", hand["barrel_mm"] * ratio),
        "rear_micro_adjust": ("index", step),
        "high_limit": ("high", -hand["limit_mm"]),
        "low_limit": ("low", -hand["limit_mm"]),
        "b_screw": ("gap", hand["b_screw_gap_mm"]),
        "front_barrel": ("front_index", hand["barrel_mm"] * hand["front_ratio"]),
        "front_micro_adjust": ("front_index", front_step),
        "front_high_limit": ("front_outer", -hand["front_limit_mm"]),
        "front_low_limit": ("front_inner", -hand["front_limit_mm"]),
        "front_height_mm": ("front_height", 1.0),
        "front_angle_deg": ("front_angle", 1.0),
    }


def moved(bike: Bike, evidence: Evidence) -> dict[str, Floats]:
    """How far each axis has been moved by hand up to each stage; arrays of shape (stages,)."""
    sums = {axis: np.zeros(evidence.stages) for axis in AXES}
    for what, (axis, amount) in moved_per_unit(bike).items():
        sums[axis] = sums[axis] + amount * evidence.turned_by(what)
    return sums
