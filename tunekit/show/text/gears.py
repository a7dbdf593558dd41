"""Gears as text."""

from tunekit.fit.line import Chainlines
from tunekit.mechanics.gears import GearTable
from tunekit.show.text.columns import columns, paragraphs, signed, wrapped


def _step(table: GearTable) -> str:
    """Every gear of one step of the hub in a row, ring by ring, largest cog first."""
    rows = [
        (
            f"{table.rings[ring]} × {table.cogs[cog]}",
            f"{table.ratio[ring, cog]:.2f}",
            f"{table.gear_inches[ring, cog]:.1f}",
            f"{table.development_m[ring, cog]:.2f}",
            f"{table.gain_ratio[ring, cog]:.2f}",
            f"{table.speed_kmh[ring, cog]:.1f}",
            f"{table.steps_pct[ring, cog - 1]:.0f}" if cog else "",
        )
        for ring in range(len(table.rings))
        for cog in reversed(range(len(table.cogs)))
    ]
    head = ("Gear", "Ratio", "Gear inches", "Development m", "Gain ratio", "km/h", "Step %")
    return columns(head, rows, right=range(1, 7))


def gears_text(table: GearTable) -> str:
    """Every gear, step by step of the hub where it has some, then the gears that are the same to the legs."""
    named = (
        [f"Hub step {step.hub_gear:g}\n{_step(step)}" for step in table.steps]
        if table.other_steps
        else [_step(table)]
    )
    pairs = [f"{a[0]} × {a[1]} and {b[0]} × {b[1]}" for a, b in table.duplicates]
    return paragraphs(
        *named,
        f"Range {table.range_pct:.0f} %. Speeds at {table.cadence_rpm:.0f} crank turns a minute; "
        "steps to the next smaller cog.",
        wrapped(f"The same gear to the legs: {'; '.join(pairs)}.") if pairs else "",
    )


def line_text(lines: Chainlines) -> str:
    """Front and rear chainline, then the chain's angle in every gear."""
    rows = [
        (
            f"cog {cog}",
            f"{lines.cog_lines_mm[place]:.1f}",
            *(signed(float(ring[place])) for ring in lines.angles_deg),
        )
        for place, cog in reversed(list(enumerate(lines.cogs)))
    ]
    rings = tuple(f"ring {ring}" for ring in lines.rings)
    stands = ("", "", *(f"{line:.1f} mm" for line in lines.ring_lines_mm))
    return paragraphs(
        f"Chainline: front {lines.front_mm:.1f} mm, rear {lines.rear_mm:.1f} mm, "
        f"difference {signed(lines.difference_mm)} mm",
        wrapped("Lines in mm from the frame's centre plane; angles in degrees, + when the cog is inboard."),
        columns(("", "Line mm", *rings), (stands, *rows), right=range(1, 2 + len(rings))),
    )
