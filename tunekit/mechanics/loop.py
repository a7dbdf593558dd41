"""The chain as a taut loop round ring, tension pulley, guide pulley and cog, for any cage angle.

Seen from the drive side with the bike facing right: x forward, y up, origin at the hub axis, lengths in mm.
Ring, tension pulley and cog turn clockwise, the guide pulley the other way. A run is the common tangent of
two pitch circles; round a wheel a chain takes one pitch per tooth, so an arc of `w` radians on N teeth holds
N w / 2π links (a little less than the pitch circle's own arc, see `circle_mm`).
Derivation of the tangent and of its change: the vector between two centres is d = L t + k n, with t the run's
direction, n its left normal and k the difference of the radii signed by their turning sense.
"""

from typing import Any, NamedTuple

import numpy as np

from tunekit.mechanics.bounds import Floats
from tunekit.mechanics.sprocket import PITCH_MM

TURN = 2 * np.pi
OVERLAP_MM2 = 1.0
"""Where two circles would overlap, outside the usable swing, a run keeps this square and no NaN arises."""


class Wheels(NamedTuple):
    """The wheels of many gears at once; every array broadcasts against the cage angle."""

    ring_x: Floats
    ring_y: Floats
    ring_mm: Floats
    """Pitch radius [mm]; likewise the other `_mm`."""
    ring_teeth: Floats
    cog_mm: Floats
    cog_teeth: Floats
    pivot_x: Floats
    """Cage pivot."""
    pivot_y: Floats
    guide_mm: float
    guide_teeth: int
    tension_mm: float
    tension_teeth: int
    to_guide_mm: float
    """Cage pivot to guide pulley, along the cage."""
    to_tension_mm: float
    """Cage pivot to tension pulley, along the cage."""


PER_GEAR = Wheels._fields[: Wheels._fields.index("guide_mm")]
"""The fields that differ from gear to gear."""


def picked(wheels: Wheels, index: Any) -> Wheels:
    """The same wheels with every per-gear array broadcast and then indexed."""
    arrays = np.broadcast_arrays(*(getattr(wheels, name) for name in PER_GEAR))
    return wheels._replace(**{name: array[index] for name, array in zip(PER_GEAR, arrays, strict=True)})


class Loop(NamedTuple):
    """The taut loop at one cage angle per element. Wraps in radians, runs in mm."""

    top_mm: Floats
    """Cog to ring."""
    lower_mm: Floats
    """Ring to tension pulley."""
    cage_mm: float
    """Tension pulley to guide pulley."""
    free_mm: Floats
    """Guide pulley to cog: the length that steers the chain."""
    ring: Floats
    tension: Floats
    guide: Floats
    cog: Floats
    links: Floats
    slope: Floats
    """Links per radian of cage angle; negative, since a cage swung forward shortens the loop."""
    guide_slope: Floats
    """Change of the guide pulley's wrap per radian of cage angle."""
    fold_mm: Floats
    """Lower run to the guide pulley's circle; the chain touches itself where this is small."""
    fold_slope: Floats


def run(dx: Floats, dy: Floats, k: Floats | float) -> tuple[Floats, Floats]:
    """Length and heading of the tangent from one directed circle to the next.

    `dx`, `dy` point from centre to centre; `k` is first radius less second, clockwise positive. The heading
    lies in (-2π, 0], so that headings round the loop fall steadily and wraps are plain differences.
    """
    length = np.sqrt(np.maximum(dx * dx + dy * dy - k * k, OVERLAP_MM2))
    return length, np.arctan2(k * dx - length * dy, -(length * dx + k * dy)) - np.pi


def taut_loop(wheels: Wheels, cage: Floats) -> Loop:
    """The loop at cage angle `cage` [rad] (0 = straight down, + = forward); all arrays broadcast."""
    sine, cosine = np.sin(cage), np.cos(cage)
    top, top_heading = run(wheels.ring_x, wheels.ring_y, wheels.cog_mm - wheels.ring_mm)
    top_heading = np.where(top_heading < -np.pi, top_heading + TURN, top_heading)
    lower, lower_heading = run(
        wheels.pivot_x + wheels.to_tension_mm * sine - wheels.ring_x,
        wheels.pivot_y - wheels.to_tension_mm * cosine - wheels.ring_y,
        wheels.ring_mm - wheels.tension_mm,
    )
    free, free_heading = run(
        wheels.to_guide_mm * sine - wheels.pivot_x,
        -wheels.to_guide_mm * cosine - wheels.pivot_y,
        -wheels.guide_mm - wheels.cog_mm,
    )
    between = wheels.to_guide_mm + wheels.to_tension_mm
    both = wheels.guide_mm + wheels.tension_mm
    inner = float(np.sqrt(between * between - both * both))
    inner_heading = cage + (np.pi / 2 - TURN - np.arctan2(both, inner))

    # δd = δL t + L δh n - k δh t, hence δh = δd·n / L and δL = δd·t + k δh.
    swing = lower_heading - cage
    lower_turn = -wheels.to_tension_mm * np.sin(swing) / lower
    lower_grow = wheels.to_tension_mm * np.cos(swing) + (wheels.ring_mm - wheels.tension_mm) * lower_turn
    lean = free_heading - cage
    free_turn = -wheels.to_guide_mm * np.sin(lean) / free
    free_grow = wheels.to_guide_mm * np.cos(lean) - (wheels.guide_mm + wheels.cog_mm) * free_turn

    ring, tension = top_heading - lower_heading, lower_heading - inner_heading
    guide, cog = free_heading - inner_heading, free_heading - top_heading + TURN
    links = (top + lower + inner + free) / PITCH_MM + (
        wheels.ring_teeth * ring
        + wheels.tension_teeth * tension
        + wheels.guide_teeth * guide
        + wheels.cog_teeth * cog
    ) / TURN
    slope = (lower_grow + free_grow) / PITCH_MM + (
        (wheels.tension_teeth - wheels.ring_teeth) * lower_turn
        - wheels.tension_teeth
        + wheels.guide_teeth * (free_turn - 1)
        + wheels.cog_teeth * free_turn
    ) / TURN
    return Loop(
        top,
        lower,
        inner,
        free,
        ring,
        tension,
        guide,
        cog,
        links,
        slope,
        free_turn - 1,
        wheels.tension_mm - wheels.guide_mm - between * np.cos(swing),
        between * np.sin(swing) * (lower_turn - 1),
    )


def circle_mm(wheels: Wheels, loop: Loop) -> Floats:
    """Length of the same loop as a belt on the pitch circles [mm], for checks against drawn outlines."""
    runs = loop.top_mm + loop.lower_mm + loop.cage_mm + loop.free_mm
    return (
        runs
        + wheels.ring_mm * loop.ring
        + wheels.tension_mm * loop.tension
        + wheels.guide_mm * loop.guide
        + wheels.cog_mm * loop.cog
    )
