"""Chainlines and chain angles against examples worked in print."""

from functools import partial

import numpy as np
from published import Published, against_print

from tunekit.mechanics import chainline

COMMENT = "forum comment 9866291 on chainline"
MATHS = "forum thread 738755, chainline math"
BLOG = "blog on chainline (2012)"
BOARD = "Japanese board post on chainline measuring"
CLUB = "forum thread 310843 on chainline"
ANGLE = "forum post 3872383 on chain angle"
SINGLES = "forum comment 5994410 on standard chainlines"
FORM = "recomputed from the seen formula; nobody printed it"

COGS_10 = (61.2, 57.25, 53.3, 49.35, 45.4, 41.45, 37.5, 33.55, 29.6, 25.65)


def ten() -> np.ndarray:
    """The ten-speed wheel of the blog: 130 hub, gap 3, cog 1.6, pitch 3.95."""
    return chainline.cog_lines_mm(130, 3, 1.6, 3.95, 10)


ROWS = (
    Published(
        quantity="front chainline, tube 30, tube side to tooth centre 27.5",
        ours=partial(chainline.chainline_from_tube_mm, 30, 27.5),
        published=42.5,
        tol=0,
        source=COMMENT,
        status="seen+recalc",
        unit="mm",
    ),
    Published(
        quantity="rear chainline, hub 120, locknut to tooth centre 17.5",
        ours=partial(chainline.chainline_from_locknut_mm, 120, 17.5),
        published=42.5,
        tol=0,
        source=COMMENT,
        status="seen+recalc",
        unit="mm",
    ),
    Published(
        quantity="hub 135 with the cog 12.5 inside the dropout: the ring it suits",
        ours=partial(chainline.chainline_from_locknut_mm, 135, 12.5),
        published=55,
        tol=0,
        source=MATHS,
        status="seen+recalc",
        unit="mm",
    ),
    Published(
        quantity="front chainline, tube 44, tube to ring face 23, tooth 2 thick",
        ours=partial(chainline.chainline_from_tube_mm, 44, 23 - 1),
        published=44,
        tol=0,
        source=BOARD,
        status="seen+recalc",
        unit="mm",
    ),
    *(
        Published(
            quantity=f"hub 130, gap 3, cog 1.6, pitch 3.95: cog {place + 1} of 10",
            ours=lambda place=place: ten()[place],
            published=line,
            tol=1e-9,
            source=BLOG,
            status="seen+recalc",
            unit="mm",
        )
        for place, line in enumerate(COGS_10)
    ),
    Published(
        quantity="rear chainline of the same ten cogs, half-way between the middle two",
        ours=lambda: chainline.middle_mm(ten()),
        published=43.425,
        tol=1e-9,
        source=f"{CLUB}; {FORM}",
        status="calc",
        unit="mm",
    ),
    Published(
        quantity="road double, rings 41 and 46: its chainline",
        ours=lambda: chainline.middle_mm(chainline.ring_lines_mm(43.5, 5, 2)),
        published=43.5,
        tol=0,
        source=SINGLES,
        status="seen+recalc",
        unit="mm",
    ),
    Published(
        quantity="chain angle, 5 over 391",
        ours=partial(chainline.chain_angle_deg, 5, 391),
        published=0.7326,
        tol=0.00005,
        source=ANGLE,
        status="seen+recalc",
        unit="deg",
    ),
    Published(
        quantity="what the slant adds to the run, 5 over 391",
        ours=lambda: 100 * (1 - np.cos(np.radians(chainline.chain_angle_deg(5, 391)))),
        published=0.0082,
        tol=0.00005,
        source=ANGLE,
        status="seen+recalc",
        unit="%",
    ),
    Published(
        quantity="worst angle of a road double, ring 46 to cog 25.65 over 405",
        ours=lambda: chainline.gear_angles_deg([41, 46], ten(), 405)[1, 9],
        published=2.88,
        tol=0.005,
        source=FORM,
        status="calc",
        unit="deg",
    ),
    Published(
        quantity="same bike, smallest ring and cog: the other way",
        ours=lambda: chainline.gear_angles_deg([41, 46], ten(), 405)[0, 0],
        published=-2.86,
        tol=0.005,
        source=FORM,
        status="calc",
        unit="deg",
    ),
    Published(
        quantity="single ring 52, rear middle 47, 12 cogs of pitch 3.6, run 435: the largest cog",
        ours=lambda: chainline.chain_angle_deg(52 - (47 - 11 * 3.6 / 2), 435),
        published=3.26,
        tol=0.005,
        source=FORM,
        status="calc",
        unit="deg",
    ),
)


@against_print(ROWS)
def test_held_against_print(row: Published) -> None:
    row.hold()
