"""The hanger: four rim readings to a tilt, and what the tilt does on every cog.

The gauge turns about the hanger's bolt and touches the same rim point at 12, 3, 6 and 9 o'clock, seen from
the drive side with the bike facing right, so it reads across the full diameter: 4 mm over 622 is 0.37
degrees, not 0.74 (Urban Velo issue 32, derailleur alignment, for the method; the angle is trigonometry).
"""

from dataclasses import dataclass
from math import atan, atan2, cos, degrees, hypot, radians, sin, sqrt, tan

import numpy as np
from numpy.typing import ArrayLike

from tunekit.bike.errors import TunekitError
from tunekit.mechanics.bounds import Floats, within
from tunekit.mechanics.geometry import SideView, pivots_mm

READING_SD_MM = 0.5
"""How well a rim gauge is read: by eye against a feeler, half a millimetre (common practice, no source)."""
GOOD_MM = 4.0
"""Largest difference across the four points that repair schools let pass (memory)."""
GOOD_MANY_COGS_MM = 3.0
"""The same for many cogs: 2 to 3, the wider taken (common practice, no source)."""
MANY_COGS = 10


def good_mm(cogs: int) -> float:
    """Largest difference across the four points that a hanger may keep with this many cogs [mm]."""
    return GOOD_MANY_COGS_MM if cogs >= MANY_COGS else GOOD_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Tilt:
    """How the hanger leans."""

    inboard_deg: float
    """+ = the lower end leans inboard."""
    forward_deg: float
    """+ = the front leans inboard."""
    magnitude_deg: float
    clock: float
    """The o'clock at which the rim gauge reads least, above 0 to 12: the side that leans inboard."""
    sd_deg: float
    """Standard deviation of either lean and, when it is clear of zero, of the magnitude."""
    clock_sd_hours: float
    """Standard deviation of `clock`; 3.5 (anywhere) when the tilt is lost in the readings' error."""
    difference_mm: float
    """Largest reading less the smallest."""
    closure_mm: float
    """Half of (12 + 6) less half of (3 + 9) o'clock: zero but for error, since a gauge turns in a plane."""
    consistent: bool
    """False when `closure_mm` is beyond three of its standard deviations: a reading slipped."""


def tilt_from_rim(
    readings_mm: ArrayLike, rim_mm: float = 622.0, reading_sd_mm: float = READING_SD_MM
) -> Tilt:
    """Tilt from gauge-to-rim distances at 12, 3, 6 and 9 o'clock [mm], in that order."""
    readings = within("hanger_rim_mm", readings_mm, 0, 200, "mm").ravel()
    if len(readings) != 4:
        raise TunekitError(
            f"hanger_rim_mm needs four readings, at 12, 3, 6 and 9 o'clock (got {len(readings)}); "
            "read the others."
        )
    twelve, three, six, nine = readings.tolist()
    across = float(within("rim_mm", rim_mm, 200, 700, "mm"))
    sd = float(within("reading_sd_mm", reading_sd_mm, 0.01, 20, "mm"))
    inboard, forward = degrees(atan((twelve - six) / across)), degrees(atan((nine - three) / across))
    magnitude = hypot(inboard, forward)
    lean_sd = degrees(sqrt(2) * sd / across)
    closure = (twelve + six - three - nine) / 2
    return Tilt(
        inboard_deg=inboard,
        forward_deg=forward,
        magnitude_deg=magnitude,
        clock=_clock(inboard, forward),
        sd_deg=lean_sd,
        clock_sd_hours=min(degrees(lean_sd / magnitude) / 30, 3.5) if magnitude else 3.5,
        difference_mm=max(twelve, three, six, nine) - min(twelve, three, six, nine),
        closure_mm=closure,
        consistent=abs(closure) <= 3 * sd,
    )


def _clock(inboard_deg: float, forward_deg: float) -> float:
    """The hour toward which the hanger leans: 6 for the lower end, 3 for the front."""
    hours = degrees(atan2(forward_deg, -inboard_deg)) / 30
    return hours if hours > 0 else hours + 12


def rim_readings_mm(tilt_deg: float, clock: float, rim_mm: float = 622.0, gap_mm: float = 20.0) -> Floats:
    """The four readings a tilt would give [mm], inverse of `tilt_from_rim`."""
    toward = radians(30 * float(within("clock", clock, 0, 12, "o'clock")))
    across = float(within("rim_mm", rim_mm, 200, 700, "mm"))
    slope = tan(radians(float(within("tilt_deg", tilt_deg, -45, 45)))) * across / 2
    hours = np.radians([0.0, 90.0, 180.0, 270.0])
    return np.asarray(within("gap_mm", gap_mm, -500, 500) - slope * np.cos(hours - toward), float)


def arms_mm(view: SideView) -> tuple[Floats, Floats]:
    """Guide pulley below and forward of the hanger's bolt on each cog [mm], each of shape (cogs,).

    Taken at the cage angle at which the pulley gap is set; the cage's swing changes it a little.
    """
    x, y = pivots_mm(view)
    angle = radians(view.set_angle_deg)
    guide_x, guide_y = x - view.pivot_mm * sin(angle), y + view.pivot_mm * cos(angle)
    return -view.hanger_down_mm - guide_y, guide_x + view.hanger_back_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class TiltEffect:
    """What a tilt does at the guide pulley on every cog, arrays of shape (cogs,)."""

    shift_mm: Floats
    """Sideways move of the pulley, + = inboard."""
    sd_mm: Floats
    left_mm: Floats
    """What is left of it once the barrel has taken the middle of it away."""
    plane_deg: float
    """Angle of the pulley's own plane against the cogs', which no barrel cancels."""


def tilt_effect(tilt: Tilt, view: SideView) -> TiltEffect:
    """What a tilt does on every cog: arm below x lean inboard + arm forward x lean forward."""
    below, forward = arms_mm(view)
    shift = below * tan(radians(tilt.inboard_deg)) + forward * tan(radians(tilt.forward_deg))
    return TiltEffect(
        shift_mm=shift,
        sd_mm=np.hypot(below, forward) * radians(tilt.sd_deg),
        left_mm=shift - (shift.max() + shift.min()) / 2,
        plane_deg=tilt.magnitude_deg,
    )
