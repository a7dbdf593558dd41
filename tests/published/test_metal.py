"""Cages, cables, hangers, hands and clicks against what is in print or follows from it."""

from functools import partial
from math import radians, tan

import numpy as np
import pytest
from published import Published, against_print

from tunekit.bike.starters import starter
from tunekit.mechanics import cable, turns
from tunekit.mechanics.chain_length import largest_pair_links
from tunekit.mechanics.from_bike import side_view, travel_mm
from tunekit.mechanics.geometry import SideView
from tunekit.mechanics.hanger import tilt_from_rim
from tunekit.mechanics.side_view import links_window, rated_capacity, solve_paths
from tunekit.mechanics.ticks import crank_turns_per_tick
from tunekit.mechanics.top_view import moves_mm, rate_error_mm

CAPSTAN = "capstan equation (any statics textbook), recalculated"
ALIGN = "Urban Velo issue 32 (method); plain trigonometry, nobody printed it"
BARREL = "M5 x 0.8 (ISO 261) and the published shift ratio; nobody printed the product"
CAPACITY = "article on the capacity of the rear derailleur: short cage about 28, long about 38"
FAQ = "Usenet bicycles FAQ, section 8d.3"
LENGTH = "forum post 21928109: 54 in just wraps big and big"
FORM = "recomputed from the seen rule; nobody printed it"
PULLS = "retailer's technical article on drivetrain compatibility (pulls)"
ROAD_COGS = (11, 12, 13, 14, 15, 17, 19, 21, 23, 25, 28)

# mm across the rim, degrees on 584, degrees on 622.
HANGER = ((1, 0.098, 0.092), (2, 0.196, 0.184), (3, 0.294, 0.276), (4, 0.392, 0.368), (6, 0.589, 0.553))
# Family of pull ratio by its neutral letter, ratio, mm a turn.
RATIOS = (
    ("A", 1.7, 1.36),
    ("B", 1.1, 0.88),
    ("C", 1.3, 1.04),
    ("D", 1.2, 0.96),
    ("E", 1.4, 1.12),
    ("G", 1.5, 1.20),
)
QUARTERS = (("A", 1.7, 0.34), ("E", 1.4, 0.28), ("B", 1.1, 0.22))
UNEVEN = [2.5] * 5 + [3.0] * 2 + [3.5] * 2


def road(cage_mm: float, rings: tuple[int, ...] = (34, 50), cogs: tuple[int, ...] = ROAD_COGS) -> SideView:
    return SideView(rings=rings, cogs=cogs, chainstay_mm=410, bb_drop_mm=70, cage_mm=cage_mm)


def tilted(difference_mm: float, rim_mm: float) -> float:
    half = difference_mm / 2
    return tilt_from_rim((20 + half, 20, 20 - half, 20), rim_mm).inboard_deg


def shortest_even() -> float:
    """46 x 36 on a 415 mm chainstay, the forum post's pair."""
    view = SideView(rings=(46,), cogs=(11, 36), chainstay_mm=415, bb_drop_mm=70, cage_mm=80)
    return links_window(view).links[0]


def stack_error(pull_mm: float, ratio: float, pitch_mm: float, cogs: int) -> float:
    error = rate_error_mm(moves_mm(pull_mm, ratio, cogs), pitch_mm)
    return float(error[-1] - error[0])


def tick(per: str, ring: int, cog: int = 17, links: int = 108) -> float:
    return crank_turns_per_tick(per, ring=ring, cog=cog, links=links)


ROWS = (
    Published(
        quantity="capacity of a 56 mm cage, middle of the 28-to-33 class",
        ours=lambda: rated_capacity(road(56)),
        published=30.5,
        tol=3.0,
        source=CAPACITY,
        status="seen",
        unit="teeth",
    ),
    Published(
        quantity="capacity of a 75 mm cage",
        ours=lambda: rated_capacity(road(75)),
        published=38,
        tol=1.5,
        source=CAPACITY,
        status="seen",
        unit="teeth",
    ),
    Published(
        quantity="cage angle in big ring and smallest cog, road double, best length: straight down",
        ours=lambda: solve_paths(road(56), links_window(road(56)).best).cage_deg[0, 1, 0, 0],
        published=0,
        tol=10,
        source=FAQ,
        status="seen",
        unit="deg",
    ),
    Published(
        quantity="shortest even chain for 46 x 36, chainstay 415",
        ours=shortest_even,
        published=108,
        tol=0,
        source=LENGTH,
        status="seen",
        unit="links",
    ),
    *(
        Published(
            quantity=f"force ratio of one full turn, friction {mu}",
            ours=partial(cable.capstan_ratio, mu, 360),
            published=ratio,
            tol=0.005,
            source=CAPSTAN,
            status="memory",
        )
        for mu, ratio in ((0.1, 1.87), (0.2, 3.51), (0.3, 6.59), (0.4, 12.35), (0.5, 23.14))
    ),
    *(
        Published(
            quantity=f"hanger tilt, {difference} mm across a rim of {rim}",
            ours=partial(tilted, difference, rim),
            published=degrees,
            tol=0.0005,
            source=ALIGN,
            status="calc",
            unit="deg",
        )
        for difference, small, large in HANGER
        for rim, degrees in ((584, small), (622, large))
    ),
    Published(
        quantity="hanger tilt, 4 mm across a rim of 622: divided by the radius",
        ours=partial(tilted, 4, 622),
        published=0.737,
        tol=0.3,
        source="the usual slip with a gauge that reads across the diameter",
        status="calc",
        unit="deg",
        misprint=True,
    ),
    Published(
        quantity="pulley shift 60 mm below the bolt, 4 mm across a rim of 622",
        ours=lambda: 60 * tan(radians(tilted(4, 622))),
        published=0.386,
        tol=0.0005,
        source=ALIGN,
        status="calc",
        unit="mm",
    ),
    Published(
        quantity="the same by the hanger's rate per degree",
        ours=lambda: turns.hanger_tilt(60).mm(tilted(4, 622)).value,
        published=0.386,
        tol=0.0005,
        source=ALIGN,
        status="calc",
        unit="mm",
    ),
    Published(
        quantity="housing length for one turn of the barrel",
        ours=lambda: turns.factor("barrel_pitch_mm").value,
        published=0.8,
        tol=0,
        source="ISO 261, coarse pitch of M5",
        status="memory",
        unit="mm",
    ),
    *(
        Published(
            quantity=f"pulley movement for one turn of the barrel, family {family}",
            ours=lambda ratio=ratio: turns.rear_barrel(ratio).mm(1).value,
            published=moved,
            tol=0.0005,
            source=BARREL,
            status="calc",
            unit="mm",
        )
        for family, ratio, moved in RATIOS
    ),
    *(
        Published(
            quantity=f"pulley movement for a quarter turn of the barrel, family {family}",
            ours=lambda ratio=ratio: turns.rear_barrel(ratio).mm(0.25).value,
            published=moved,
            tol=0.0005,
            source=BARREL,
            status="calc",
            unit="mm",
        )
        for family, ratio, moved in QUARTERS
    ),
    Published(
        quantity="cage movement for one turn of a limit screw, middle of 0.5 x 1 to 0.7 x 1.5",
        ours=lambda: turns.limit_screw().mm_per_unit,
        published=0.775,
        tol=0.275,
        source="ISO 261, M3 and M4; lever 1 to 1.5",
        status="memory",
        unit="mm",
    ),
    Published(
        quantity="sum of nine uneven clicks",
        ours=lambda: moves_mm(UNEVEN, 1.0, 10).sum(),
        published=25.5,
        tol=1e-9,
        source=PULLS,
        status="calc",
        unit="mm",
    ),
    Published(
        quantity="pull 2.5 and the rounded ratio 1.7 over eight clicks of 4.34: short by",
        ours=partial(stack_error, 2.5, 1.7, 4.34, 9),
        published=-0.72,
        tol=1e-9,
        source=FORM,
        status="calc",
        unit="mm",
    ),
    Published(
        quantity="pull 2.8 and ratio 1.7 on cogs 4.8 apart, one click",
        ours=partial(stack_error, 2.8, 1.7, 4.8, 2),
        published=-0.04,
        tol=1e-9,
        source="Japanese bicycle glossary, shift ratio",
        status="seen+recalc",
        unit="mm",
    ),
    Published(
        quantity="crank turns for one turn of 108 links, ring 50",
        ours=partial(tick, "chain", 50),
        published=2.16,
        tol=0.005,
        source="links over ring teeth",
        status="calc",
    ),
    Published(
        quantity="crank turns for one turn of 108 links, ring 34",
        ours=partial(tick, "chain", 34),
        published=3.18,
        tol=0.005,
        source="links over ring teeth; every three or four crank turns in repair texts",
        status="seen",
    ),
    Published(
        quantity="turns of an 11-tooth pulley for one crank turn, ring 50",
        ours=lambda: 1 / tick("pulley", 50),
        published=4.55,
        tol=0.005,
        source="ring teeth over pulley teeth",
        status="calc",
    ),
    Published(
        quantity="turns of the wheel for one crank turn, 53 x 12",
        ours=lambda: 1 / tick("wheel", 53, 12),
        published=4.4167,
        tol=0.0005,
        source="magazine article on gear ratios (2014)",
        status="seen+recalc",
    ),
)


@against_print(ROWS)
def test_held_against_print(row: Published) -> None:
    row.hold()


@pytest.mark.parametrize("cage_mm", [75, 80, 86, 95, 100])
def test_long_cages_take_38_teeth_or_more(cage_mm: float) -> None:
    """Article on the capacity of the rear derailleur: long cage about 38 (seen)."""
    assert rated_capacity(road(cage_mm)) >= 38


def test_the_old_45_degree_rule_picks_a_length_that_works() -> None:
    """Usenet bicycles FAQ 8d.3 (seen): with friction levers, cage at 45 degrees in the largest pair."""
    window = links_window(road(56))
    lengths = np.arange(104, 114, 2)
    angles = solve_paths(road(56), lengths).cage_deg[0, 1, -1]
    assert int(lengths[np.abs(angles - 45).argmin()]) in window.links


def test_a_wide_range_single_takes_the_wrap_and_four() -> None:
    """Mountain-bike forum's correction for one ring and a wide cassette: wrap and four links (seen)."""
    bike = starter("trail-single-12")
    growth = travel_mm(bike)
    rule = largest_pair_links(bike.frame.chainstay_mm, 32, 51, growth.max(), extra=4)
    assert int(rule) in links_window(side_view(bike), growth).links


def test_a_longer_suspension_travel_asks_for_a_longer_chain() -> None:
    """Forum posts on chain length (seen): measure where the axle is furthest from the crank."""
    view = side_view(starter("trail-single-12"))
    lowest = [links_window(view, (0.0, growth)).lowest_links for growth in (0.0, 6.0, 12.0)]
    # Two straight runs grow by as much as the chainstay: nearly two millimetres of chain for one.
    assert np.diff(lowest) * 12.7 == pytest.approx(np.array([12.0, 12.0]), rel=0.05)
