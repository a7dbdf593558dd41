"""Where each cog and ring stands sideways, and the angle at which the chain runs between them.

Distances are from the frame's centre plane, so a *smaller* figure is further inboard.
Rule: rear = half the over-locknut distance less the distance to the cog; front = mid-point of the rings
(workshop practice as worked in `tests/published/test_chainline.py`).
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def cog_lines_mm(
    hub_spacing_mm: float, locknut_gap_mm: float, cog_mm: float, pitch_mm: float, cogs: int
) -> Floats:
    """Centre of each cog from the centre plane [mm], smallest cog (outermost) first; shape (cogs,)."""
    outermost = hub_spacing_mm / 2 - locknut_gap_mm - cog_mm / 2
    return np.asarray(outermost - pitch_mm * np.arange(cogs, dtype=float))


def ring_lines_mm(chainline_mm: float, ring_gap_mm: float, rings: int) -> Floats:
    """Centre of each ring from the centre plane [mm], smallest ring (innermost) first; shape (rings,)."""
    return np.asarray(chainline_mm + ring_gap_mm * (np.arange(rings, dtype=float) - (rings - 1) / 2))


def chain_angle_deg(offset_mm: ArrayLike, run_mm: ArrayLike) -> Floats:
    """Angle of the chain against the frame's centre plane [deg]; atan(offset / run), arrays broadcast."""
    return np.asarray(np.degrees(np.arctan2(np.asarray(offset_mm, float), np.asarray(run_mm, float))))


def middle_mm(lines_mm: ArrayLike) -> float:
    """Chainline of a set of rings or cogs [mm]: the middle one, or half-way between the two in the middle."""
    lines = np.asarray(lines_mm, float)
    return float((lines[(len(lines) - 1) // 2] + lines[len(lines) // 2]) / 2)


def gear_angles_deg(ring_lines: ArrayLike, cog_lines: ArrayLike, run_mm: ArrayLike) -> Floats:
    """Chain's angle in every gear [deg], shape (rings, cogs); + when it runs inboard from ring to cog.

    `run_mm` is the chainstay; the free run is about 2 % shorter at most. Broadcasts against (rings, cogs).
    """
    rings, cogs = np.asarray(ring_lines, float)[:, None], np.asarray(cog_lines, float)[None, :]
    return chain_angle_deg(rings - cogs, run_mm)


def stack_width_mm(cogs: int, pitch_mm: ArrayLike, cog_mm: ArrayLike) -> Floats:
    """Width over all cogs [mm]; (n - 1) pitches and one thickness (a crib sheet of cog spacing)."""
    return np.asarray((cogs - 1) * np.asarray(pitch_mm, float) + np.asarray(cog_mm, float))


def chainline_from_tube_mm(tube_mm: ArrayLike, gap_mm: ArrayLike) -> Floats:
    """Front chainline from a frame tube's diameter and the gap from its side to the tooth's centre [mm]."""
    return np.asarray(np.asarray(tube_mm, float) / 2 + np.asarray(gap_mm, float))


def chainline_from_locknut_mm(hub_spacing_mm: ArrayLike, gap_mm: ArrayLike) -> Floats:
    """Rear chainline from the over-locknut distance and the gap from locknut face to tooth centre [mm]."""
    return np.asarray(np.asarray(hub_spacing_mm, float) / 2 - np.asarray(gap_mm, float))
