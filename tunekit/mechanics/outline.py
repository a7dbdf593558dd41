"""The side view as points: what a picture needs, worked out here so that no picture computes."""

from dataclasses import dataclass

import numpy as np

from tunekit.bike.errors import TunekitError
from tunekit.mechanics.bounds import Floats
from tunekit.mechanics.geometry import SideView, wheels
from tunekit.mechanics.loop import Wheels, picked, taut_loop
from tunekit.mechanics.side_view import solve_paths, swing_band

ARC_POINTS = 60
Place = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Circle:
    """A wheel seen from the side: pitch circle, in mm from the hub, x forward, y up."""

    name: str
    """ring, cog, guide_pulley or tension_pulley"""
    x_mm: float
    y_mm: float
    radius_mm: float
    teeth: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """One gear seen from the drive side, to scale."""

    ring: int
    cog: int
    links: int
    cage_deg: float
    circles: tuple[Circle, ...]
    chain_mm: Floats
    """The closed chain, shape (points, 2)."""
    cage_mm: Floats
    """Guide pulley to tension pulley, shape (2, 2)."""
    extremes_mm: Floats
    """The same at both ends of the usable swing, back and front; shape (2, 2, 2)."""
    swing_mm: Floats
    """Tension pulley's way between the two ends of the usable swing, shape (points, 2)."""
    swing_deg: tuple[float, float]
    """Furthest back and furthest forward in this gear."""
    hanger_mm: tuple[float, float]
    pivot_mm: tuple[float, float]
    flag: str
    """works, stretched, slack or touching"""


def _gear(view: SideView, ring: int, cog: int) -> tuple[int, int]:
    if ring not in view.rings or cog not in view.cogs:
        raise TunekitError(
            f"gear must be one of this bike's (got {ring} x {cog}); give ring and cog by tooth count."
        )
    return view.rings.index(ring), view.cogs.index(cog)


def _arc(x: float, y: float, radius: float, start: float, turned: float, points: int) -> Floats:
    """Points of an arc by the headings of the chain on it; clockwise wheels have the chain on their left."""
    heading = start + np.linspace(0, turned, points)
    side = -1 if turned < 0 else 1
    return np.column_stack([x + side * radius * np.sin(heading), y - side * radius * np.cos(heading)])


def chain_points(one: Wheels, cage: float, per_arc: int = ARC_POINTS) -> Floats:
    """The closed chain of one gear at cage angle `cage` [rad] on the pitch circles; (points, 2)."""
    loop = taut_loop(one, np.asarray(cage, float))
    guide, tension = _pulleys(one, cage)
    heading = np.arctan2(float(one.ring_y), float(one.ring_x)) - np.arctan2(
        float(one.cog_mm - one.ring_mm), float(loop.top_mm)
    )
    stops = [
        (float(one.ring_x), float(one.ring_y), float(one.ring_mm), -float(loop.ring)),
        (*tension, one.tension_mm, -float(loop.tension)),
        (*guide, one.guide_mm, float(loop.guide)),
        (0.0, 0.0, float(one.cog_mm), -float(loop.cog)),
    ]
    arcs = []
    for x, y, radius, turned in stops:
        arcs.append(_arc(x, y, radius, heading, turned, per_arc))
        heading += turned
    return np.vstack([*arcs, arcs[0][:1]])


def _pulleys(one: Wheels, cage: float) -> tuple[Place, Place]:
    x, y, sine, cosine = float(one.pivot_x), float(one.pivot_y), np.sin(cage), np.cos(cage)
    return (
        (float(x - one.to_guide_mm * sine), float(y + one.to_guide_mm * cosine)),
        (float(x + one.to_tension_mm * sine), float(y - one.to_tension_mm * cosine)),
    )


def _circles(one: Wheels, guide: Place, tension: Place) -> tuple[Circle, ...]:
    found = (
        ("ring", (float(one.ring_x), float(one.ring_y)), float(one.ring_mm), int(one.ring_teeth)),
        ("cog", (0.0, 0.0), float(one.cog_mm), int(one.cog_teeth)),
        ("guide_pulley", guide, one.guide_mm, one.guide_teeth),
        ("tension_pulley", tension, one.tension_mm, one.tension_teeth),
    )
    return tuple(
        Circle(name=name, x_mm=x, y_mm=y, radius_mm=radius, teeth=teeth)
        for name, (x, y), radius, teeth in found
    )


def outline(view: SideView, ring: int, cog: int, links: int, growth_mm: float = 0.0) -> Outline:
    """The chain in one gear with the cage where it stands, to scale; raises as `solve_paths` does."""
    r, c = _gear(view, ring, cog)
    paths, band = solve_paths(view, links, growth_mm), swing_band(view, growth_mm)
    place = (0, r, c)
    one = picked(wheels(view, growth_mm), place)
    cage = float(np.radians(paths.cage_deg[(*place, 0)]))
    back, front = float(band.back_deg[place]), float(band.front_deg[place])
    guide, tension = _pulleys(one, cage)
    swing = np.array([_pulleys(one, angle) for angle in np.radians(np.linspace(back, front, ARC_POINTS))])
    flags = {name: bool(getattr(paths, name)[(*place, 0)]) for name in ("stretched", "slack", "touching")}
    return Outline(
        ring=ring,
        cog=cog,
        links=links,
        cage_deg=float(np.degrees(cage)),
        circles=_circles(one, guide, tension),
        chain_mm=chain_points(one, cage),
        cage_mm=np.array([guide, tension]),
        extremes_mm=swing[[0, -1]],
        swing_mm=swing[:, 1],
        swing_deg=(back, front),
        hanger_mm=(-view.hanger_back_mm, -view.hanger_down_mm),
        pivot_mm=(float(one.pivot_x), float(one.pivot_y)),
        flag=next((name for name, on in flags.items() if on), "works"),
    )
