"""Where on the gear map a fault shows: weights from 0 to 1 for each ring and cog."""

from collections.abc import Callable
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from tunekit.bike import Bike
from tunekit.mechanics.chainline import cog_lines_mm, ring_lines_mm

Floats = NDArray[np.floating[Any]]


class Place(NamedTuple):
    """A gear (None = everywhere) and the moment of listening."""

    ring: int | None
    cog: int | None
    moment: str


def _ramp(value: Floats, low: float, high: float) -> Floats:
    return np.asarray(np.clip((value - low) / (high - low), 0.0, 1.0))


def _crossing(bike: Bike) -> Floats:
    """How crossed each gear is, 0 to 1 (the worst); shape (rings, cogs)."""
    rear, crank = bike.cassette, bike.crank
    cogs = cog_lines_mm(
        bike.frame.hub_spacing_mm, rear.locknut_gap_mm, rear.cog_mm, rear.pitch_mm, len(bike.cogs)
    )
    rings = ring_lines_mm(crank.chainline_mm, crank.ring_gap_mm, len(bike.rings))
    aside = np.abs(rings[:, None] - cogs[None, :])
    # A chainline that is off as a whole is not crossing: judge each gear against the spread that the gears must have.
    spread = max((np.ptp(rings) + np.ptp(cogs)) / 2, 1.0)
    return np.clip(aside / spread, 0.0, 1.0)


def _take_up(bike: Bike) -> Floats:
    """Teeth in use, 0 (small/small) to 1 (big/big); shape (rings, cogs)."""
    teeth = np.add.outer(np.array(bike.rings, float), np.array(bike.cogs, float))
    return np.asarray((teeth - teeth.min()) / max(float(np.ptp(teeth)), 1.0))


_WHERE: dict[str, Callable[[Floats, Floats, Floats], Floats]] = {
    # each takes: cog place 0 (smallest) to 1 (largest), how crossed, teeth in use; all of shape (rings, cogs)
    "all": lambda cog, cross, teeth: np.ones_like(cog),
    "small_cogs": lambda cog, cross, teeth: 1 - _ramp(cog, 0.1, 0.6),
    "large_cogs": lambda cog, cross, teeth: _ramp(cog, 0.4, 0.9),
    "middle": lambda cog, cross, teeth: 1 - _ramp(np.abs(cog - 0.5), 0.2, 0.45),
    "smallest": lambda cog, cross, teeth: (cog == 0).astype(float),
    "largest": lambda cog, cross, teeth: (cog == 1).astype(float),
    "crossed": lambda cog, cross, teeth: _ramp(cross, 0.72, 0.95),
    "near_crossed": lambda cog, cross, teeth: _ramp(cross, 0.5, 0.75),
    "slack_gears": lambda cog, cross, teeth: 1 - _ramp(teeth, 0.08, 0.45),
    "big_big": lambda cog, cross, teeth: _ramp(teeth, 0.6, 0.95),
}


@lru_cache(maxsize=64)
def gear_map(bike: Bike) -> "Places":
    """The gear map of a bike, made once."""
    return Places(bike)


class Places:
    """The gear map of one bike."""

    def __init__(self, bike: Bike) -> None:
        self.bike = bike
        self.cogs, self.rings = len(bike.cogs), len(bike.rings)
        self._shares: dict[Place, Floats] = {}
        place = np.linspace(0, 1, self.cogs) if self.cogs > 1 else np.zeros(1)
        self.cog_place = np.broadcast_to(place, (self.rings, self.cogs))
        rings = np.linspace(0, 1, self.rings) if self.rings > 1 else np.ones(1)
        self.ring_place = np.broadcast_to(rings[:, None], (self.rings, self.cogs))
        crossing, teeth = _crossing(bike), _take_up(bike)
        self.maps = {name: rule(self.cog_place, crossing, teeth) for name, rule in _WHERE.items()}

    def rows(self, place: Place) -> list[int]:
        """Rings that a place speaks of; for a ring shift, rings that one can land on."""
        every = list(range(self.rings))
        if place.ring is not None:
            return [self.bike.rings.index(place.ring)]
        if place.moment == "to_larger_ring":
            return every[1:] or every
        if place.moment == "to_smaller_ring":
            return every[:-1] or every
        return every

    def columns(self, place: Place) -> list[int]:
        """Cogs that a place speaks of; for a cog shift, cogs that one can land on."""
        every = list(range(self.cogs))
        if place.cog is not None:
            return [self.bike.cogs.index(place.cog)]
        if place.moment == "to_larger_cog":
            return every[1:] or every
        if place.moment == "to_smaller_cog":
            return every[:-1] or every
        return every

    def shares(self, place: Place) -> Floats:
        """Which gears a place speaks of, as weights that add up to 1; shape (rings * cogs,)."""
        if place not in self._shares:
            weights = np.zeros((self.rings, self.cogs))
            weights[np.ix_(self.rows(place), self.columns(place))] = 1
            self._shares[place] = (weights / weights.sum()).ravel()
        return self._shares[place]
