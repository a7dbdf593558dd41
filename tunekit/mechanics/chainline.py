"""Where each cog and ring stands sideways, and the angle at which the chain runs between them.

Distances are from the frame's centre plane, so a *smaller* figure is further inboard.
Rule: rear = half the over-locknut distance less the distance to the cog; front = mid-point of the rings
(workshop practice as worked in `tests/published/test_chainline.py`).
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def cog_lines_mm(hub_spacing_mm: float, locknut_gap_mm: float, cog_mm: float, pitch_mm: float, cogs: int) -> Floats:
    """Centre of each cog from the centre plane [mm], smallest cog (outermost) first; shape (cogs,)."""
    outermost = hub_spacing_mm / 2 - locknut_gap_mm - cog_mm / 2
    return outermost - pitch_mm * np.arange(cogs, dtype=float)


def ring_lines_mm(chainline_mm: float, ring_gap_mm: float, rings: int) -> Floats:
    """Centre of each ring from the centre plane [mm], smallest ring (innermost) first; shape (rings,)."""
    return chainline_mm + ring_gap_mm * (np.arange(rings, dtype=float) - (rings - 1) / 2)


def chain_angle_deg(offset_mm: ArrayLike, run_mm: ArrayLike) -> Floats:
    """Angle of the chain against the frame's centre plane [deg]; atan(offset / run), arrays broadcast."""
    return np.degrees(np.arctan2(np.asarray(offset_mm, float), np.asarray(run_mm, float)))
