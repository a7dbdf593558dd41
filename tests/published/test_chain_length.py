"""Chain lengths against worked examples in print, and the open belt against sampled outlines."""

from functools import partial

import numpy as np
from published import Published, against_print
from shapely import MultiPoint

from tunekit.mechanics import chain_length
from tunekit.mechanics.chain_length import Rounding, rounded
from tunekit.mechanics.sprocket import pitch_radius_mm

EXAMPLE_3 = "Design of Machine Elements, worked example 14.3"
EXAMPLE_4 = "Design of Machine Elements, worked example 14.4"
MACHINE_DESIGN = "Machine Design, ch. 30, example 30-1"
OPTIMAL = "forum thread t=152332 on chain length"
FORUM_POST = "forum post 21928109 on chain length"
CALCULATING = "forum thread 86388, calculating chain length (2005)"
SAMPLED = "outline of two finely sampled circles (shapely)"
FORM = "recomputed from the seen formula; nobody printed it"


def sampled_belt_links(centre_mm: float, ring: int, cog: int, points: int = 40_000) -> float:
    """Length of the taut outline round two pitch circles, by general geometry."""
    turn = np.linspace(0, 2 * np.pi, points, endpoint=False)
    places = ((0.0, ring), (centre_mm, cog))
    circles = [
        np.column_stack([x + pitch_radius_mm(n) * np.cos(turn), pitch_radius_mm(n) * np.sin(turn)])
        for x, n in places
    ]
    return float(MultiPoint(np.vstack(circles)).convex_hull.length / 12.7)


def simple_in(chainstay_mm: float, ring: int, cog: int) -> float:
    """The simple formula in inches, as printed."""
    return float(chain_length.simple_links(chainstay_mm, ring, cog)) / 2


def metric_simple(chainstay_mm: float, ring: int, cog: int) -> float:
    """The metric form with its printed coefficient, 0.157 a millimetre."""
    return float(chain_length.simple_links(chainstay_mm * 0.157 * 12.7 / 2, ring, cog))


ROWS = (
    Published(
        quantity="engineering formula, C 500 mm, 63/21 teeth",
        ours=partial(chain_length.engineering_links, 500, 63, 21),
        published=121.875097,
        tol=1e-6,
        source=EXAMPLE_3,
        status="seen+recalc",
        unit="links",
    ),
    Published(
        quantity="the same rounded up to an even number",
        ours=lambda: rounded(chain_length.engineering_links(500, 63, 21), Rounding.INCH_UP),
        published=122,
        tol=0,
        source=EXAMPLE_3,
        status="seen+recalc",
        unit="links",
    ),
    Published(
        quantity="engineering formula back to C, 122 links, 63/21 teeth",
        ours=partial(chain_length.engineering_centre_mm, 122, 63, 21),
        published=500.8047,
        tol=0.0001,
        source=EXAMPLE_3,
        status="seen+recalc",
        unit="mm",
    ),
    Published(
        quantity="engineering formula, C 40 pitches of 19.05, 34/17 teeth",
        ours=partial(chain_length.engineering_links, 762, 34, 17, 19.05),
        published=105.683011,
        tol=1e-6,
        source=EXAMPLE_4,
        status="seen+recalc",
        unit="links",
    ),
    Published(
        quantity="back to C, 106 links, 34/17 teeth, pitch 19.05, less 0.2 % for sag",
        ours=lambda: 0.998 * chain_length.engineering_centre_mm(106, 34, 17, 19.05),
        published=763.4962,
        tol=0.0001,
        source=EXAMPLE_4,
        status="seen+recalc",
        unit="mm",
    ),
    Published(
        quantity="engineering formula there and back, C 300 mm, 51/17 teeth, pitch 9.52",
        ours=lambda: chain_length.engineering_centre_mm(
            chain_length.engineering_links(300, 51, 17, 9.52), 51, 17, 9.52
        ),
        published=300.0,
        tol=1e-9,
        source=MACHINE_DESIGN,
        status="seen+recalc",
        unit="mm",
    ),
    Published(
        quantity="simple formula, C 415 mm, 50 × 32",
        ours=partial(simple_in, 415, 50, 32),
        published=54.1772,
        tol=0.00005,
        source=OPTIMAL,
        status="seen+recalc",
        unit="in",
    ),
    Published(
        quantity="simple formula, C 415 mm, 50 × 32, rounded up to a whole inch",
        ours=lambda: rounded(chain_length.simple_links(415, 50, 32), Rounding.INCH_UP),
        published=110,
        tol=0,
        source=OPTIMAL,
        status="seen+recalc",
        unit="links",
    ),
    Published(
        quantity="simple formula, C 415 mm, 46 × 36, rounded to the nearest inch",
        ours=lambda: rounded(chain_length.simple_links(415, 46, 36), Rounding.INCH_HALF_UP),
        published=108,
        tol=0,
        source=FORUM_POST,
        status="seen+recalc",
        unit="links",
    ),
    Published(
        quantity="simple formula, C 17.25 in, 52 × 28: the rounding tie, half an inch up",
        ours=lambda: rounded(chain_length.simple_links(438.15, 52, 28), Rounding.INCH_HALF_UP),
        published=112,
        tol=0,
        source=CALCULATING,
        status="seen+recalc",
        unit="links",
    ),
    Published(
        quantity="simple formula, C 405 mm, 53 × 28",
        ours=partial(chain_length.simple_links, 405, 53, 28),
        published=106.28,
        tol=0.005,
        source=FORM,
        status="calc",
        unit="links",
    ),
    Published(
        quantity="simple formula, C 435 mm, 32 × 51",
        ours=partial(chain_length.simple_links, 435, 32, 51),
        published=112.004,
        tol=0.0005,
        source=FORM,
        status="calc",
        unit="links",
    ),
    Published(
        quantity="metric simple formula, C 420 mm, 44 × 28: the sum as printed",
        ours=partial(metric_simple, 420, 44, 28),
        published=108.94,
        tol=1,
        source=CALCULATING,
        status="seen",
        unit="links",
        misprint=True,
    ),
    Published(
        quantity="metric simple formula, C 420 mm, 44 × 28: its own terms added right",
        ours=partial(metric_simple, 420, 44, 28),
        published=103.94,
        tol=0.005,
        source=CALCULATING,
        status="seen+recalc",
        unit="links",
    ),
    Published(
        quantity="second-order term, C 17.25 in, 52 × 28, with the printed coefficient 0.01275",
        ours=lambda: chain_length.second_order_links(438.15, 52, 28) / 2,
        published=55.925739,
        tol=0.1,
        source=CALCULATING,
        status="seen",
        unit="in",
        misprint=True,
    ),
    Published(
        quantity="second-order formula, C 17.25 in, 52 × 28, with 1/(16 pi^2)",
        ours=lambda: chain_length.second_order_links(438.15, 52, 28) / 2,
        published=55.711,
        tol=0.0006,
        source=FORM,
        status="calc",
        unit="in",
    ),
    *(
        Published(
            quantity=f"exact belt by tooth count, C {centre} mm, {ring}/{cog} teeth",
            ours=partial(chain_length.belt_links, centre, ring, cog),
            published=links,
            tol=0.0006,
            source=FORM,
            status="calc",
            unit="links",
        )
        for centre, ring, cog, links in (
            (415, 50, 32, 106.606),
            (438.15, 52, 28, 109.423),
            (420, 44, 28, 102.338),
            (405, 53, 28, 104.777),
            (435, 32, 51, 110.271),
            (500, 63, 21, 121.878),
        )
    ),
    *(
        Published(
            quantity=f"exact belt on pitch circles, C {centre} mm, {ring}/{cog} teeth",
            ours=partial(chain_length.circle_belt_links, centre, ring, cog),
            published=sampled_belt_links(centre, ring, cog),
            tol=1e-6,
            source=SAMPLED,
            status="independent",
            unit="links",
        )
        for centre, ring, cog in ((415, 50, 32), (405, 53, 28), (435, 32, 51), (390, 34, 34))
    ),
)


@against_print(ROWS)
def test_held_against_print(row: Published) -> None:
    row.hold()
