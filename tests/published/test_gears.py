"""Ratio, gear inches, development, gain ratio and speed against printed examples."""

import math
from functools import partial

import pytest
from published import Published, against_print

from tunekit.mechanics import gears
from tunekit.mechanics.tyres import formula_mm, roll_out

BIG_RING = "magazine article: Beyond the big ring (2014)"
INCHES = "Wikipedia, Gear inches"
GAIN = "Gain ratio: bicycle gears explained"
ESSAY = "essay on gain ratio"
FORUM_70 = "forum thread 17897 on gear inches"
FORUM_CIRC = "forum thread 276211 on circumference"
TABLES = "tyre circumference tables (two FAQ pages)"
FORM = "recomputed from the seen formula; nobody printed it"


def metres_of(inches: float) -> float:
    """Development of so many gear inches [m], made with a ten-inch wheel."""
    return float(gears.development_m(inches, 10, 10 * 25.4 * math.pi))


def hub_inches(cog: int, wheel_in: float, step: float) -> float:
    """Gear inches of 42 teeth on this cog in one step of a gear hub."""
    table = gears.gear_table((42,), (cog,), wheel_in * 25.4 * math.pi, hub_gears=(step,))
    return float(table.gear_inches[0, 0])


def hub_range() -> float:
    """Highest against lowest of one ring and cog with a three-step hub."""
    return gears.gear_table((52,), (11,), 2105, hub_gears=(47 / 64, 1, 64 / 47)).range_pct / 100


ROWS = (
    Published(
        quantity="ratio, 53 × 12",
        ours=partial(gears.ratio, 53, 12),
        published=4.42,
        tol=0.005,
        source=BIG_RING,
        status="seen+recalc",
    ),
    Published(
        quantity="gear inches, 27 in wheel, 53 × 12",
        ours=partial(gears.gear_inches, 53, 12, 27 * 25.4 * math.pi),
        published=119.25,
        tol=1e-6,
        source=BIG_RING,
        status="calc",
        unit="in",
    ),
    Published(
        quantity="gear inches, 26 in wheel, 49 × 11",
        ours=partial(gears.gear_inches, 49, 11, 26 * 25.4 * math.pi),
        published=115.7,
        tol=0.15,
        source=FORUM_70 + " (ratio cut to 4.45)",
        status="seen",
        unit="in",
    ),
    Published(
        quantity="gear inches, 1988 mm, 49 × 11, printed from inches a crank turn",
        ours=partial(gears.gear_inches, 49, 11, 1988),
        published=348.3,
        tol=1.0,
        source=FORUM_70 + " (corrected in the same post)",
        status="seen",
        unit="in",
        misprint=True,
    ),
    Published(
        quantity="development, 1988 mm circumference, 49 × 11",
        ours=lambda: gears.development_m(49, 11, 1988) / 0.0254,
        published=348.3,
        tol=0.5,
        source=FORUM_70,
        status="seen",
        unit="in",
    ),
    *(
        Published(
            quantity=f"development of {inches} gear inches",
            ours=partial(metres_of, inches),
            published=metres,
            tol=0.03,
            source=INCHES,
            status="seen+recalc",
            unit="m",
        )
        for inches, metres in ((20, 1.6), (70, 5.6), (125, 10.0))
    ),
    *(
        Published(
            quantity=f"speed, 2 m development at {cadence} rpm",
            ours=partial(gears.speed_kmh, 2.0, cadence),
            published=speed,
            tol=0.0,
            source=GAIN,
            status="seen+recalc",
            unit="km/h",
        )
        for cadence, speed in ((50, 6), (75, 9), (100, 12))
    ),
    Published(
        quantity="39 × 14 and 53 × 19 are the same gear: difference of their ratios",
        ours=lambda: abs(gears.ratio(39, 14) - gears.ratio(53, 19)),
        published=0.003,
        tol=0.001,
        source=ESSAY,
        status="seen+recalc",
    ),
    Published(
        quantity="development, 53 × 12 on 2096 mm",
        ours=partial(gears.development_m, 53, 12, 2096),
        published=9.257,
        tol=0.0005,
        source=FORM,
        status="calc",
        unit="m",
    ),
    Published(
        quantity="speed, 53 × 12 on 2096 mm at 90 rpm",
        ours=lambda: gears.speed_kmh(gears.development_m(53, 12, 2096), 90),
        published=49.99,
        tol=0.005,
        source=FORM,
        status="calc",
        unit="km/h",
    ),
    Published(
        quantity="gear inches, 34 × 34 on 2136 mm",
        ours=partial(gears.gear_inches, 34, 34, 2136),
        published=26.77,
        tol=0.005,
        source=FORM,
        status="calc",
        unit="in",
    ),
    Published(
        quantity="gain ratio, 34 × 34, 2136 mm, crank 170 mm",
        ours=partial(gears.gain_ratio, 34, 34, 2136, 170),
        published=2.0,
        tol=0.001,
        source=FORM,
        status="calc",
    ),
    Published(
        quantity="roll-out of a 26-622 tyre, pi (622 + 52)",
        ours=partial(formula_mm, 26, 622),
        published=2117,
        tol=0.5,
        source=FORUM_CIRC,
        status="seen+recalc",
        unit="mm",
    ),
    *(
        Published(
            quantity=f"gear inches, 42 × {cog}, wheel {wheel} in, hub step {step:g}",
            ours=partial(hub_inches, cog, wheel, step),
            published=printed,
            tol=tol,
            source="forum topic 89722 on hub gears",
            status="seen+recalc",
            unit="in",
        )
        for cog, wheel, step, printed, tol in (
            *((18, 27.4, step, printed, 0.5) for step, printed in ((0.733, 47), (1, 64), (1.364, 87))),
            *((21, 27.4, step, printed, 0.5) for step, printed in ((0.733, 40), (1, 55), (1.364, 75))),
        )
    ),
    *(
        Published(
            quantity=f"gear inches, direct 51.8 in, hub step {step}",
            ours=partial(hub_inches, 10, 12.333333, step),
            published=printed,
            tol=0.05,
            source="forum thread 55454 on hub gears",
            status="seen+recalc",
            unit="in",
        )
        for step, printed in ((0.542, 28.1), (1.844, 95.5))
    ),
    Published(
        quantity="range of a gear hub, 47/64 to 64/47",
        ours=hub_range,
        published=1.854,
        tol=0.0005,
        source="workbook of hub ratios, 2009 to 2016 (steps; range worked out)",
        status="calc",
    ),
    *(
        Published(
            quantity=f"roll-out of a {tyre}-622 tyre, within 0.3 %",
            ours=partial(formula_mm, tyre, 622),
            published=rolled,
            tol=0.003 * rolled,
            source=TABLES,
            status="seen",
            unit="mm",
        )
        for tyre, rolled in ((23, 2096), (25, 2105), (28, 2136), (32, 2155))
    ),
)


@against_print(ROWS)
def test_held_against_print(row: Published) -> None:
    row.hold()


# Tyre circumference tables (two FAQ pages) and a cycle-computer list in centimetres; all sixteen sizes seen.
PRINTED = {
    (20, 622): 2086, (23, 622): 2096, (25, 622): 2105, (26, 622): 2117, (28, 622): 2136, (32, 622): 2155,
    (40, 559): 2010, (47, 559): 2020, (50, 559): 2050, (54, 559): 2070, (47, 305): 1200, (47, 406): 1520,
    (47, 507): 1890, (32, 630): 2160, (38, 584): 2110, (35, 590): 2090,
}  # fmt: skip


@pytest.mark.parametrize(("size", "printed"), PRINTED.items())
def test_a_roll_out_is_the_printed_one(size: tuple[int, int], printed: int) -> None:
    assert roll_out(*size).mm == printed
    assert roll_out(*size).within_pct == 0


@pytest.mark.parametrize(("size", "printed"), PRINTED.items())
def test_the_formula_lies_within_the_reach_that_it_is_given(size: tuple[int, int], printed: int) -> None:
    other = roll_out(size[0] + 1e-9, size[1])
    assert other.within_pct > 0
    assert abs(other.mm / printed - 1) * 100 <= other.within_pct
