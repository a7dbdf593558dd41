"""What a hand's work moves, in millimetres (or degrees) of the amount that the belief is about."""

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tunekit.bike import Bike
from tunekit.diagnosis.evidence import Evidence
from tunekit.mechanics.from_bike import hand_rate
from tunekit.mechanics.turns import factor

Floats = NDArray[np.floating[Any]]

AXES = (
    "index",
    "high_limit",
    "low_limit",
    "gap",
    "front_height",
    "front_angle",
    "front_inner",
    "front_outer",
    "front_index",
)
"""Amounts that a hand can set; stops count + = lets the pulley (or cage) go further out of the range."""


_AXIS_OF = {
    "rear_barrel": ("index", 1),
    "rear_micro_adjust": ("index", 1),
    "high_limit": ("high_limit", -1),
    "low_limit": ("low_limit", -1),
    "b_screw": ("gap", 1),
    "front_barrel": ("front_index", 1),
    "front_micro_adjust": ("front_index", 1),
    "front_high_limit": ("front_outer", -1),
    "front_low_limit": ("front_inner", -1),
    "front_height_mm": ("front_height", 1),
    "front_angle_deg": ("front_angle", 1),
}
"""Each turned thing: the axis it moves, and which way by the log's sign."""
_USUAL = {
    "rear_micro_adjust": "usual_step_mm",
    "front_micro_adjust": "usual_step_mm",
    "b_screw": "usual_b_screw_mm",
}
"""Rows of data/turns.toml to go by where the bike's own rate is not known."""


@lru_cache(maxsize=64)
def moved_per_unit(bike: Bike) -> dict[str, tuple[str, float]]:
    """For each turned thing: the axis it moves and by how much for one turn, step, millimetre or degree."""
    return {what: (axis, sign * _per_unit(what, bike)) for what, (axis, sign) in _AXIS_OF.items()}


def _per_unit(what: str, bike: Bike) -> float:
    rate = hand_rate(what, bike)
    if rate is not None:
        return rate.mm_per_unit
    return factor(_USUAL[what]).value if what in _USUAL else 1.0


def moved(bike: Bike, evidence: Evidence) -> dict[str, Floats]:
    """How far each axis has been moved by hand up to each stage; arrays of shape (stages,)."""
    sums: dict[str, Floats] = {axis: np.zeros(evidence.stages) for axis in AXES}
    for what, (axis, amount) in moved_per_unit(bike).items():
        sums[axis] = sums[axis] + amount * evidence.turned_by(what)
    return sums
