"""What a hand does, in millimetres at the pulley, and back: each factor with its source and how sure it is.

A `Rate` is a product of `Factor`s; their relative spreads add in quadrature (first order, independent) and
ride along with every result. Amounts follow the log's signs, the sign is the effect: + = pulley inboard for
the barrel and micro-adjust, + = the stop closes in for limit screws, + = wider gap for the B screw.
"""

from dataclasses import dataclass
from math import hypot, pi

import numpy as np

from tunekit.bike.errors import TunekitError
from tunekit.data import table
from tunekit.mechanics.bounds import within
from tunekit.mechanics.geometry import SideView, hanger_seen_mm, pivots_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """One number of a conversion."""

    name: str
    value: float
    relative_sd: float
    status: str
    """seen, calc, memory, common practice, model, leaflet or geometry"""
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """A result and its standard deviation, in the unit asked for."""

    value: float
    sd: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """So many millimetres for one `unit` of the hand."""

    unit: str
    """turn, step or degree"""
    factors: tuple[Factor, ...]

    @property
    def mm_per_unit(self) -> float:
        """Product of the factors [mm / unit]."""
        return float(np.prod([factor.value for factor in self.factors]))

    @property
    def relative_sd(self) -> float:
        """Standard deviation of the product over its value."""
        return hypot(*(factor.relative_sd for factor in self.factors))

    def mm(self, amount: float) -> Measure:
        """Millimetres at the pulley or cage for an amount of the hand."""
        value = _finite("amount", amount) * self.mm_per_unit
        return Measure(value=value, sd=abs(value) * self.relative_sd)

    def amount(self, mm: float) -> Measure:
        """What the hand must do for so many millimetres."""
        value = _finite("mm", mm) / self.mm_per_unit
        return Measure(value=value, sd=abs(value) * self.relative_sd)


def _finite(field: str, value: float) -> float:
    if not np.isfinite(value):
        raise TunekitError(f"{field} must be a finite number (got {value:g}); measure it again.")
    return float(value)


def _positive(field: str, value: float | None) -> float:
    if value is None or not np.isfinite(value) or value <= 0:
        raise TunekitError(
            f"{field} must be a number above 0 (got {value}); type it from the part's leaflet."
        )
    return float(value)


def factor(name: str, value: float | None = None) -> Factor:
    """A row of `data/turns.toml`; with `value`, that row's spread and source for a figure typed by hand."""
    row = table("turns")[name]
    return Factor(
        name=name,
        value=row["value"] if value is None else _positive(name, value),
        relative_sd=row["relative_sd"],
        status=row["status"],
        source=row["source"],
    )


def rear_barrel(cable_ratio: float | None) -> Rate:
    """Rear barrel adjuster: thread pitch x millimetres at the pulley for one of cable."""
    return Rate(
        unit="turn",
        factors=(factor("barrel_pitch_mm"), factor("cable_ratio", _positive("cable_ratio", cable_ratio))),
    )


def front_barrel() -> Rate:
    """Front barrel adjuster; the cage's ratio is a guess, and its spread says so."""
    return Rate(unit="turn", factors=(factor("barrel_pitch_mm"), factor("front_ratio")))


def limit_screw() -> Rate:
    """A limit screw, rear or front: thread pitch x lever."""
    return Rate(unit="turn", factors=(factor("limit_pitch_mm"), factor("limit_lever")))


def micro_adjust(step_mm: float | None) -> Rate:
    """Micro-adjust of an electronic derailleur, by its leaflet's step."""
    return Rate(unit="step", factors=(factor("step", _positive("step_mm", step_mm)),))


def gap_per_radian_mm(view: SideView) -> float:
    """How fast the pulley gap on the largest cog grows as the body turns about the hanger's bolt [mm/rad].

    The distance hub-pulley changes by the cross product of the two arms over the distance.
    """
    hanger_x, hanger_y = hanger_seen_mm(view)
    x, y = pivots_mm(view)
    angle = np.radians(view.set_angle_deg)
    guide_x, guide_y = x[-1] - view.pivot_mm * np.sin(angle), y[-1] + view.pivot_mm * np.cos(angle)
    return float(abs(hanger_x * guide_y - hanger_y * guide_x) / np.hypot(guide_x, guide_y))


def b_screw(view: SideView) -> Rate:
    """B screw: thread pitch over its arm turns the body, and the side view says what that does to the gap."""
    turned = factor("b_screw_arm_mm", 1 / factor("b_screw_arm_mm").value)
    return Rate(
        unit="turn",
        factors=(factor("b_screw_pitch_mm"), turned, factor("gap_per_radian_mm", gap_per_radian_mm(view))),
    )


def rim_mm(tilt_deg: float, rim_mm: float = 622.0) -> float:
    """Difference between two opposite rim readings for a hanger tilt [mm]; read across the diameter."""
    tilt = within("tilt_deg", tilt_deg, -45, 45, "degrees")
    return float(within("rim_mm", rim_mm, 200, 700, "mm") * np.tan(np.radians(tilt)))


def tilt_deg(difference_mm: float, rim_mm: float = 622.0) -> float:
    """Hanger tilt for a difference between two opposite rim readings [deg]; inverse of `rim_mm`."""
    difference = within("difference_mm", difference_mm, -700, 700, "mm")
    return float(np.degrees(np.arctan(difference / within("rim_mm", rim_mm, 200, 700, "mm"))))


def hanger_tilt(arm_mm: float) -> Rate:
    """Sideways move of a point `arm_mm` below the hanger's bolt for one degree of tilt (small angles)."""
    return Rate(unit="degree", factors=(factor("lever_arm_mm", _positive("arm_mm", arm_mm) * pi / 180),))
