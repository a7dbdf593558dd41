"""What amounts that act alone say at a place: the pulley gap, the stops' loose side, the front cage."""

from collections.abc import Iterator
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tunekit.data import table
from tunekit.diagnosis import forward, hearing
from tunekit.diagnosis.places import Place
from tunekit.diagnosis.settings import FRONT_AXES
from tunekit.diagnosis.states import States

Floats = NDArray[np.floating[Any]]
Ints = NDArray[np.intp]
SINGLE = np.float32

MOMENTS = (
    "to_larger_cog",
    "to_smaller_cog",
    "to_larger_ring",
    "to_smaller_ring",
    "pedalling",
    "pedalling_hard",
    "backpedalling",
    "coasting",
    "over_bumps",
)
Heard = tuple[Ints, forward.Rates]
"""Rates at the places of these numbers, each of shape (rows, places)."""


class Axes:
    """Settings of one-amount axes, asked at a list of places, each in its stage."""

    def __init__(self, states: States, asked: list[Place], stages: Ints) -> None:
        self.states, self.places, self.asked, self.stages = states, states.places, asked, stages

    @cached_property
    def gears(self) -> Floats:
        """Which gears each place speaks of, as weights that add up to 1; shape (places, rings x cogs)."""
        return np.array([self.places.shares(place) for place in self.asked], SINGLE)

    @cached_property
    def moments(self) -> NDArray[np.bool_]:
        """Shape (moments, places)."""
        at = np.array([MOMENTS.index(place.moment) for place in self.asked])
        return np.asarray(np.arange(len(MOMENTS))[:, None] == at)

    def rates(self) -> Iterator[tuple[Ints, dict[int, Floats]]]:
        """Settings, and the rate of each true word (by number) by each at each place; shape (settings, places).

        Setting 0 is the sound bike; the others are differences from it.
        """
        axes = (
            (self._gap_rates, self._gap_amounts()),
            (self._stop_rates, self.states.seen_stops_mm),
            (self._front_rates, self.states.front),
        )
        for speak, amounts in axes:
            off = (amounts != 0).reshape(len(amounts), -1).any(axis=1)
            rows = np.concatenate([[0], np.flatnonzero(off)])
            found: dict[int, Floats] = {}
            for columns, rates in speak(amounts[rows].astype(SINGLE)):
                for word, rate in rates.items():
                    number = hearing.word_index(word)
                    if number not in found:
                        found[number] = np.zeros((len(rows), len(self.asked)), SINGLE)
                    found[number][:, columns] += rate
            for rate in found.values():
                rate[1:] -= rate[:1]
            if found:
                yield rows, found

    def _mean(self, gear_map: Floats) -> Floats:
        """Mean of a (rings, cogs) map over the gears that each place speaks of; shape (places,)."""
        return np.asarray(self.gears @ np.asarray(gear_map, SINGLE).ravel())

    def _turned(self, axis: str) -> Floats:
        """How far a hand had moved that axis by the time of each place; shape (places,)."""
        return self.states.turned[axis][self.stages].astype(SINGLE)

    def _at(self, *moments: str) -> Ints:
        """The places at these moments."""
        return np.flatnonzero(self.moments[[MOMENTS.index(moment) for moment in moments]].any(axis=0))

    def _gap_amounts(self) -> Floats:
        """The gap, and the share of it that is borne; shape (settings, stages, 2)."""
        gap = self.states.gap_mm
        return np.stack([gap, np.broadcast_to(self.states.gap_borne[:, None], gap.shape)], axis=2)

    def _gap_rates(self, amounts: Floats) -> Iterator[Heard]:
        """Rates for gaps that are off by these amounts."""
        model = table("model")["gap"]
        over = amounts[:, self.stages, 0] + self._turned("gap")
        over *= 1 - np.clip(amounts[:, self.stages, 1] * np.sign(over), 0, None)
        steps = model["per_cog_mm"] * (1 - self._mean(self.places.cog_place)) * (self.places.cogs - 1)
        # "Everywhere" is said of a rumble that is heard on the large cogs, so the gap there counts more.
        steps = np.where([place.cog is None for place in self.asked], 0.4 * steps, steps)
        gap = model["usual_mm"] + over + steps
        small = self._mean(self.places.maps["small_cogs"])
        in_gear = self._at("pedalling", "pedalling_hard", "backpedalling")
        yield in_gear, forward.close_pulley(gap[:, in_gear])
        climbing = self._at("to_larger_cog")
        yield climbing, forward.crowded_shift(gap[:, climbing])
        shifting = self._at("to_larger_cog", "to_smaller_cog")
        # Near the large cogs the pulley is still close enough when it is too far from the small ones.
        felt = model["felt_at_large"] + (1 - model["felt_at_large"]) * small[shifting]
        yield shifting, forward.distant_pulley(over[:, shifting] * felt)
        skipping = self._at("pedalling", "pedalling_hard")
        skipping = skipping[small[skipping] > 0]
        yield skipping, _times(small[skipping], forward.distant_skip(over[:, skipping]))

    def _stop_rates(self, amounts: Floats) -> Iterator[Heard]:
        """Rates for stops that are off by these amounts."""
        ends = (("high_limit", "smallest", "to_smaller_cog"), ("low_limit", "largest", "to_larger_cog"))
        for end, (axis, place, moment) in enumerate(ends):
            here, inboard = self._mean(self.places.maps[place]), end == 1
            turned = self._turned(axis)
            stop = amounts[:, self.stages, end] + self.states.sound_stops_mm[end] + turned
            at = self._at(moment)
            at = at[here[at] > 0]
            yield at, _times(here[at], forward.beyond_stop(stop[:, at], inboard))
            yield at, _times(here[at], forward.held_by_stop(stop[:, at], inboard))
            if inboard:
                at = self._at("pedalling", "pedalling_hard", "over_bumps")
                at = at[here[at] > 0]
                yield at, _times(here[at], forward.near_spokes(stop[:, at]))

    def _front_rates(self, amounts: Floats) -> Iterator[Heard]:
        """Rates for a front cage that is off by these amounts."""
        if self.states.bike.front is None:
            return
        for moment, *alike in (("to_larger_ring",), ("to_smaller_ring",), ("pedalling", "pedalling_hard")):
            at = self._at(moment, *alike)
            if len(at):
                now: dict[str, Floats] = {
                    axis: amounts[:, place, None] + self._turned(f"front_{axis}")[at]
                    for place, axis in enumerate(FRONT_AXES)
                }
                yield from ((at, part) for part in self._front_parts(now, moment, at))

    def _front_parts(self, now: dict[str, Floats], moment: str, columns: Ints) -> list[forward.Rates]:
        ring = self._mean(self.places.ring_place)[columns]
        large = self._mean(self.places.cog_place)[columns]
        parts = [
            forward.cage_height(now["height"], ring, moment),
            forward.cage_angle(now["angle"], large, moment),
        ]
        if moment == "to_larger_ring":
            beyond = now["outer"] + 0.3 * np.clip(now["index"], 0, None)
            parts += [
                forward.cage_short(-now["outer"], 0.35),
                forward.cage_short(-now["index"], 0.02),
                forward.cage_beyond(beyond, "fell_outside"),
            ]
        elif moment == "to_smaller_ring":
            late = forward.cage_short(now["index"] - 0.4, 0.0)
            parts += [
                forward.cage_short(-now["inner"], 0.0),
                late,
                forward.cage_beyond(now["inner"], "fell_inside"),
            ]
        else:
            parts += self._rubs(now, columns)
        return parts

    def _rubs(self, now: dict[str, Floats], columns: Ints) -> list[forward.Rates]:
        """Rub in a gear: the stops act on the end rings, the cable on every ring it holds."""
        last = self.places.rings - 1
        large = self._mean(self.places.cog_place)[columns]
        shares = self.gears[columns].reshape(len(columns), self.places.rings, -1).sum(axis=2)
        parts: list[forward.Rates] = []
        held = table("model")["front"]["seen_of_loose"]
        for ring in range(self.places.rings):
            if ring == 0:
                tight, loose = -np.minimum(now["inner"], 0), np.clip(now["inner"], 0, None)
                outward = tight - held * loose + 0.6 * np.clip(now["index"], 0, None)
            elif ring == last:
                tight, loose = np.minimum(now["outer"], 0), np.clip(now["outer"], 0, None)
                outward = tight + held * loose + 0.7 * np.clip(now["index"], None, 0)
            else:
                outward = now["index"]
            rates = forward.cage_rubs(outward, large)
            if ring == last:
                rates |= forward.cage_hits_crank(now["outer"])
            parts.append({word: rate * shares[:, ring] for word, rate in rates.items()})
        return parts


def _times(share: Floats, rates: forward.Rates) -> forward.Rates:
    return {word: share * rate for word, rate in rates.items()}
