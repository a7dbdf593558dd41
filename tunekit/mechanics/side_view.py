"""The side view: where the cage stands, what it has left and what is flagged, in every gear at once.

The geometry (`geometry.py`) and the number of links fix the cage angle. Each gear's loop is tabulated over
the cage's swing once, and the table is inverted for every length together. The chain's sideways slope (under
3.5 degrees, 0.2 % of the run) is left out. Typical values and their status: data/geometry.toml.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tunekit.bike.errors import TunekitError
from tunekit.mechanics.bounds import Floats, within
from tunekit.mechanics.chain_length import DERAILLEUR_LINKS, belt_links
from tunekit.mechanics.geometry import SideView, body_reach_mm, tip_radius_mm, typical, wheels
from tunekit.mechanics.loop import TURN, Loop, Wheels, picked, taut_loop

__all__ = [
    "Band",
    "Paths",
    "SideView",
    "Window",
    "links_window",
    "rated_capacity",
    "solve_paths",
    "swing_band",
    "with_gap_set",
]

Flags = NDArray[np.bool_]
Gear = tuple[int, int]
"""Ring and cog by tooth count."""

TABLE_ANGLES = 49
"""Cage angles at which each gear's loop is tabulated before it is inverted."""
CLOSE_LINKS = 5e-9
"""How closely a taut chain's length is met."""
NEWTON_STEPS = 1
"""Steps that nearly every bike needs after cubic inverse interpolation of that table."""
MOST_STEPS = 4
"""Steps that no bike exceeds: each doubles the digits."""
END_STEPS = 3
"""Newton steps to either end of a gear's band, from a straight line across one cell of the table."""
CHUNK_CELLS = 1 << 15
"""Solves worked on at a time, so that the scratch arrays stay in the cache."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """How far the cage may swing, per travel position, ring and cog; shape (travel, rings, cogs) each."""

    front_deg: Floats
    """Further forward the chain is stretched."""
    back_deg: Floats
    """Further back the chain touches itself, or the cage is at its stop."""
    shortest_links: Floats
    """Links at `front_deg`: fewer are stretched."""
    longest_links: Floats
    """Links at `back_deg`: more touch themselves or hang."""
    slack_links: Floats
    """Links at the back stop: more hang slack."""

    @property
    def shared_deg(self) -> tuple[Floats, Floats]:
        """Furthest back and furthest forward that hold on every ring and travel position; (cogs,)."""
        return self.back_deg.max(axis=(0, 1)), self.front_deg.min(axis=(0, 1))


@dataclass(frozen=True, slots=True, kw_only=True)
class Paths:
    """The chain's path; every array has the shape (travel, rings, cogs, lengths)."""

    links: NDArray[np.int64]
    """The lengths solved for, shape (lengths,)."""
    growth_mm: Floats
    """The travel positions, shape (travel,)."""
    cage_deg: Floats
    """0 = straight down, + = forward; held at an end of the swing when stretched or slack."""
    shorten_links: Floats
    """Links the chain could lose before it is stretched; negative when it is."""
    lengthen_links: Floats
    """Links the chain could gain before it touches itself or hangs; negative when it does."""
    pulley_gap_mm: Floats
    """Tooth tips of guide pulley and cog; negative when they meet."""
    cog_teeth: Floats
    """Teeth of the cog in the chain."""
    ring_teeth: Floats
    guide_teeth: Floats
    free_mm: Floats
    """Free chain between guide pulley and cog."""
    stretched: Flags
    slack: Flags
    touching: Flags
    """The lower run lies against the chain at the guide pulley."""

    @property
    def works(self) -> Flags:
        """Neither stretched nor slack nor touching itself."""
        return ~(self.stretched | self.slack | self.touching)


def _columns(view: SideView, growth_mm: ArrayLike) -> Wheels:
    """Every gear and travel position as a column (gears x travel, 1), to meet a row of angles or lengths."""
    every = wheels(view, growth_mm)
    places = np.indices((np.size(growth_mm), len(view.rings), len(view.cogs))).reshape(3, -1, 1)
    return picked(every, tuple(places))


@dataclass(frozen=True, slots=True)
class _Table:
    """Each gear's loop at TABLE_ANGLES cage angles (columns of `_columns`), and its band [rad, links]."""

    angles: Floats
    links: Floats
    slopes: Floats
    front: Floats
    back: Floats
    shortest: Floats
    longest: Floats
    slack: Floats


def _first_below(values: Floats, level: float) -> NDArray[np.intp]:
    """Index of the first value of each row under `level`, at least 1; the last index when none is."""
    below = values < level
    first = np.maximum(below.argmax(axis=1), 1)
    return np.asarray(np.where(below.any(axis=1), first, values.shape[1] - 1), np.intp)


def _crossing(angles: Floats, values: Floats, level: float) -> tuple[Floats, Floats, Floats]:
    """Straight-line guess where each row first falls to `level`, and the cell's two ends; columns."""
    after, rows = _first_below(values, level), np.arange(len(values))
    high, low = values[rows, after - 1], values[rows, after]
    share = np.clip((high - level) / np.where(high == low, 1.0, high - low), 0, 1)
    start, end = angles[after - 1], angles[after]
    return (start + share * (end - start))[:, None], start[:, None], end[:, None]


def _tabulate(columns: Wheels) -> _Table:
    """Loop of every gear over the whole swing, and the two ends of its usable band."""
    back_stop, front_stop = np.radians([typical("back_stop_deg"), typical("front_stop_deg")])
    angles = np.linspace(back_stop, front_stop, TABLE_ANGLES)
    loop = taut_loop(columns, angles[None, :])
    links, slopes = np.broadcast_arrays(loop.links, loop.slope)
    ends = _ends(columns, angles, loop)
    front, back = ends[:, :1], ends[:, 1:]
    if not _swings_clear(angles, links, front):
        raise TunekitError(_no_swing(columns, angles))
    shortest, longest = np.hsplit(taut_loop(columns, ends).links, 2)
    return _Table(angles, links, slopes, front, back, shortest, longest, links[:, :1])


def _ends(columns: Wheels, angles: Floats, loop: Loop) -> Floats:
    """Cage angles at the front and back ends of each gear's band; (gears, 2).

    Front: the guide pulley's wrap runs out, or more swing takes up nothing. Back: the chain touches itself.
    """
    wrap, touch = TURN * typical("guide_teeth_min") / columns.guide_teeth, typical("touch_mm")
    back = slice(int(np.searchsorted(angles, 0.0, side="right")) - 1, None, -1)
    forward = _crossing(angles, loop.guide, wrap)
    backward = _crossing(angles[back], loop.fold_mm[:, back], touch)
    ends, first, second = (np.hstack(pair) for pair in zip(forward, backward, strict=True))
    low, high = np.minimum(first, second), np.maximum(first, second)
    for _ in range(END_STEPS):
        there = taut_loop(columns, ends)
        miss = np.hstack([there.guide[:, :1] - wrap, there.fold_mm[:, 1:] - touch])
        ends = np.clip(
            ends - miss / np.hstack([there.guide_slope[:, :1], there.fold_slope[:, 1:]]), low, high
        )
    stalled, _, _ = _crossing(angles, -loop.slope, typical("stall_links_per_rad"))
    return np.hstack([np.minimum(ends[:, :1], stalled), ends[:, 1:]])


def _swings_clear(angles: Floats, links: Floats, front: Floats) -> bool:
    """Swinging the cage forward always takes up chain; or else a length would have two angles."""
    return not np.any((np.diff(links) >= 0) & (angles[None, 1:] <= front))


def _no_swing(columns: Wheels, angles: Floats) -> str:
    """Why a cage cannot be used, with the longest shorter one that can."""
    whole = columns.to_guide_mm + columns.to_tension_mm
    told = f"cage_mm is too long to swing clear of this ring and chainstay (got {whole:g}); "
    for cage in np.arange(np.ceil(whole) - 1, columns.guide_mm + columns.tension_mm + 1, -1):
        shorter = columns._replace(to_tension_mm=float(cage) - columns.to_guide_mm)
        loop = taut_loop(shorter, angles[None, :])
        if _swings_clear(angles, loop.links, _ends(shorter, angles, loop)[:, :1]):
            return told + f"measure pulley centre to pulley centre, the nearest possible is {cage:g}."
    return told + "no shorter one would either: measure the chainstay and the pulley gap."


def _inverse(gears: _Table, rows: slice, links: Floats) -> Floats:
    """Cage angle for each gear and length by cubic inverse interpolation of the table; (gears, lengths)."""
    known, slopes = gears.links[rows], gears.slopes[rows]
    falling = np.minimum.accumulate(known, axis=1)  # past the usable swing a loop may grow again
    cell = np.zeros((len(known), links.shape[1]), np.intp)
    for place in range(1, TABLE_ANGLES - 1):
        cell += falling[:, place, None] > links
    first, last = np.take_along_axis(known, cell, 1), np.take_along_axis(known, cell + 1, 1)
    rise, step = last - first, gears.angles[1] - gears.angles[0]
    share = np.clip((links - first) / rise, 0, 1)
    rest = 1 - share
    enter = rise / (step * np.take_along_axis(slopes, cell, 1))
    leave = rise / (step * np.take_along_axis(slopes, cell + 1, 1))
    bend = share * share * (3 - 2 * share) + share * rest * (rest * enter - share * leave)
    return np.asarray(gears.angles[cell] + step * bend, float)


def _cage_angles(columns: Wheels, gears: _Table, rows: slice, links: Floats) -> tuple[Floats, Loop]:
    """Cage angle [rad] and loop for each gear of `columns` (already cut to `rows`) and each length."""
    low, high = gears.angles[0], gears.front[rows]
    cage = np.clip(_inverse(gears, rows, links), low, high)
    loop = taut_loop(columns, cage)
    for step in range(MOST_STEPS):
        miss = loop.links - links
        if step >= NEWTON_STEPS and not np.any((np.abs(miss) > CLOSE_LINKS) & (cage > low) & (cage < high)):
            break
        cage = np.clip(cage - miss / loop.slope, low, high)
        loop = taut_loop(columns, cage)
    return cage, loop


def _blocks(gears: int, lengths: int) -> Iterator[tuple[slice, slice]]:
    """Cut gears x lengths into blocks of at most CHUNK_CELLS."""
    wide = min(lengths, CHUNK_CELLS)
    tall = max(1, CHUNK_CELLS // wide)
    for row in range(0, gears, tall):
        for column in range(0, lengths, wide):
            yield slice(row, min(row + tall, gears)), slice(column, min(column + wide, lengths))


def _gap_mm(columns: Wheels, cage: Floats) -> Floats:
    x = columns.pivot_x - columns.to_guide_mm * np.sin(cage)
    y = columns.pivot_y + columns.to_guide_mm * np.cos(cage)
    tips = tip_radius_mm(columns.cog_teeth) + tip_radius_mm(columns.guide_teeth)
    return np.sqrt(x * x + y * y) - tips


def _check_lengths(links: ArrayLike, gears: _Table) -> NDArray[np.int64]:
    lengths = np.atleast_1d(np.asarray(links))
    whole = within("links", lengths, 1, 1000)
    if np.any(whole != np.round(whole)):
        raise TunekitError("links must be a whole number of links; count the pins of the chain.")
    least = int(np.ceil(gears.shortest.min()))
    if whole.min() < least:
        raise TunekitError(
            f"links must be at least {least}, or the chain does not reach round this bike's smallest gear "
            f"and both pulleys (got {int(whole.min())}); the nearest possible is {least}."
        )
    return whole.astype(np.int64)


def solve_paths(view: SideView, links: ArrayLike, growth_mm: ArrayLike = 0.0) -> Paths:
    """The chain's path in all gears x all lengths x all travel positions, in one call.

    Parameters
    ----------
    links : lengths in links of 12.7 mm, any order; shape (lengths,)
    growth_mm : extra crank-to-hub distance at each travel position [mm]; shape (travel,)

    Raises
    ------
    TunekitError : a length too short for any gear; the sentence names the shortest possible.
    """
    columns = _columns(view, growth_mm)
    gears = _tabulate(columns)
    lengths = _check_lengths(links, gears)
    row = lengths[None, :].astype(float)
    solved = np.empty((6, len(gears.links), len(lengths)))
    for rows, cut in _blocks(len(gears.links), len(lengths)):
        part = picked(columns, rows)
        cage, loop = _cage_angles(part, gears, rows, row[:, cut])
        teeth = part.cog_teeth * loop.cog, part.ring_teeth * loop.ring, part.guide_teeth * loop.guide
        found = np.degrees(cage), _gap_mm(part, cage), *(t / TURN for t in teeth), loop.free_mm
        for target, values in zip(solved, found, strict=True):
            target[rows, cut] = values
    shape = np.size(growth_mm), len(view.rings), len(view.cogs), len(lengths)
    cage_deg, gap, cog, ring, guide, free = (values.reshape(shape) for values in solved)
    shorten, lengthen = (row - gears.shortest).reshape(shape), (gears.longest - row).reshape(shape)
    slack = (row > gears.slack).reshape(shape)
    return Paths(
        links=lengths,
        growth_mm=np.atleast_1d(np.asarray(growth_mm, float)),
        cage_deg=cage_deg,
        shorten_links=shorten,
        lengthen_links=lengthen,
        pulley_gap_mm=gap,
        cog_teeth=cog,
        ring_teeth=ring,
        guide_teeth=guide,
        free_mm=free,
        stretched=shorten < 0,
        slack=slack,
        touching=lengthen < 0,
    )


def swing_band(view: SideView, growth_mm: ArrayLike = 0.0) -> Band:
    """The usable swing of the cage in every gear at every travel position."""
    gears = _tabulate(_columns(view, growth_mm))
    shape = np.size(growth_mm), len(view.rings), len(view.cogs)
    return Band(
        front_deg=np.degrees(gears.front).reshape(shape),
        back_deg=np.degrees(gears.back).reshape(shape),
        shortest_links=gears.shortest.reshape(shape),
        longest_links=gears.longest.reshape(shape),
        slack_links=gears.slack.reshape(shape),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """Which lengths of chain work."""

    links: tuple[int, ...]
    """Even lengths that work in every gear asked for, at every travel position; may be empty."""
    best: int
    """The one with the most left at its tighter end; if none works, the shortest that stretches no gear."""
    lowest_links: float
    """Below it `lowest_gear` is stretched."""
    highest_links: float
    """Above it `highest_gear` touches itself or hangs."""
    lowest_gear: Gear
    highest_gear: Gear
    failing: tuple[Gear, ...]
    """Gears asked for that do not work with `best`."""


def _asked(view: SideView, except_gears: Collection[Gear]) -> Flags:
    unknown = [gear for gear in except_gears if gear[0] not in view.rings or gear[1] not in view.cogs]
    if unknown:
        raise TunekitError(
            f"except_gears must name gears of this bike (got {unknown[0][0]} x {unknown[0][1]}); "
            "give ring and cog by tooth count."
        )
    asked = np.array([[(ring, cog) not in except_gears for cog in view.cogs] for ring in view.rings])
    if not asked.any():
        raise TunekitError("except_gears must leave at least one gear; name fewer.")
    return asked


def links_window(
    view: SideView, growth_mm: ArrayLike = 0.0, *, except_gears: Collection[Gear] = ()
) -> Window:
    """The even numbers of links that work in every gear but those named, at every travel position.

    A stretched chain breaks things and a hanging one only rattles, so with no length for all gears `best` is
    the shortest that stretches none.
    """
    band, asked = swing_band(view, growth_mm), _asked(view, except_gears)
    shortest = np.where(asked, band.shortest_links.max(axis=0), -np.inf)
    longest = np.where(asked, band.longest_links.min(axis=0), np.inf)
    lowest, highest = float(shortest.max()), float(longest.min())
    first = 2 * int(np.ceil(lowest / 2))
    links = tuple(range(first, int(np.floor(highest)) + 1, 2))
    best = max(links, key=lambda length: min(length - lowest, highest - length), default=first)
    gears = [[(ring, cog) for cog in view.cogs] for ring in view.rings]
    places = zip(*np.nonzero(asked & (longest < best)), strict=True)
    ring, cog = np.unravel_index([shortest.argmax(), longest.argmin()], asked.shape)
    return Window(
        links=links,
        best=best,
        lowest_links=lowest,
        highest_links=highest,
        lowest_gear=gears[ring[0]][cog[0]],
        highest_gear=gears[ring[1]][cog[1]],
        failing=tuple(gears[r][c] for r, c in places),
    )


def rated_capacity(view: SideView, growth_mm: ArrayLike = 0.0) -> float:
    """Capacity in teeth that a leaflet could promise for this cage by the common rule of chain length.

    The rule wraps the largest pair, rounds up to a whole inch and adds one more: up to four links over the
    bare wrap. What the cage takes up beyond them on the smallest pair, two teeth a link, is for the gears.
    """
    band = swing_band(view, growth_mm)
    centre = view.chainstay_mm + float(np.max(growth_mm))
    wrapped = float(belt_links(centre, view.rings[0], view.cogs[0]))
    return 2 * (float(band.longest_links[:, 0, 0].min()) - wrapped - 2 * DERAILLEUR_LINKS)


def with_gap_set(view: SideView, links: int) -> SideView:
    """The same bike with the B screw set with this chain on, on the smallest ring and the largest cog.

    The gap depends a little on the cage angle, the angle on where the pulley stands; three rounds settle it.
    """
    view = replace(view, body_mm=body_reach_mm(view))
    for _ in range(3):
        angle = float(solve_paths(view, links).cage_deg[0, 0, -1, 0])
        view = replace(view, set_angle_deg=angle)
    return view
