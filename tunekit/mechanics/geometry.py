"""Where ring, cog, hanger, cage pivot and pulleys stand in the side view.

The hub is the origin, x forward, y up. The hanger's bolt, the body's reach and the pulley gap on the largest
cog place the cage pivot; the slanted body carries it along a share of the cassette's cone.
Typical values and their status: data/geometry.toml.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tunekit.bike.errors import TunekitError
from tunekit.data import table
from tunekit.mechanics.bounds import Floats, within
from tunekit.mechanics.loop import Wheels
from tunekit.mechanics.sprocket import pitch_radius_mm, tip_diameter_mm

SLIP_MM = 1e-6
"""A length that misses its limit by the last digits only."""


def typical(name: str) -> float:
    """A typical value of `data/geometry.toml`."""
    return float(table("geometry")["side_view"][name]["value"])


def tip_radius_mm(teeth: ArrayLike) -> Floats:
    """Hub of a cog or pulley to its tooth tips [mm], with the relief of derailleur cogs."""
    return tip_diameter_mm(teeth) / 2 - typical("tip_relief_mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class SideView:
    """Everything the chain's path depends on but the chain. Raises TunekitError on impossible geometry."""

    rings: tuple[int, ...]
    cogs: tuple[int, ...]
    """Smallest first."""
    chainstay_mm: float
    bb_drop_mm: float
    """Hub axis above crank axis."""
    cage_mm: float
    """Guide pulley centre to tension pulley centre."""
    guide_teeth: int = 11
    tension_teeth: int = 11
    pulley_gap_mm: float = 6.0
    """Tooth tips of guide pulley and largest cog, as the B screw sets them at `set_angle_deg`."""
    body_mm: float | None = None
    """Hanger bolt to cage pivot; None places the pulley as a typical part of this class does."""
    hanger_back_mm: float = typical("hanger_back_mm")
    hanger_down_mm: float = typical("hanger_down_mm")
    pivot_mm: float = typical("pivot_mm")
    """Cage pivot to guide pulley centre, along the cage."""
    follow: float = typical("follow")
    """Share of the cassette's cone that the body follows, 0 to 1."""
    set_angle_deg: float = typical("set_angle_deg")

    def __post_init__(self) -> None:
        _check(self)


def _check(view: SideView) -> None:
    within("rings", view.rings, 7, 80, "teeth")
    within("cogs", view.cogs, 7, 80, "teeth")
    within("chainstay_mm", view.chainstay_mm, 150, 1300)
    within("bb_drop_mm", view.bb_drop_mm, -150, 150)
    within("guide_teeth", view.guide_teeth, 8, 20)
    within("tension_teeth", view.tension_teeth, 8, 20)
    pulleys = float(tip_radius_mm(view.guide_teeth) + tip_radius_mm(view.tension_teeth))
    if not view.cage_mm >= pulleys:
        raise TunekitError(
            f"cage_mm must be at least {pulleys:.1f}, or pulleys of {view.guide_teeth} and "
            f"{view.tension_teeth} teeth would touch (got {view.cage_mm:g}); measure centre to centre, the "
            f"nearest possible is {np.ceil(pulleys * 10) / 10:.1f}."
        )
    within("cage_mm", view.cage_mm, 20, 200)
    if not view.pulley_gap_mm <= view.cage_mm:
        raise TunekitError(
            f"pulley_gap_mm must be less than the cage, {view.cage_mm:g} (got {view.pulley_gap_mm:g}); "
            f"measure from pulley teeth to cog teeth, the nearest possible is {view.cage_mm:g}."
        )
    within("pulley_gap_mm", view.pulley_gap_mm, 0, 100)
    within("pivot_mm", view.pivot_mm, 0, view.cage_mm / 2)
    within("follow", view.follow, 0, 1)
    within("hanger_down_mm", view.hanger_down_mm, 5, 80)
    within("hanger_back_mm", view.hanger_back_mm, -40, 60)
    within("set_angle_deg", view.set_angle_deg, -90, 120)
    _check_reach(view)
    _check_room(view)


def _guide_distance_mm(view: SideView) -> float:
    """Hub to guide pulley when the B screw is set on the largest cog."""
    return float(tip_radius_mm(view.cogs[-1]) + tip_radius_mm(view.guide_teeth)) + view.pulley_gap_mm


def hanger_seen_mm(view: SideView) -> tuple[float, float]:
    """The hanger's bolt, moved by the offset of the cage pivot so that the body seems to carry the pulley."""
    angle = np.radians(view.set_angle_deg)
    return (
        float(-view.hanger_back_mm - view.pivot_mm * np.sin(angle)),
        float(-view.hanger_down_mm + view.pivot_mm * np.cos(angle)),
    )


def body_reach_mm(view: SideView) -> float:
    """Hanger bolt to cage pivot [mm]: as given, or as a typical part made for this largest cog."""
    if view.body_mm is not None:
        return view.body_mm
    forward, far = np.radians(typical("pulley_forward_deg")), _guide_distance_mm(view)
    x, y = hanger_seen_mm(view)
    return float(np.hypot(far * np.sin(forward) - x, -far * np.cos(forward) - y))


def possible_gaps_mm(view: SideView, cog: int, body_mm: float) -> tuple[float, float]:
    """Least and greatest pulley gap on a cog that a B screw can give a body of this reach [mm].

    Least with the pulley as far forward under the hub as it goes, greatest with the body straight out.
    """
    x, y = hanger_seen_mm(view)
    forward = np.radians(typical("pulley_forward_most_deg"))
    along, across = x * np.sin(forward) - y * np.cos(forward), x * np.cos(forward) + y * np.sin(forward)
    tips = float(tip_radius_mm(cog) + tip_radius_mm(view.guide_teeth))
    least = along + float(np.sqrt(max(body_mm * body_mm - across * across, 0.0)))
    return float(least - tips), float(body_mm + np.hypot(x, y) - tips)


def _check_reach(view: SideView) -> None:
    body = body_reach_mm(view)
    low, high = possible_gaps_mm(view, view.cogs[-1], body)
    if not low - SLIP_MM <= view.pulley_gap_mm <= high + SLIP_MM:
        gap = float(np.clip(view.pulley_gap_mm, low, high))
        raise TunekitError(
            f"pulley_gap_mm cannot be {view.pulley_gap_mm:g} on a cog of {view.cogs[-1]} teeth with a body "
            f"of {body:.1f} mm from this hanger; the nearest possible is {gap:.1f}"
            + (
                "."
                if gap >= 0
                else ", which is none at all: fit a smaller cog or a derailleur made for this one."
            )
        )


def pivots_mm(view: SideView) -> tuple[Floats, Floats]:
    """Place (x, y) of the cage pivot on each cog [mm], shape (cogs,) each."""
    x, y = hanger_seen_mm(view)
    body, hanger, far = body_reach_mm(view), float(np.hypot(x, y)), _guide_distance_mm(view)
    # Triangle of hub, hanger and guide pulley by the law of cosines; of its two places the forward one.
    cosine = np.clip((far * far + hanger * hanger - body * body) / (2 * far * hanger), -1, 1)
    direction = np.arctan2(y, x) + np.arccos(cosine)
    radii = pitch_radius_mm(view.cogs)
    distance = far - view.follow * (radii[-1] - radii)
    angle = np.radians(view.set_angle_deg)
    return (
        distance * np.cos(direction) + view.pivot_mm * np.sin(angle),
        distance * np.sin(direction) - view.pivot_mm * np.cos(angle),
    )


def _check_room(view: SideView) -> None:
    """The largest ring must stay clear of the cage at full swing and of the largest cog."""
    x, y = pivots_mm(view)
    run = np.sqrt(view.chainstay_mm**2 - view.bb_drop_mm**2)
    ring = float(pitch_radius_mm(max(view.rings)))
    cage = np.hypot(x - run, y + view.bb_drop_mm) - (view.cage_mm - view.pivot_mm)
    lacking = ring + max(float(pitch_radius_mm(view.cogs[-1])) - view.chainstay_mm, -float(cage.min()))
    if lacking > 0:
        nearest = np.ceil(view.chainstay_mm + lacking * 1.05)
        raise TunekitError(
            f"chainstay_mm is too short for a ring of {max(view.rings)} teeth in front of this cage and "
            f"cassette (got {view.chainstay_mm:g}); measure crank axis to hub axis, the nearest possible is "
            f"about {nearest:g}."
        )


def wheels(view: SideView, growth_mm: ArrayLike = 0.0) -> Wheels:
    """The wheels of every gear at every travel position, shape (travel, rings, cogs) once broadcast.

    `growth_mm` is the extra crank-to-hub distance at each travel position [mm].
    """
    growth = np.atleast_1d(within("growth_mm", growth_mm, -50, 150, "mm"))[:, None, None]
    rings = np.asarray(view.rings, float)[None, :, None]
    cogs = np.asarray(view.cogs, float)[None, None, :]
    x, y = pivots_mm(view)
    guide = float(pitch_radius_mm(view.guide_teeth))
    tension = float(pitch_radius_mm(view.tension_teeth))
    return Wheels(
        np.sqrt((view.chainstay_mm + growth) ** 2 - view.bb_drop_mm**2),
        np.full_like(growth, -view.bb_drop_mm),
        pitch_radius_mm(rings),
        rings,
        pitch_radius_mm(cogs),
        cogs,
        x[None, None, :],
        y[None, None, :],
        guide,
        view.guide_teeth,
        tension,
        view.tension_teeth,
        view.pivot_mm,
        view.cage_mm - view.pivot_mm,
    )
