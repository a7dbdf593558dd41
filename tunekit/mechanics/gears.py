"""What a gear does on the road.

Formulas as in Wikipedia, Gear inches, and "Gain ratio: bicycle gears explained"; held against print in
tests/published/test_gears.py.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tunekit.mechanics.bounds import Floats, within

INCH_MM = 25.4
SAME_GEAR = 0.01
"""Two gears within one per cent are one gear to the legs (common practice, no source)."""


def ratio(ring: ArrayLike, cog: ArrayLike) -> Floats:
    """Wheel turns per crank turn; ring / cog; arrays broadcast."""
    return within("ring", ring, 5, 200) / within("cog", cog, 5, 200)


def gear_inches(ring: ArrayLike, cog: ArrayLike, circumference_mm: ArrayLike) -> Floats:
    """Diameter of a directly driven wheel that would go as far per turn [in]."""
    rolled = within("circumference", circumference_mm, 100, 5000, "mm")
    return rolled / np.pi / INCH_MM * ratio(ring, cog)


def development_m(ring: ArrayLike, cog: ArrayLike, circumference_mm: ArrayLike) -> Floats:
    """Distance per crank turn [m]."""
    return within("circumference", circumference_mm, 100, 5000, "mm") / 1000 * ratio(ring, cog)


def gain_ratio(ring: ArrayLike, cog: ArrayLike, circumference_mm: ArrayLike, crank_mm: ArrayLike) -> Floats:
    """Distance travelled per distance the pedal moves; (wheel radius / crank length) × ring / cog."""
    radius = within("circumference", circumference_mm, 100, 5000, "mm") / (2 * np.pi)
    return radius / within("crank length", crank_mm, 10, 500, "mm") * ratio(ring, cog)


def speed_kmh(development_m: ArrayLike, cadence_rpm: ArrayLike) -> Floats:
    """Road speed at a cadence [km/h]; 0.06 × development × cadence."""
    travelled = within("development", development_m, 0, 50, "m")
    return 0.06 * travelled * within("cadence", cadence_rpm, 0, 300, "rpm")


def steps_pct(ratios: ArrayLike) -> Floats:
    """Each step along the last axis [%]: how much harder the next smaller cog is; shape (..., n - 1)."""
    values = within("ratio", ratios, 0.05, 30)
    return 100 * np.abs(np.diff(values, axis=-1)) / np.minimum(values[..., 1:], values[..., :-1])


Pair = tuple[int, int]


def duplicates(
    rings: ArrayLike, cogs: ArrayLike, within_fraction: float = SAME_GEAR
) -> tuple[tuple[Pair, Pair], ...]:
    """Pairs of gears on different rings that are the same to the legs, each gear as (ring, cog)."""
    front, rear = within("ring", rings, 5, 200, "teeth"), within("cog", cogs, 5, 200, "teeth")
    gears = [(int(r), int(c)) for r in front.ravel() for c in rear.ravel()]
    return tuple(
        (a, b)
        for place, a in enumerate(gears)
        for b in gears[place + 1 :]
        if a[0] != b[0] and abs(a[0] * b[1] / (a[1] * b[0]) - 1) <= within_fraction
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class GearTable:
    """Every gear of a bike; arrays of shape (rings, cogs), smallest ring and smallest cog first."""

    rings: tuple[int, ...]
    cogs: tuple[int, ...]
    ratio: Floats
    gear_inches: Floats
    development_m: Floats
    gain_ratio: Floats
    speed_kmh: Floats
    """At `cadence_rpm`."""
    cadence_rpm: float
    steps_pct: Floats
    """From each cog to the next larger one; shape (rings, cogs - 1)."""
    duplicates: tuple[tuple[Pair, Pair], ...]


def gear_table(
    rings: tuple[int, ...],
    cogs: tuple[int, ...],
    circumference_mm: float,
    crank_mm: float = 172.5,
    cadence_rpm: float = 90.0,
) -> GearTable:
    """All gear figures at once."""
    ring, cog = np.asarray(rings)[:, None], np.asarray(cogs)[None, :]
    development = development_m(ring, cog, circumference_mm)
    ratios = ratio(ring, cog)
    return GearTable(
        rings=tuple(rings),
        cogs=tuple(cogs),
        ratio=ratios,
        gear_inches=gear_inches(ring, cog, circumference_mm),
        development_m=development,
        gain_ratio=gain_ratio(ring, cog, circumference_mm, crank_mm),
        speed_kmh=speed_kmh(development, cadence_rpm),
        cadence_rpm=cadence_rpm,
        steps_pct=steps_pct(ratios),
        duplicates=duplicates(rings, cogs),
    )
