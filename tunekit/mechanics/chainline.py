"""Where each cog and ring stands sideways, and the angle at which the chain runs between them.

Distances are from the frame's centre plane, so a *smaller* figure is further inboard.
Rule: rear = half the over-locknut distance less the distance to the cog; front = mid-point of the rings
(workshop practice as worked in `tests/published/test_chainline.py`).
"""

import numpy as np
from numpy.typing import ArrayLike

from tunekit.mechanics.bounds import Floats, within


def _count(field: str, number: int) -> Floats:
    return within(field, number, 1, 20)


def _hub_mm(hub_spacing_mm: ArrayLike) -> Floats:
    return within("hub_spacing_mm", hub_spacing_mm, 50, 300)


def _pitch_mm(pitch_mm: ArrayLike) -> Floats:
    return within("pitch_mm", pitch_mm, 1, 10)


def _cog_mm(cog_mm: ArrayLike) -> Floats:
    return within("cog_mm", cog_mm, 0.5, 10)


def cog_lines_mm(
    hub_spacing_mm: float, locknut_gap_mm: float, cog_mm: float, pitch_mm: ArrayLike, cogs: int
) -> Floats:
    """Centre of each cog from the centre plane [mm], smallest cog (outermost) first; shape (cogs,).

    `pitch_mm` is one figure or one for each pair of neighbours, (cogs - 1,).
    """
    inward = within("locknut_gap_mm", locknut_gap_mm, -50, 100) + _cog_mm(cog_mm) / 2
    steps = np.broadcast_to(_pitch_mm(pitch_mm), (int(_count("cogs", cogs)) - 1,))
    return np.asarray(_hub_mm(hub_spacing_mm) / 2 - inward - np.concatenate([[0.0], np.cumsum(steps)]))


def ring_lines_mm(chainline_mm: float, ring_gap_mm: float, rings: int) -> Floats:
    """Centre of each ring from the centre plane [mm], smallest ring (innermost) first; shape (rings,)."""
    places = np.arange(int(_count("rings", rings)), dtype=float) - (rings - 1) / 2
    gap = within("ring_gap_mm", ring_gap_mm, 0, 50)
    return np.asarray(within("chainline_mm", chainline_mm, 0, 200) + gap * places)


def chain_angle_deg(offset_mm: ArrayLike, run_mm: ArrayLike) -> Floats:
    """Angle of the chain against the frame's centre plane [deg]; atan(offset / run), arrays broadcast."""
    offset, run = within("offset_mm", offset_mm, -500, 500), within("run_mm", run_mm, 1, 5000)
    return np.asarray(np.degrees(np.arctan2(offset, run)))


def middle_mm(lines_mm: ArrayLike) -> float:
    """Chainline of a set of rings or cogs [mm]: the middle one, or half-way between the two in the middle."""
    lines = within("lines_mm", lines_mm, -500, 500)
    return float((lines[(len(lines) - 1) // 2] + lines[len(lines) // 2]) / 2)


def gear_angles_deg(ring_lines: ArrayLike, cog_lines: ArrayLike, run_mm: ArrayLike) -> Floats:
    """Chain's angle in every gear [deg], shape (rings, cogs); + when it runs inboard from ring to cog.

    `run_mm` is the chainstay; the free run is about 2 % shorter at most. Broadcasts against (rings, cogs).
    """
    rings = within("ring_lines", ring_lines, -500, 500)[:, None]
    cogs = within("cog_lines", cog_lines, -500, 500)[None, :]
    return chain_angle_deg(rings - cogs, run_mm)


def stack_width_mm(cogs: int, pitch_mm: ArrayLike, cog_mm: ArrayLike) -> Floats:
    """Width over all cogs [mm]; (n - 1) pitches and one thickness (a crib sheet of cog spacing)."""
    return np.asarray((_count("cogs", cogs) - 1) * _pitch_mm(pitch_mm) + _cog_mm(cog_mm))


def chainline_from_tube_mm(tube_mm: ArrayLike, gap_mm: ArrayLike) -> Floats:
    """Front chainline from a frame tube's diameter and the gap from its side to the tooth's centre [mm]."""
    return np.asarray(within("tube_mm", tube_mm, 5, 200) / 2 + within("gap_mm", gap_mm, -100, 200))


def chainline_from_locknut_mm(hub_spacing_mm: ArrayLike, gap_mm: ArrayLike) -> Floats:
    """Rear chainline from the over-locknut distance and the gap from locknut face to tooth centre [mm]."""
    return np.asarray(_hub_mm(hub_spacing_mm) / 2 - within("gap_mm", gap_mm, -100, 200))
