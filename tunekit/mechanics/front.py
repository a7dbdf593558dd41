"""The front cage seen from above: where the chain passes in every gear, which gears rub, and the best stops.

Sideways distances are from the frame's centre plane, larger = outboard, as in `chainline.py`. The chain
leaves the top of the ring on the ring's line and reaches the cog's line at the end of the top run, so it
slants through the cage; both ends of the plates are looked at. Typical plates: data/front.toml.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tunekit.data import table
from tunekit.mechanics.bounds import Floats, within


def typical(name: str) -> float:
    """A value of `data/front.toml`."""
    return float(table("front")[name]["value"])


@dataclass(frozen=True, slots=True, kw_only=True)
class Cage:
    """The plates. `angle_deg` + = tail outboard, turned about the middle of the plates."""

    width_mm: float
    angle_deg: float = 0.0
    front_mm: float = typical("plate_front_mm")
    """Front end of the plates, behind the top of the ring."""
    tail_mm: float = typical("plate_tail_mm")

    def __post_init__(self) -> None:
        within("cage_width_mm", self.width_mm, 4, 40, "mm")
        within("front_angle_deg", self.angle_deg, -20, 20, "deg")
        within("tail_mm less front_mm", self.tail_mm - self.front_mm, 5, 200, "mm")

    @property
    def ends_mm(self) -> Floats:
        """Front end and tail of the plates, behind the top of the ring; shape (2,)."""
        return np.array([self.front_mm, self.tail_mm])

    @property
    def skew_mm(self) -> Floats:
        """How far outboard of the plates' middle each end stands; shape (2,)."""
        half = (self.tail_mm - self.front_mm) / 2
        return np.array([-half, half]) * float(np.tan(np.radians(self.angle_deg)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearance:
    """Air between chain and plates, shape (rings, cogs) each; negative is how deep the chain rubs."""

    inner_mm: Floats
    outer_mm: Floats

    @property
    def rubs_inner(self) -> NDArray[np.bool_]:
        """Gears in which the chain touches the inner plate."""
        return self.inner_mm < 0

    @property
    def rubs_outer(self) -> NDArray[np.bool_]:
        """Gears in which the chain touches the outer plate."""
        return self.outer_mm < 0


def chain_lines_mm(
    ring_lines: ArrayLike, cog_lines: ArrayLike, run_mm: ArrayLike, behind_mm: ArrayLike
) -> Floats:
    """Chain's middle at each place behind the top of the ring [mm]; shape (rings, cogs, places).

    Parameters
    ----------
    ring_lines, cog_lines : distance from the centre plane [mm]; shapes (rings,), (cogs,)
    run_mm : length of the top run [mm]; a number or shape (rings, cogs)
    behind_mm : places [mm]; shape (places,)
    """
    ring = within("ring_lines", ring_lines, -500, 500, "mm")[:, None, None]
    cog = within("cog_lines", cog_lines, -500, 500, "mm")[None, :, None]
    run = np.broadcast_to(within("run_mm", run_mm, 50, 2000, "mm"), (len(ring), cog.shape[1]))[:, :, None]
    return np.asarray(ring + (cog - ring) * within("behind_mm", behind_mm, -200, 1000, "mm") / run, float)


def clearance(chain_mm: Floats, cage: Cage, position_mm: ArrayLike, chain_width_mm: float) -> Clearance:
    """Air to both plates in every gear, the tighter end of the plates.

    `chain_mm` is `chain_lines_mm` at `cage.ends_mm`; `position_mm` the cage's middle from the centre plane on
    each ring; shape (rings,).
    """
    middle = within("position_mm", position_mm, -500, 500, "mm")[:, None, None] + cage.skew_mm
    half = (cage.width_mm - float(within("chain_width_mm", chain_width_mm, 3, 12, "mm"))) / 2
    apart = chain_mm - middle
    return Clearance(inner_mm=(half + apart).min(axis=-1), outer_mm=(half - apart).min(axis=-1))


def set_by_gap_mm(chain_mm: Floats, cage: Cage, chain_width_mm: float, gap_mm: float, plate: str) -> float:
    """Cage's middle from the centre plane when a stop leaves `gap_mm` of air to one plate in one gear [mm].

    `chain_mm` is that gear's row of `chain_lines_mm`, shape (2,); `plate` is inner or outer.
    """
    half = (cage.width_mm - float(within("chain_width_mm", chain_width_mm, 3, 12, "mm"))) / 2
    straight = within("chain_mm", chain_mm, -500, 500, "mm") - cage.skew_mm
    gap = float(within("gap_mm", gap_mm, 0, 5, "mm"))
    return float(straight.min() + half - gap) if plate == "inner" else float(straight.max() - half + gap)


@dataclass(frozen=True, slots=True, kw_only=True)
class RingStop:
    """Where the cage should stand on one ring, from the frame's centre plane."""

    ring: int
    position_mm: float
    """Middle of the range below."""
    low_mm: float
    """The cage may stand from here..."""
    high_mm: float
    """...to here with the same gears clear."""
    clear: tuple[int, ...]
    """Cogs that run clear at `position_mm`."""
    trim_mm: float | None
    """A second position that clears more cogs, or None when none does."""
    trim_clear: tuple[int, ...]
    """Cogs clear only at `trim_mm`."""
    rubs: tuple[int, ...]
    """Cogs that rub at both."""
    too_slanted: tuple[int, ...]
    """Those of them that no position clears: the cage is too narrow for the chain's slant."""


def _ranges_mm(chain_mm: Floats, cage: Cage, chain_width_mm: float, clear_mm: float) -> tuple[Floats, Floats]:
    """Least and greatest cage position that clears each gear, (rings, cogs); least > greatest if none."""
    half = (cage.width_mm - chain_width_mm) / 2 - clear_mm
    straight = chain_mm - cage.skew_mm
    return straight.max(axis=-1) - half, straight.min(axis=-1) + half


def _choice(low: Floats, high: Floats, wanted: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Largest set of the wanted gears that one position clears; of equal sets the one with most room."""
    best, best_key = np.zeros(len(low), bool), (0, -np.inf)
    for place in low[wanted & (low <= high)]:
        inside = wanted & (low <= place + 1e-9) & (place <= high + 1e-9)
        key = (int(inside.sum()), float(high[inside].min() - low[inside].max()))
        if key > best_key:
            best, best_key = inside, key
    return best


def _middle(low: Floats, high: Floats, inside: NDArray[np.bool_]) -> tuple[float, float, float]:
    least, most = float(low[inside].max()), float(high[inside].min())
    return (least + most) / 2, least, most


def best_stops(
    rings: Sequence[int],
    cogs: Sequence[int],
    chain_mm: Floats,
    cage: Cage,
    chain_width_mm: float,
    clear_mm: float | None = None,
) -> tuple[RingStop, ...]:
    """Where the cage should stand on each ring so that most gears run clear, with at most one trim position.

    `clear_mm` is the air to be left [mm], 0.5 when None. See `stop_screws_mm` for the two screws.
    """
    air = typical("clear_mm") if clear_mm is None else float(within("clear_mm", clear_mm, 0, 5, "mm"))
    low, high = _ranges_mm(chain_mm, cage, chain_width_mm, air)
    return tuple(_stop(ring, cogs, low[r], high[r], chain_mm[r]) for r, ring in enumerate(rings))


def stop_screws_mm(stops: Sequence[RingStop]) -> tuple[float, float]:
    """Innermost and outermost place that the two stop screws must let the cage reach [mm]."""
    places = [place for stop in stops for place in (stop.position_mm, stop.trim_mm) if place is not None]
    return min(places), max(places)


def _stop(ring: int, cogs: Sequence[int], low: Floats, high: Floats, chain_mm: Floats) -> RingStop:
    def named(gears: NDArray[np.bool_]) -> tuple[int, ...]:
        return tuple(cog for cog, yes in zip(cogs, gears, strict=True) if yes)

    first = _choice(low, high, np.ones(len(low), bool))
    second = _choice(low, high, ~first)
    if first.any():
        position, least, most = _middle(low, high, first)
    else:
        position = least = most = float(chain_mm.mean())
    return RingStop(
        ring=ring,
        position_mm=position,
        low_mm=least,
        high_mm=most,
        clear=named(first),
        trim_mm=_middle(low, high, second)[0] if second.any() else None,
        trim_clear=named(second),
        rubs=named(~(first | second)),
        too_slanted=named(low > high),
    )
