"""What a gear does on the road.

Formulas as in Wikipedia, Gear inches, and "Gain ratio: bicycle gears explained"; held against print in
tests/published/test_gears.py.
"""

from dataclasses import dataclass, replace

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
    travelled = within("development", development_m, 0, 150, "m")
    return 0.06 * travelled * within("cadence", cadence_rpm, 0, 300, "rpm")


def steps_pct(ratios: ArrayLike) -> Floats:
    """Each step along the last axis [%]: how much harder the next smaller cog is; shape (..., n - 1)."""
    values = within("ratio", ratios, 0.01, 60)
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
    hub_gear: float = 1.0
    """Step of the gear hub behind the cassette: wheel turns per cog turn."""
    other_steps: tuple["GearTable", ...] = ()
    """The same in the hub's other steps, lowest first; none without a gear hub."""

    @property
    def steps(self) -> tuple["GearTable", ...]:
        """Every step of the hub, this one among them, lowest first."""
        return tuple(sorted((self, *self.other_steps), key=lambda table: table.hub_gear))

    @property
    def range_pct(self) -> float:
        """Highest gear of all against the lowest [%]."""
        ratios = [table.ratio for table in self.steps]
        return 100 * max(float(r.max()) for r in ratios) / min(float(r.min()) for r in ratios)


def gear_table(
    rings: tuple[int, ...],
    cogs: tuple[int, ...],
    circumference_mm: float,
    crank_mm: float = 172.5,
    cadence_rpm: float = 90.0,
    hub_gears: tuple[float, ...] = (1.0,),
) -> GearTable:
    """All gear figures at once; with a gear hub the step nearest to direct drive, the others in `other_steps`.

    A hub step is a third factor: ring / cog x step (workbook of hub ratios, 2009 to 2016; forum topic).

    >>> table = gear_table((42,), (18,), 2186.3, hub_gears=(0.733, 1, 1.364))
    >>> [round(float(step.gear_inches[0, 0])) for step in (table.other_steps[0], table, table.other_steps[1])]
    [47, 64, 87]
    """
    direct = min(hub_gears, key=lambda step: abs(step - 1))
    every = [_step_table(rings, cogs, circumference_mm, crank_mm, cadence_rpm, step) for step in hub_gears]
    others = tuple(table for table in every if table.hub_gear != direct)
    return replace(every[hub_gears.index(direct)], other_steps=others)


def _step_table(
    rings: tuple[int, ...],
    cogs: tuple[int, ...],
    circumference_mm: float,
    crank_mm: float,
    cadence_rpm: float,
    step: float,
) -> GearTable:
    """Every gear in one step of the hub, by which each figure is multiplied."""
    step = float(within("hub_gears", step, 0.1, 5))
    ring, cog = np.asarray(rings)[:, None], np.asarray(cogs)[None, :]
    development = development_m(ring, cog, circumference_mm) * step
    ratios = ratio(ring, cog) * step
    return GearTable(
        rings=tuple(rings),
        cogs=tuple(cogs),
        ratio=ratios,
        gear_inches=gear_inches(ring, cog, circumference_mm) * step,
        development_m=development,
        gain_ratio=gain_ratio(ring, cog, circumference_mm, crank_mm) * step,
        speed_kmh=speed_kmh(development, cadence_rpm),
        cadence_rpm=cadence_rpm,
        steps_pct=steps_pct(ratios),
        duplicates=duplicates(rings, cogs),
        hub_gear=step,
    )
