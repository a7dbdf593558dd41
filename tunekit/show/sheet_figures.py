"""Points of the sheet's figures, in the units of their SVG views; the template draws them."""

from dataclasses import dataclass

import numpy as np

from tunekit.bike import Bike
from tunekit.diagnosis.advice import Advice
from tunekit.mechanics.gears import development_m
from tunekit.show.text.columns import percent, signed

WIDTH = 680.0
"""Of both views; the page scales them to its own width."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A label on an axis."""

    x: float = 0.0
    y: float = 0.0
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GearRow:
    """One ring's gears along the development axis."""

    ring: int
    y: float
    marks: tuple[Tick, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GearChart:
    """Development of every gear, ring by ring, on a logarithmic axis, where equal steps look equal."""

    height: float
    ticks: tuple[Tick, ...]
    rows: tuple[GearRow, ...]
    takeaway: str


def gear_chart(bike: Bike) -> GearChart:
    """Every gear of the bike by development."""
    metres = development_m(np.array(bike.rings)[:, None], np.array(bike.cogs), bike.wheel.circumference_mm)
    low, high = float(metres.min()), float(metres.max())

    def across(value: float) -> float:
        return (
            round(90 + (WIDTH - 110) * float(np.log(value / low) / np.log(high / low)), 1)
            if high > low
            else WIDTH / 2
        )

    rows = tuple(
        GearRow(
            ring=ring,
            y=28.0 + 46 * place,
            marks=tuple(
                Tick(x=across(float(m)), label=str(cog))
                for cog, m in zip(bike.cogs, metres[index], strict=True)
            ),
        )
        for place, (index, ring) in enumerate(reversed(list(enumerate(bike.rings))))
    )
    marks = [value for value in range(1, 15) if low <= value <= high]
    return GearChart(
        height=46.0 * len(bike.rings) + 32,
        ticks=tuple(Tick(x=across(value), label=f"{value} m") for value in marks),
        rows=rows,
        takeaway=f"{low:.1f} to {high:.1f} m a crank turn, a range of {percent(high / low)}.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class OffsetMark:
    """One estimate: its band from `top` to `bottom`, a disc when `filled`, a square otherwise."""

    x: float
    y: float
    top: float
    bottom: float
    filled: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OffsetChart:
    """Estimated pulley offset on every cog with its 90 % band and the quiet window."""

    height: float
    left: float
    width: float
    zero: float
    quiet_top: float
    quiet_height: float
    ticks: tuple[Tick, ...]
    cogs: tuple[Tick, ...]
    marks: tuple[OffsetMark, ...]
    takeaway: str


def offset_chart(advice: Advice) -> OffsetChart | None:
    """The offsets of an advice; None when it holds none."""
    if not advice.offsets:
        return None
    most = max(advice.quiet_mm, *(max(abs(o.low_mm), abs(o.high_mm)) for o in advice.offsets))
    height, left = 220.0, 60.0
    width, half = WIDTH - left - 10, (height - 50) / 2
    zero = 12 + half

    def down(mm: float) -> float:
        return round(zero - half * mm / most, 1)

    cogs = sorted({offset.cog for offset in advice.offsets})
    column = {cog: left + width * (place + 0.5) / len(cogs) for place, cog in enumerate(cogs)}
    apart = {"to_larger_cog": -7.0, "to_smaller_cog": 7.0}
    worst = max(advice.offsets, key=lambda offset: abs(offset.mm))
    return OffsetChart(
        height=height,
        left=left,
        width=width,
        zero=zero,
        quiet_top=down(advice.quiet_mm),
        quiet_height=round(down(-advice.quiet_mm) - down(advice.quiet_mm), 1),
        ticks=tuple(Tick(y=down(mm), label=signed(mm)) for mm in (-most, 0.0, most)),
        cogs=tuple(Tick(x=round(column[cog], 1), label=str(cog)) for cog in cogs),
        marks=tuple(
            OffsetMark(
                x=round(column[o.cog] + apart[o.direction], 1),
                y=down(o.mm),
                top=down(o.high_mm),
                bottom=down(o.low_mm),
                filled=o.direction == "to_larger_cog",
            )
            for o in advice.offsets
        ),
        takeaway=f"Furthest off: cog {worst.cog}, {signed(worst.mm)} mm; {advice.quiet_mm:.1f} mm is quiet.",
    )
