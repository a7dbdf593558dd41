"""The top view: where the guide pulley stands on every click, and how far off each cog that is.

`offset(cog, direction)` = index offset + rate error x cogs from the middle + hanger tilt x lever arm ± cable
drag, held between the two limit stops. Offsets are + inboard of the cog. Pulling the cable (toward larger
cogs) leaves a dragging pulley outboard of where the cable asks for, letting go leaves it inboard.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tunekit.bike.errors import TunekitError, one_of
from tunekit.mechanics.bounds import Floats, within

DIRECTIONS = ("to_larger_cog", "to_smaller_cog")


def moves_mm(pulls_mm: ArrayLike, cable_ratio: float, cogs: int) -> Floats:
    """Pulley movement of each click [mm], smallest cog first; shape (cogs - 1,).

    `pulls_mm` is one figure for all clicks or one for each, for levers whose clicks are uneven.
    """
    pulls = within("lever_pull_mm", pulls_mm, 0.5, 10, "mm")
    if pulls.ndim and len(pulls) != cogs - 1:
        raise TunekitError(
            f"lever_pull_mm must be one figure or {cogs - 1}, one for each click between {cogs} cogs "
            f"(got {len(pulls)}); list a pull for every click."
        )
    ratio = float(within("cable_ratio", cable_ratio, 0.3, 4))
    return np.array(np.broadcast_to(pulls * ratio, (cogs - 1,)), float)


def _from_middle(steps_mm: Floats) -> Floats:
    """Places after each of the steps, counted from the middle place; the last axis grows by one."""
    start = np.zeros((*steps_mm.shape[:-1], 1))
    places = np.concatenate([start, np.cumsum(steps_mm, axis=-1)], axis=-1)
    last = places.shape[-1] - 1
    middle = (places[..., last // 2] + places[..., last - last // 2]) / 2
    return np.asarray(places - middle[..., None], float)


def rate_error_mm(moves: ArrayLike, pitch_mm: ArrayLike) -> Floats:
    """What the clicks get wrong against the cogs [mm], + = inboard, none on the middle cog; (..., cogs).

    `pitch_mm` is one figure or one for each pair of neighbours.
    """
    clicks = within("moves", moves, -50, 50, "mm")
    cogs = np.broadcast_to(within("pitch_mm", pitch_mm, 1, 10, "mm"), clicks.shape)
    return _from_middle(clicks) - _from_middle(cogs)


def offsets_mm(
    moves: ArrayLike,
    pitch_mm: ArrayLike,
    *,
    index_mm: ArrayLike = 0.0,
    shift_mm: ArrayLike = 0.0,
    drag_mm: ArrayLike = 0.0,
    high_limit_mm: ArrayLike = np.inf,
    low_limit_mm: ArrayLike = np.inf,
) -> Floats:
    """Pulley offset on every cog in both directions [mm], shape (..., 2, cogs) in the order of DIRECTIONS.

    Parameters
    ----------
    moves : pulley movement of each click [mm]; (..., cogs - 1)
    pitch_mm : cog spacing [mm]; a number or (cogs - 1,)
    index_mm : offset on the middle cog; (...)
    shift_mm : what a tilted hanger adds; (..., cogs)
    drag_mm : how far a dragging cable stops short, either way; (...)
    high_limit_mm, low_limit_mm : how far beyond the end cog each stop lets the pulley stand; (...)
    """
    error = rate_error_mm(moves, pitch_mm)
    index, shift = within("index_mm", index_mm, -100, 100), within("shift_mm", shift_mm, -100, 100)
    asked = error + index[..., None] + shift
    signs = np.array([-1.0, 1.0])[:, None]
    free = asked[..., None, :] + signs * within("drag_mm", drag_mm, 0, 100)[..., None, None]
    last = error.shape[-1] - 1
    pitches = np.broadcast_to(np.asarray(pitch_mm, float), (last,))
    place = np.concatenate([[0.0], np.cumsum(pitches)])
    low = -within("high_limit_mm", high_limit_mm, -100, np.inf)[..., None, None] - place
    high = place[last] + within("low_limit_mm", low_limit_mm, -100, np.inf)[..., None, None] - place
    return np.asarray(np.clip(free, low, high), float)


@dataclass(frozen=True, slots=True, kw_only=True)
class TopView:
    """One bike from above. Lines are from the frame's centre plane [mm], smaller = inboard."""

    rings: tuple[int, ...]
    cogs: tuple[int, ...]
    ring_lines_mm: Floats
    cog_lines_mm: Floats
    run_mm: Floats
    """Top run of the chain in each gear; (rings, cogs)."""
    angle_deg: Floats
    """Slant of the chain in each gear, + = inboard from ring to cog; (rings, cogs)."""
    offset_mm: Floats
    """Pulley offset, + = inboard of the cog; (2, cogs) in the order of DIRECTIONS."""
    rate_mm: Floats
    """The clicks' share of it; (cogs,)."""
    tilt_mm: Floats
    """The hanger's share of it; (cogs,)."""
    held: NDArray[np.bool_]
    """Where a limit stop holds the pulley; (2, cogs)."""

    @property
    def pulley_lines_mm(self) -> Floats:
        """Where the guide pulley stands on every click and direction; (2, cogs)."""
        return self.cog_lines_mm - self.offset_mm

    def offset(self, cog: int, direction: str) -> float:
        """Offset on a cog after a shift in a direction [mm]; raises TunekitError naming the choices."""
        if cog not in self.cogs:
            raise TunekitError(f"cog must be one of the bike's, {one_of(map(str, self.cogs))} (got {cog}).")
        if direction not in DIRECTIONS:
            raise TunekitError(f"direction must be {one_of(DIRECTIONS)} (got {direction}).")
        return float(self.offset_mm[DIRECTIONS.index(direction), self.cogs.index(cog)])


@dataclass(frozen=True, slots=True, kw_only=True)
class BestIndex:
    """Where one turn of the barrel would put all cogs."""

    move_mm: float
    """Move the pulley so far, + = inboard."""
    left_mm: float
    """Largest offset that then remains, on any cog in either direction."""


def best_index(offset_mm: ArrayLike, cogs: Sequence[bool] | None = None) -> BestIndex:
    """The move that makes the largest offset smallest: the middle of the extremes, negated.

    `cogs` marks the cogs to count, all when None; those held by a stop do not move with the barrel.
    """
    offsets = within("offset_mm", offset_mm, -500, 500)
    counted = offsets if cogs is None else offsets[..., np.asarray(cogs, bool)]
    least, most = float(counted.min()), float(counted.max())
    return BestIndex(move_mm=-(least + most) / 2, left_mm=(most - least) / 2)
