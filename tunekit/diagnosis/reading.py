"""Words by setting: the rate with which each setting brings forth each word of interest.

Rates of settings add up; only the pulley's offset, which several settings share, is looked up per hypothesis.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tunekit.data import table
from tunekit.diagnosis import forward, hearing
from tunekit.diagnosis.places import Place, Places
from tunekit.diagnosis.states import BUTTONS, FRONT_AXES, States

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

REACH_MM, CELL_MM = 6.0, 0.04
GRID = np.arange(-REACH_MM, REACH_MM + CELL_MM / 2, CELL_MM)
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
# How much of the pulley's being off centre is heard: load brings it out, turning backwards and rolling hide it.
REST_SHARE = {
    "pedalling": 1.0,
    "pedalling_hard": 1.15,
    "backpedalling": 0.5,
    "coasting": 0.0,
    "over_bumps": 0.3,
}
LARGER, SMALLER = 0, 1
Kind = tuple[str, int, bool]
"""A curve of rates over the offset: shift or rest, direction, and whether the cog is the last that way."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A question about the bike: this word, at this place, in this stage."""

    stage: int
    place: Place
    what: str
    side: str | None = None
    per: str | None = None


def _rates_matrix(rates: forward.Rates, shape: tuple[int, ...]) -> Floats:
    """Rates by true word, stacked; shape (true words, *shape)."""
    out = np.zeros((len(hearing.true_words()), *shape))
    for word, value in rates.items():
        out[hearing.word_index(word)] = value
    return out


class Reading:
    """The rates with which every setting brings forth the words at a list of spots.

    `total[a, k]` is the rate of any trouble that setting a adds at spot k, `named[a, k]` the part written down as the
    spot's word. The pulley's offset comes on top, per hypothesis.
    """

    def __init__(self, states: States, places: Places, spots: list[Spot]) -> None:
        self.states, self.places, self.spots = states, places, spots
        self.stage = np.array([s.stage for s in spots], dtype=np.intp)
        self.as_word = np.zeros((len(spots), len(hearing.true_words())))
        for row, spot in zip(self.as_word, spots, strict=True):
            row[:] = hearing.reported_as(spot.what, spot.side, spot.per)
        self.clean = np.array([s.what == "clean" for s in spots], dtype=bool)
        self.mistaken = np.array([hearing.mistaken(s.what, s.place.moment) for s in spots])
        shape = (len(states), len(spots))
        self.total, self.named = np.zeros(shape), np.zeros(shape)
        self.points = 0
        self._curves: dict[int, tuple[Floats, Floats]] = {}
        if spots:
            self._add_tabled()
            self.total *= states.active[:, self.stage]
            self.named *= states.active[:, self.stage]
            self._add_axes()
            self._plan_offsets()
        self.total, self.named = self.total.astype(np.float32), self.named.astype(np.float32)
        self.speaks = (self.total != 0).any(axis=1)

    # --- causes of the table ----------------------------------------------------------------------

    @cached_property
    def _gears(self) -> Floats:
        """Which gears each spot speaks of, as weights that add up to 1; shape (spots, rings x cogs)."""
        weights = np.zeros((len(self.spots), self.places.rings, self.places.cogs))
        for row, spot in zip(weights, self.spots, strict=True):
            part = row[self.places.rows(spot.place)]
            part[:, self.places.columns(spot.place)] = 1
            row[self.places.rows(spot.place)] = part
        flat = weights.reshape(len(self.spots), -1)
        return np.asarray(flat / flat.sum(axis=1, keepdims=True))

    @cached_property
    def _moments(self) -> NDArray[np.bool_]:
        """Shape (moments, spots)."""
        return np.array([[s.place.moment == moment for s in self.spots] for moment in MOMENTS])

    def _add_tabled(self) -> None:
        rows, maps, moments, words = self._rows()
        if not rows:
            return
        where = np.array(maps) @ self._gears.T * (np.array(moments) @ self._moments.astype(float))
        factor = np.array([self.states.settings[row].factor for row in rows])
        rates = hearing.hazard(np.array(words)) * factor[:, None]
        np.add.at(self.total, rows, where * rates.sum(axis=1)[:, None])
        np.add.at(self.named, rows, where * (rates @ self.as_word.T))

    def _rows(self) -> tuple[list[int], list[Floats], list[Floats], list[Floats]]:
        """One row for every setting and line of its cause's `says`: setting, gear map, moments, word chances."""
        causes = table("causes")
        rows, maps, moments, words = [], [], [], []
        for number, setting in enumerate(self.states.settings):
            for line in causes.get(setting.cause, {}).get("says", ()):
                rows.append(number)
                maps.append(self._where(line.get("where", "all"), setting.cog))
                named = (
                    BUTTONS[setting.button]
                    if line["at"] == ["this"] and setting.button is not None
                    else line["at"]
                )
                moments.append(np.array([moment in named for moment in MOMENTS], float))
                words.append(_word_row(tuple(line["words"].items())))
        return rows, maps, moments, words

    def _where(self, where: str, cog: int | None) -> Floats:
        if where == "this" and cog is not None:
            here = np.zeros((self.places.rings, self.places.cogs))
            here[:, cog] = 1
            return here.ravel()
        return self.places.maps[where].ravel()

    # --- amounts that act alone: gap, stops' loose side, front cage -------------------------------

    def _add_axes(self) -> None:
        """Settings of one-amount axes, as differences from the sound bike (which is setting 0)."""
        axes = (
            (self._gap_rates, self.states.gap_mm[:, None]),
            (self._stop_rates, self.states.stops_mm),
            (self._front_rates, self.states.front),
        )
        for speak, amounts in axes:
            sound = speak(np.zeros((1, amounts.shape[1])))
            self._put(np.array([0]), sound)
            rows = np.flatnonzero(np.any(amounts != 0, axis=1))
            if len(rows):
                self._put(rows, speak(amounts[rows]) - sound)

    def _put(self, rows: Ints, rates: Floats) -> None:
        """Add rates of shape (true words, rows, spots)."""
        self.total[rows] += rates.sum(axis=0)
        self.named[rows] += np.einsum("wrk,kw->rk", rates, self.as_word)

    def _mean(self, gear_map: Floats) -> Floats:
        """Mean of a (rings, cogs) map over the gears that each spot speaks of; shape (spots,)."""
        return np.asarray(self._gears @ np.asarray(gear_map, float).ravel())

    def _at(self, *moments: str) -> Floats:
        """1 for the spots at these moments; shape (spots,)."""
        return np.asarray(sum(self._moments[MOMENTS.index(moment)].astype(float) for moment in moments))

    def _gap_rates(self, amounts: Floats) -> Floats:
        """Rates for gaps that are off by these amounts; shape (true words, rows, spots)."""
        over = amounts[:, :1] + self.states.turned["gap"][self.stage]
        steps = (
            table("model")["gap"]["per_cog_mm"]
            * (1 - self._mean(self.places.cog_place))
            * (self.places.cogs - 1)
        )
        # "Everywhere" is said of a rumble that is heard on the large cogs, so the gap there counts more.
        steps = np.where([s.place.cog is None for s in self.spots], 0.4 * steps, steps)
        gap = table("model")["gap"]["usual_mm"] + over + steps
        small = self._mean(self.places.maps["small_cogs"])
        in_gear = self._at("pedalling", "pedalling_hard", "backpedalling")
        rates = _rates_matrix(forward.close_pulley(gap), over.shape) * in_gear
        shifting = self._at("to_larger_cog", "to_smaller_cog") * (0.55 + 0.45 * small)
        rates += _rates_matrix(forward.distant_pulley(over), over.shape) * shifting
        skipping = self._at("pedalling", "pedalling_hard") * small
        rates += _rates_matrix(forward.distant_skip(over), over.shape) * skipping
        return rates

    def _stop_rates(self, amounts: Floats) -> Floats:
        """Rates for stops that are off by these amounts; shape (true words, rows, spots)."""
        rates = np.zeros((len(hearing.true_words()), len(amounts), len(self.spots)))
        ends = (("high", "smallest", "to_smaller_cog"), ("low", "largest", "to_larger_cog"))
        for end, (axis, place, moment) in enumerate(ends):
            here, inboard = self._mean(self.places.maps[place]), end == 1
            stop = (
                amounts[:, end : end + 1]
                + self.states.sound_stops_mm[end]
                + self.states.turned[axis][self.stage]
            )
            shifting = here * self._at(moment)
            rates += _rates_matrix(forward.beyond_stop(stop, inboard), stop.shape) * shifting
            rates += _rates_matrix(forward.held_by_stop(stop, inboard), stop.shape) * shifting
            if inboard:
                in_gear = here * self._at("pedalling", "pedalling_hard", "over_bumps")
                rates += _rates_matrix(forward.near_spokes(stop), stop.shape) * in_gear
        return rates

    def _front_rates(self, amounts: Floats) -> Floats:
        """Rates for a front cage that is off by these amounts; shape (true words, rows, spots)."""
        rates = np.zeros((len(hearing.true_words()), len(amounts), len(self.spots)))
        if self.states.bike.front is None:
            return rates
        for moment in ("to_larger_ring", "to_smaller_ring", "pedalling", "pedalling_hard"):
            columns = np.flatnonzero(self._moments[MOMENTS.index(moment)])
            if len(columns):
                now = {
                    axis: amounts[:, place, None] + self.states.turned[f"front_{axis}"][self.stage[columns]]
                    for place, axis in enumerate(FRONT_AXES)
                }
                for part in self._front_parts(now, moment, columns):
                    for word, value in part.items():
                        rates[hearing.word_index(word)][:, columns] += value
        return rates

    def _front_parts(self, now: dict[str, Floats], moment: str, columns: Ints) -> list[forward.Rates]:
        ring = self._mean(self.places.ring_place)[columns]
        crossed = self._mean(self.places.maps["crossed"])[columns]
        parts = [
            forward.cage_height(now["height"], ring, moment),
            forward.cage_angle(now["angle"], crossed, moment),
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
        shares = self._gears[columns].reshape(len(columns), self.places.rings, -1).sum(axis=2)
        parts: list[forward.Rates] = []
        for ring in range(self.places.rings):
            if ring == 0:
                tight, loose = -np.minimum(now["inner"], 0), np.clip(now["inner"], 0, None)
                outward = tight - 0.5 * loose + 0.6 * np.clip(now["index"], 0, None)
            elif ring == last:
                tight, loose = np.minimum(now["outer"], 0), np.clip(now["outer"], 0, None)
                outward = tight + 0.5 * loose + 0.7 * np.clip(now["index"], None, 0)
            else:
                outward = now["index"]
            rates = forward.cage_rubs(outward, large)
            if ring == last:
                rates |= forward.cage_hits_crank(now["outer"])
            parts.append({word: rate * shares[:, ring] for word, rate in rates.items()})
        return parts

    # --- the pulley's offset ----------------------------------------------------------------------

    def _plan_offsets(self) -> None:
        """List the points (stage, direction, cog, curve) at which a hypothesis' offset must be looked up, by spot."""
        self._words = list(dict.fromkeys((s.what, s.side, s.per) for s in self.spots))
        self._curve_keys: dict[tuple[int, Kind, int], int] = {}
        places: list[int] = []
        curves, weights, starts, columns = [], [], [], []
        for number, spot in enumerate(self.spots):
            word = self._words.index((spot.what, spot.side, spot.per))
            parts = self._offsets_of(spot.place)
            if parts:
                starts.append(len(places))
                columns.append(number)
            for direction, cog, moment, weight in parts:
                key = (spot.stage, (moment, direction, self._is_last(moment, direction, cog)), word)
                places.append((spot.stage * 2 + direction) * self.places.cogs + cog)
                curves.append(self._curve_keys.setdefault(key, len(self._curve_keys)) * len(GRID))
                weights.append(weight)
        self.points = len(places)
        self.starts, self.columns = np.array(starts, dtype=np.intp), np.array(columns, dtype=np.intp)
        self.point_offset, self.point_curve = np.array(places, dtype=np.intp), np.array(curves, dtype=np.intp)
        self.point_weight = np.array(weights, dtype=np.float32)

    def _is_last(self, kind: str, direction: int, cog: int) -> bool:
        """Whether a shift lands on the end cog, beyond which there is nothing to shift to."""
        return kind == "shift" and cog == (self.places.cogs - 1 if direction == LARGER else 0)

    def _offsets_of(self, place: Place) -> list[tuple[int, int, str, float]]:
        """(direction, cog, kind, weight) that a place's words depend on."""
        cogs = self.places.columns(place)
        share = 1 / len(cogs)
        if place.moment in ("to_larger_cog", "to_smaller_cog"):
            direction = LARGER if place.moment == "to_larger_cog" else SMALLER
            return [(direction, cog, "shift", share) for cog in cogs]
        rest = REST_SHARE.get(place.moment, 0.0)
        if not rest:
            return []
        return [(way, cog, "rest", share * rest / 2) for cog in cogs for way in (LARGER, SMALLER)]

    def curves(self, level: int, window: forward.Window, blur_mm: Floats) -> tuple[Floats, Floats]:
        """Total and named rate over GRID of every curve, blurred by what the hand's turns since left unknown.

        Flat arrays of shape (curves * grid,); worked out once for each level of the quiet window.
        """
        if level not in self._curves:
            self._curves[level] = self._make_curves(window, blur_mm)
        return self._curves[level]

    def _make_curves(self, window: forward.Window, blur_mm: Floats) -> tuple[Floats, Floats]:
        as_word = np.array([hearing.reported_as(*word) for word in self._words])
        sharp = {kind: self._sharp_curves(kind, window, as_word) for _, kind, _ in self._curve_keys}
        blurred: dict[tuple[Kind, float], Floats] = {}
        out = np.empty((2, len(self._curve_keys), len(GRID)), np.float32)
        for (stage, kind, word), number in self._curve_keys.items():
            blur = float(blur_mm[stage])
            if (kind, blur) not in blurred:
                blurred[kind, blur] = _blurred(sharp[kind], blur)
            out[0, number], out[1, number] = blurred[kind, blur][-1], blurred[kind, blur][word]
        return out[0].ravel(), out[1].ravel()

    def _sharp_curves(self, kind: Kind, window: forward.Window, as_word: Floats) -> Floats:
        """Named rate of each word of interest, then the total, over GRID; shape (words + 1, grid)."""
        moment, direction, last = kind
        rates = (
            forward.off_centre(GRID, window)
            if moment == "rest"
            else forward.shift_rates(GRID, window, direction == LARGER)
        )
        if last:
            rates = {word: value for word, value in rates.items() if word != "too_far"}
        matrix = _rates_matrix(rates, GRID.shape)
        return np.vstack([as_word @ matrix, matrix.sum(axis=0)])


_SIGMAS = np.array([-1.6, -0.8, 0.0, 0.8, 1.6])
_SIGMA_WEIGHTS = np.exp(-0.5 * _SIGMAS**2) / np.exp(-0.5 * _SIGMAS**2).sum()


def _blurred(curves: Floats, spread_mm: float) -> Floats:
    """Curves over GRID averaged over a bell of that spread, by five points of it."""
    cells = np.round(_SIGMAS * spread_mm / CELL_MM).astype(int)
    if not cells.any():
        return curves
    columns = np.clip(np.arange(len(GRID)) + cells[:, None], 0, len(GRID) - 1)
    return np.asarray(np.einsum("s,wsg->wg", _SIGMA_WEIGHTS, curves[:, columns]))


def _word_row(words: tuple[tuple[str, float], ...]) -> Floats:
    row = np.zeros(len(hearing.true_words()))
    for word, chance in words:
        row[hearing.word_index(word)] = chance
    return row
