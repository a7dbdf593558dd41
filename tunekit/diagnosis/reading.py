"""Words by setting: the rate with which each setting brings forth each word of interest.

Rates of settings add up; only the pulley's offset, which several settings share, is looked up per hypothesis.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache
from math import prod
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from tunekit.data import table
from tunekit.diagnosis import forward, hearing
from tunekit.diagnosis.axes import MOMENTS, Axes
from tunekit.diagnosis.places import Place, Places
from tunekit.diagnosis.settings import BUTTONS
from tunekit.diagnosis.states import States

Floats = NDArray[np.floating[Any]]
Ints = NDArray[np.intp]
SINGLE = np.float32

REACH_MM, CELL_MM = 6.0, 0.04
GRID = np.arange(-REACH_MM, REACH_MM + CELL_MM / 2, CELL_MM)
# How much of the pulley's being off centre is heard: load brings it out, turning backwards and rolling hide it.
REST_SHARE = {
    "pedalling": 1.0,
    "pedalling_hard": 1.15,
    "backpedalling": 0.5,
    "coasting": 0.0,
    "over_bumps": 0.3,
}
RATES = (1e-7, 60.0)
"""Rates between which a chance is told from none and from certainty."""
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
    alike: tuple[str, ...] = ()
    """Words that would be the same answer."""


@dataclass(frozen=True, slots=True)
class Lines:
    """What the table of causes says of each setting, a row for every line: where, at which moments, which words."""

    settings: Ints
    """The setting that each line belongs to, in ascending order; shape (lines,)."""
    where: Floats
    """Shape (lines, rings x cogs)."""
    moments: Floats
    """Shape (lines, moments)."""
    rates: Floats
    """Shape (lines, true words)."""

    @classmethod
    def of(cls, states: States) -> "Lines":
        """All lines of these settings."""
        made = [_lines(states.places, s.cause, s.cog, s.button) for s in states.settings]
        settings = np.repeat(np.arange(len(made)), [len(lines[0]) for lines in made])
        where, moments, rates = (np.concatenate(part) for part in zip(*made, strict=True))
        factor = np.array([s.factor for s in states.settings], SINGLE)
        return cls(settings, where, moments, rates * factor[settings, None])


@lru_cache(maxsize=4096)
def _lines(places: Places, cause: str, cog: int | None, button: int | None) -> tuple[Floats, Floats, Floats]:
    """Gear maps, moments and word rates of the lines that the table has for a cause; a row for each line."""
    said = _said_of(cause)
    where = np.zeros((len(said), places.rings * places.cogs), SINGLE)
    moments = np.zeros((len(said), len(MOMENTS)), SINGLE)
    rates = np.zeros((len(said), len(hearing.true_words())), SINGLE)
    for row, (at, place, chances) in enumerate(said):
        here = BUTTONS[button] if at == ("this",) and button is not None else at
        where[row], moments[row], rates[row] = (
            _where(places, place, cog),
            [m in here for m in MOMENTS],
            chances,
        )
    return where, moments, rates


@cache
def _said_of(cause: str) -> list[tuple[tuple[str, ...], str, Floats]]:
    """Moments, place on the gear map and word rates of each line that the table has for a cause."""
    out = []
    for line in table("causes").get(cause, {}).get("says", ()):
        words = np.zeros(len(hearing.true_words()))
        for word, chance in line["words"].items():
            words[hearing.word_index(word)] = chance
        out.append((tuple(line["at"]), line.get("where", "all"), hearing.hazard(words)))
    return out


def _where(places: Places, where: str, cog: int | None) -> Floats:
    if where == "this" and cog is not None:
        here = np.zeros((places.rings, places.cogs))
        here[:, cog] = 1
        return here.ravel()
    return places.maps[where].ravel()


class Offsets(NamedTuple):
    """The pulley's offsets under hypotheses, each different one once: most causes leave the pulley where it is."""

    mm: Floats
    """Inboard of each cog; shape (different ones, stages, 2, cogs)."""
    which: Ints
    """The place in `mm` of each hypothesis; shape (hypotheses,)."""
    quiet: Ints | None = None
    """Level of the quiet window of each different one, where every hypothesis has its own."""


class Scratch:
    """Arrays kept from one call to the next: to ask for fresh memory costs more than the sums done in it."""

    def __init__(self) -> None:
        self._kept: dict[str, NDArray[Any]] = {}

    def __call__(self, name: str, kind: type, *shape: int) -> NDArray[Any]:
        """The array of this name, in this shape, with whatever was left in it."""
        size = prod(shape)
        if name not in self._kept or self._kept[name].size < size:
            self._kept[name] = np.empty(size, kind)
        return self._kept[name][:size].reshape(shape)


class Reading:
    """The rates with which every setting brings forth the words at a list of spots.

    `total[a, k]` is the rate of any trouble that setting a adds at spot k, `named[a, k]` the part written down as the
    spot's word. The pulley's offset comes on top, per hypothesis.
    """

    def __init__(
        self, states: States, lines: Lines, spots: list[Spot], windows: list[forward.Window], blur_mm: Floats
    ) -> None:
        self.states, self.places, self.spots = states, states.places, spots
        self.windows, self.blur_mm = tuple(windows), blur_mm
        self._scratch = Scratch()
        self.stage = np.array([s.stage for s in spots], dtype=np.intp)
        self._words = list(dict.fromkeys((s.what, s.side, s.per, *s.alike) for s in spots))
        numbers = {word: number for number, word in enumerate(self._words)}
        self._word = [numbers[s.what, s.side, s.per, *s.alike] for s in spots]
        as_word = [_reported_as(*word) for word in self._words]
        self._as_word = np.array(as_word, SINGLE).reshape(len(as_word), len(hearing.true_words()))
        self.clean = np.array([s.what == "clean" for s in spots], dtype=bool)
        self.mistaken = np.array(
            [sum(hearing.mistaken(w, s.place.moment) for w in (s.what, *s.alike)) for s in spots], SINGLE
        )
        self.total, self.named = np.zeros((2, len(states), len(spots)), SINGLE)
        if spots:
            self._add_settings(lines)
            self._plan_offsets()

    def _add_settings(self, lines: Lines) -> None:
        """What each setting says by itself; asked once of a word at a place, however many stages it was heard in."""
        same = self.states.as_turned[self.stage].tolist()
        asked = [(stage, spot.place) for stage, spot in zip(same, self.spots, strict=True)]
        numbers = {key: number for number, key in enumerate(dict.fromkeys(asked))}
        column = np.array([numbers[key] for key in asked])
        stages, places = zip(*numbers, strict=True)
        spoken = Axes(self.states, list(places), np.array(stages))
        as_word = self._as_word[self._word]
        self._add_lines(lines, spoken, as_word, column)
        for rows, rates in spoken.rates():
            self.total[rows] += np.sum(list(rates.values()), axis=0)[:, column]
            self.named[rows] += sum(rate[:, column] * as_word[:, word] for word, rate in rates.items())

    def _add_lines(self, lines: Lines, asked: Axes, as_word: Floats, column: Ints) -> None:
        """What only the table describes; it is heard in the stages in which the setting is there."""
        where = lines.where @ asked.gears.T * (lines.moments @ asked.moments.astype(SINGLE))
        first = np.flatnonzero(np.diff(lines.settings, prepend=-1))
        rows = lines.settings[first]
        active = self.states.active[rows][:, self.stage].astype(SINGLE)
        total = np.add.reduceat(where * lines.rates.sum(axis=1)[:, None], first, axis=0)
        self.total[rows] = active * total[:, column]
        named = np.add.reduceat(where[:, column] * (lines.rates @ as_word.T), first, axis=0)
        self.named[rows] = active * named

    # --- the pulley's offset ----------------------------------------------------------------------

    def _plan_offsets(self) -> None:
        """List where each spot's curves are to be read: first its first curve, then its second, and so on.

        Spots are taken in `_order`: troubles before the clean ones, of which only the total is read, and those with
        most curves first, so that the spots that have one more curve always lie side by side.
        """
        self._curve_keys: dict[tuple[int, Kind, int, float], int] = {}
        places = {spot.place: self._offsets_of(spot.place) for spot in self.spots}
        curves = [
            self._curves_at(spot, word, places[spot.place])
            for spot, word in zip(self.spots, self._word, strict=True)
        ]
        depth = np.array([len(found) for found in curves])
        self._order = np.lexsort((-depth, self.clean))
        self._back = np.argsort(self._order)
        self._in_order = bool((self._order == np.arange(len(self.spots))).all())
        self._troubles = int((~self.clean).sum())
        self._layers = []
        for block in (self._order[: self._troubles], self._order[self._troubles :]):
            first = self._troubles if self.clean[block[:1]].any() else 0
            for layer in range(max(depth[block], default=0)):
                at = np.array([curves[n][layer] for n in block if depth[n] > layer], dtype=np.intp).T
                self._layers.append((slice(first, first + at.shape[1]), at[0], at[1]))

    def _curves_at(
        self, spot: Spot, word: int, offsets: list[tuple[int, Kind, float]]
    ) -> list[tuple[int, int]]:
        """The offset (stage, direction, cog) to read each of a spot's curves at, and where that curve begins."""
        found = []
        for cog, kind, weight in offsets:
            curve = self._curve_keys.setdefault((spot.stage, kind, word, weight), len(self._curve_keys))
            found.append(((spot.stage * 2 + kind[1]) * self.places.cogs + cog, curve * len(GRID)))
        return found

    def _offsets_of(self, place: Place) -> list[tuple[int, Kind, float]]:
        """Cog, curve and weight of each offset that a place's words depend on."""
        cogs = self.places.columns(place)
        share = 1 / len(cogs)
        if place.moment in ("to_larger_cog", "to_smaller_cog"):
            direction = LARGER if place.moment == "to_larger_cog" else SMALLER
            # A shift that lands on the end cog cannot go too far: beyond it there is none.
            last = self.places.cogs - 1 if direction == LARGER else 0
            return [(cog, ("shift", direction, cog == last), share) for cog in cogs]
        rest = REST_SHARE.get(place.moment, 0.0)
        if not rest:
            return []
        return [(cog, ("rest", way, False), share * rest / 2) for cog in cogs for way in (LARGER, SMALLER)]

    @cached_property
    def _curves(self) -> Floats:
        """Total and named rate over GRID of every curve, blurred by what the hand's turns since left unknown.

        Shape (2, levels of the quiet window, curves * grid).
        """
        keys = list(self._curve_keys)
        out = np.empty((2, len(self.windows), len(keys), len(GRID)), SINGLE)
        for stage, kind in dict.fromkeys(key[:2] for key in keys):
            rows = [n for n, key in enumerate(keys) if key[:2] == (stage, kind)]
            words, rates = _blurred_rates(kind, self.windows, _cells_of(float(self.blur_mm[stage])))
            out[0][:, rows] = rates.sum(axis=1)[:, None]
            out[1][:, rows] = self._as_word[[keys[n][2] for n in rows]][:, words] @ rates
        out *= np.array([key[3] for key in keys], SINGLE)[:, None]
        return np.asarray(out.reshape(2, len(self.windows), -1))

    def heard(self, sets: Ints, offsets: Offsets, levels: Iterable[int] | None = None) -> Iterator[Floats]:
        """Chance of each spot's word by an ear that does not err; shape (spots, hypotheses).

        Yields it for each of these levels of the quiet window, or once, each hypothesis at its own level. What is
        yielded holds until the next is asked for.
        """
        own = self._own(sets)
        at = ((offsets.mm.reshape(len(offsets.mm), -1).T + (REACH_MM + CELL_MM / 2)) / CELL_MM).astype(
            np.intp
        )
        np.clip(at, 0, len(GRID) - 1, out=at)
        if levels is None:
            levels = [0]
            at += (0 if offsets.quiet is None else offsets.quiet) * self._curves[0, 0].size
        layers = self._cells(at)
        for level in levels:
            curves = self._curves[:, level:].reshape(2, -1)
            chances = self._chances(own, self._read(layers, curves, at.shape[1]), offsets.which)
            yield chances if self._in_order else chances[self._back]

    def _cells(self, at: Ints) -> list[tuple[slice, Ints]]:
        """Where on its curve each different offset stands, layer by layer, from where it lies on the grid."""
        layers = []
        for number, (spots, offset, curve) in enumerate(self._layers):
            cells = self._scratch(f"cells {number}", np.intp, len(offset), at.shape[1])
            at.take(offset, axis=0, out=cells, mode="clip")
            cells += curve[:, None]
            layers.append((spots, cells))
        return layers

    def _read(self, layers: list[tuple[slice, Ints]], curves: Floats, different: int) -> Floats:
        """Rates of the different offsets in `_order`: total at all spots, then named at troubles.

        Shape (different offsets, spots + troubles).
        """
        both = self._scratch("read", SINGLE, len(self.spots) + self._troubles, different)
        both[:] = 0
        total, named = both[: len(self.spots)], both[len(self.spots) :]
        # Spots come first here so that a curve is read in one sweep.
        for spots, cells in layers:
            found = self._scratch("found", SINGLE, *cells.shape)
            for rates, along in zip((total, named), curves, strict=True):
                if spots.start < len(rates):
                    rates[spots] += along.take(cells, out=found, mode="clip")
        by_offset = self._scratch("read by offset", SINGLE, *both.shape[::-1])
        np.copyto(by_offset, both.T)
        return by_offset

    def _chances(self, own: Floats, read: Floats, which: Ints) -> Floats:
        """Chance of each spot's word in `_order`: from the rate of any trouble and, for troubles, of that word."""
        rates = read.take(which, axis=0, out=self._scratch("added", SINGLE, *own.shape), mode="clip")
        rates += own
        both = self._scratch("both", SINGLE, *own.shape[::-1])
        np.copyto(both, rates.T)
        total, named = both[: len(self.spots)], both[len(self.spots) :]
        np.clip(total, *RATES, out=total)
        np.maximum(named, 0, out=named)
        named /= total[: len(named)]
        np.negative(total, out=total)
        quiet: Floats = np.exp(total, out=total)
        troubled = quiet[: len(named)]
        np.subtract(1, troubled, out=troubled)
        troubled *= named
        return quiet

    def _own(self, sets: Ints) -> Floats:
        """Sums of the settings' own rates in `_order`: total at all spots, then named at troubles.

        Shape (hypotheses, spots + troubles). Setting 0, the sound bike, counts once.
        """
        rates = self._own_rates
        shape = (len(sets), rates.shape[1])
        out, added = self._scratch("own", SINGLE, *shape), self._scratch("added", SINGLE, *shape)
        out[:] = rates[0]
        for column in np.flatnonzero(sets.any(axis=0)):
            out += self._added_rates.take(sets[:, column], axis=0, out=added, mode="clip")
        return out

    @cached_property
    def _own_rates(self) -> Floats:
        """Each setting's own total rates and, for troubles, named rates in `_order`, side by side."""
        return np.hstack([self.total[:, self._order], self.named[:, self._order[: self._troubles]]])

    @cached_property
    def _added_rates(self) -> Floats:
        """The same, of what is added to a sound bike: setting 0 adds nothing."""
        added = self._own_rates.copy()
        added[0] = 0
        return added


@cache
def _reported_as(what: str, side: str | None, per: str | None, *alike: str) -> Floats:
    """Chance that each true word is written down as this one or one alike; shape (true words,)."""
    others = (hearing.reported_as(word, None, None) for word in alike)
    return np.asarray(hearing.reported_as(what, side, per) + sum(others))


@lru_cache(maxsize=64)
def _offset_rates(kind: Kind, windows: tuple[forward.Window, ...]) -> tuple[Ints, Floats]:
    """True words that an offset brings forth, and their rates over GRID on bikes of these windows.

    Shapes (words,) and (windows, words, grid).
    """
    moment, direction, last = kind
    found = [
        forward.off_centre(GRID, window)
        if moment == "rest"
        else forward.shift_rates(GRID, window, direction == LARGER)
        for window in windows
    ]
    words = [word for word in found[0] if not (last and word == "too_far")]
    rates = np.array([[rates[word] for word in words] for rates in found], SINGLE)
    return np.array([hearing.word_index(word) for word in words], dtype=np.intp), rates


_SIGMAS = np.array([-1.6, -0.8, 0.0, 0.8, 1.6])
_SIGMA_WEIGHTS = np.exp(-0.5 * _SIGMAS**2) / np.exp(-0.5 * _SIGMAS**2).sum()


def _cells_of(spread_mm: float) -> tuple[int, ...]:
    """Five points of a bell of that spread, in cells of GRID."""
    return tuple(np.round(_SIGMAS * spread_mm / CELL_MM).astype(int).tolist())


@lru_cache(maxsize=512)
def _blurred_rates(
    kind: Kind, windows: tuple[forward.Window, ...], cells: tuple[int, ...]
) -> tuple[Ints, Floats]:
    """As `_offset_rates`, averaged over a bell whose points lie so many cells away."""
    words, curves = _offset_rates(kind, windows)
    if not any(cells):
        return words, curves
    most, out = cells[-1], np.zeros_like(curves)
    padded = np.concatenate(
        [np.repeat(curves[..., :1], most, -1), curves, np.repeat(curves[..., -1:], most, -1)], axis=-1
    )
    for cell, weight in zip(cells, _SIGMA_WEIGHTS, strict=True):
        out += weight.astype(curves.dtype) * padded[..., most + cell : most + cell + len(GRID)]
    return words, out
