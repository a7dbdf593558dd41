"""The update: how well each hypothesis explains the log.

A hypothesis is a row of setting numbers (0 = nothing). Everything is arrays, hypotheses on the first axis.
"""

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tunekit.data import table
from tunekit.diagnosis.evidence import Evidence, Look, Word
from tunekit.diagnosis.forward import Window
from tunekit.diagnosis.looks import Numbers, YesNo, known, log_density
from tunekit.diagnosis.places import Places
from tunekit.diagnosis.reading import CELL_MM, GRID, REACH_MM, Reading, Spot
from tunekit.diagnosis.states import DISTURBS_INDEX, States

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


AUDIBLE = 0.15
"""Rate from which a cause would have been heard or seen at a place that the log speaks of."""


LISTED = 4
"""Words from which a stage's words count as a list, not as a remark or two."""


def quiet_levels() -> tuple[list[Window], Floats]:
    """Windows within which a bike is quiet and prompt, and their probabilities."""
    model = table("model")["quiet"]
    return [Window(*pair) for pair in model["levels_mm"]], np.array(model["odds"])


def error_levels(failed: int) -> Floats:
    """Chances that a word has nothing to do with the bike; higher once equal advice has failed twice."""
    error = table("hearing")["error"]
    return np.array(error["doubted"] if failed >= 2 else error["levels"])


def repeats(counts: list[int]) -> Floats:
    """Weight of a word or answer given so many times: the same ear errs the same way."""
    again = table("hearing")["error"]["repeat"]
    return np.array([min(1 + again * (count - 1), 4.0) for count in counts])


class Update:
    """The log's likelihood under hypotheses about one bike."""

    def __init__(self, states: States, places: Places) -> None:
        self.states, self.places, self.evidence = states, places, states.evidence
        self.windows, self.quiet_odds = quiet_levels()
        self.quiet = np.array([window.audible_mm for window in self.windows])
        self.errors = error_levels(self.evidence.failed)
        self.blur = self._blur(self.evidence)
        words = self.evidence.words
        self.reading = Reading(states, places, [Spot(w.stage, w.place, w.what, w.side, w.per) for w in words])
        self.lists = self._lists()
        everywhere = np.array([1.5 if w.place.cog is None and w.what == "clean" else 1.0 for w in words])
        self.weight = repeats([len(w.entries) for w in words]) * everywhere * self._together(words)
        self._sort_looks([*self.evidence.looks, *self._card()])
        if words or self.evidence.looks:
            states.log_odds[self._silent()] += np.log(table("model")["silence"]["odds"])

    def _together(self, words: list[Word]) -> Floats:
        """Weight of words of one moment in one stage: what the model misses, it misses on all cogs alike."""
        kinds = [(w.stage, w.place.moment) for w in words]
        power = float(table("hearing")["error"]["together"])
        return np.array([kinds.count(kind) ** (power - 1) for kind in kinds])

    def _silent(self) -> NDArray[np.bool_]:
        """Settings that neither a word nor a look of the log could have shown; shape (settings,)."""
        states = self.states
        aloud = (
            states.shifts
            | (states.index_mm != 0)
            | (states.before_mm != 0)
            | (states.stops_mm != 0).any(axis=1)
        )
        aloud[0] = True
        for shown in (self.reading.total, self.yes_no.shows, self.numbers.adds):
            if shown.shape[1]:
                aloud |= (np.abs(shown) > AUDIBLE).any(axis=1)
        return np.asarray(~aloud)

    def _card(self) -> list[Look]:
        """The links written on the bike's card, as a look of poor trust, unless a chain was fitted since."""
        links = self.states.bike.chain.links
        fitted = any(r.what == "chain" for r in self.evidence.repairs)
        return (
            [] if links is None or fitted else [Look(0, "chain_length_links", None, None, float(links), [])]
        )

    def _sort_looks(self, looks: list[Look]) -> None:
        looks = [look for look in looks if known(look.what)]
        yes_no = table("checks")["yes_no"]
        self.yes_no = YesNo(self.states, [look for look in looks if look.what in yes_no])
        self.offset_looks = [look for look in looks if look.what == "pulley_offset_mm"]
        rest = [look for look in looks if look.what not in yes_no and look.what != "pulley_offset_mm"]
        self.numbers = Numbers(self.states, rest)
        for number, look in enumerate(rest):
            if not look.entries:
                self.numbers.spread[number] = np.hypot(
                    self.numbers.spread[number], table("model")["chain_length"]["card_sd"]
                )

    def _blur(self, evidence: Evidence) -> Floats:
        """What the hand's inexactness leaves unknown of the index at each stage, seen from the last one [mm]."""
        spread, disturbed = (table("model")["turns"][key] for key in ("spread", "disturbed_mm"))
        moves = np.diff(self.states.turned["index"], prepend=0.0)
        variance = (spread * moves) ** 2
        for repair in evidence.repairs:
            if repair.what in DISTURBS_INDEX:
                variance[repair.stage] += disturbed**2
        after = np.cumsum(variance[::-1])[::-1]
        return np.asarray(np.sqrt(after - variance))

    # --- amounts of whole hypotheses --------------------------------------------------------------

    def index_mm(self, sets: Ints) -> Floats:
        """Index offset of each hypothesis in every stage; shape (hypotheses, stages)."""
        states = self.states
        now = states.index_mm[sets].sum(axis=1)[:, None] + states.index_moved[None, :]
        if not states.last_clamped:
            return np.asarray(now)
        before = states.before_mm[sets].sum(axis=1)[:, None] + states.turned["index"][None, :]
        stages = np.arange(self.evidence.stages)
        return np.asarray(np.where(stages >= states.last_clamped, now, before))

    def stops_mm(self, sets: Ints) -> Floats:
        """High and low stop beyond the end cogs in every stage; shape (hypotheses, stages, 2)."""
        states = self.states
        turned = np.stack([states.turned["high"], states.turned["low"]], axis=1)
        return np.asarray(
            states.stops_mm[sets].sum(axis=1)[:, None, :] + turned + np.array(states.sound_stops_mm)
        )

    def offsets_mm(self, sets: Ints, stages: Ints | None = None) -> Floats:
        """Pulley offset by hypothesis, stage, direction (to larger, to smaller) and cog; + inboard.

        offset = index + what each setting shifts, held between the two stops.
        """
        states, cogs = self.states, self.places.cogs
        stages = np.arange(self.evidence.stages) if stages is None else stages
        offset = np.repeat(self.index_mm(sets)[:, stages, None], 2 * cogs, axis=2).reshape(
            len(sets), len(stages), 2, cogs
        )
        for column in range(sets.shape[1]):
            which = sets[:, column]
            rows = np.flatnonzero(states.shifts[which])
            if len(rows):
                active = states.active[which[rows]][:, stages]
                offset[rows] += states.shift_mm[which[rows]][:, None] * active[:, :, None, None]
        stops = self.stops_mm(sets)[:, stages]
        pitch = self.states.bike.cassette.pitch_mm
        outer = -stops[:, :, 0, None] - pitch * np.arange(cogs)
        inner = stops[:, :, 1, None] + pitch * np.arange(cogs)[::-1]
        return np.clip(offset, outer[:, :, None, :], inner[:, :, None, :]).astype(np.float32)

    # --- the likelihood ---------------------------------------------------------------------------

    def log_likelihood(self, sets: Ints, quiet: int, exact: bool = True) -> Floats:
        """Log chance of the whole log for each hypothesis; shape (hypotheses,).

        `exact` averages over the levels of hearing error; otherwise their mean is used, which is enough for growing.
        """
        offsets = self.offsets_mm(sets)
        looked = self._looks(sets, offsets)
        if not self.reading.spots:
            return looked
        heard, trouble = word_chance(self.reading, sets, offsets, quiet, self.windows[quiet], self.blur)
        errors = self.errors if exact else [self.errors.mean()]
        words = np.stack([self._mixed(heard, trouble, float(error)) @ self.weight for error in errors])
        top = words.max(axis=0)
        return np.asarray(looked + top + np.log(np.exp(words - top).mean(axis=0)))

    def _mixed(self, heard: Floats, trouble: Floats, error: float) -> Floats:
        """Log chance of each word by an ear that errs; shape (hypotheses, spots).

        Of a full sweep every word is equally often wrong. Of a list of troubles, what is written down was chosen for
        being trouble: the fewer of its places a hypothesis troubles, the likelier the rest are slips.
        """
        if not self.lists:
            return np.asarray(np.log((1 - error) * heard + error * self.reading.mistaken))
        wrong = np.full_like(heard, error)
        for stage, columns in self.lists:
            least = table("hearing")["error"]["least_troubled"] if stage == 0 else 0.0
            share = np.maximum(trouble[:, columns].mean(axis=1, keepdims=True), least)
            wrong[:, columns] = error / (error + (1 - error) * share)
        return np.asarray(np.log((1 - wrong) * heard + wrong * self._slips))

    @cached_property
    def _slips(self) -> Floats:
        """Chance of each word as a slip; shape (words,)."""
        return self.reading.mistaken * np.where(self._listed, table("hearing")["error"]["slip_share"], 1.0)

    @cached_property
    def _listed(self) -> NDArray[np.bool_]:
        """Which words belong to lists of troubles; shape (words,)."""
        listed = np.zeros(len(self.evidence.words), dtype=bool)
        for _, columns in self.lists:
            listed[columns] = True
        return listed

    def _lists(self) -> list[tuple[int, Ints]]:
        """Stages whose words are a list of troubles, not a sweep, with the columns of those troubles."""
        out = []
        for stage in range(self.evidence.stages):
            words = [(n, w) for n, w in enumerate(self.evidence.words) if w.stage == stage]
            troubles = [n for n, w in words if w.what != "clean"]
            if len(words) >= LISTED and len(troubles) > 0.5 * len(words):
                out.append((stage, np.array(troubles, dtype=np.intp)))
        return out

    def _looks(self, sets: Ints, offsets: Floats) -> Floats:
        out = np.zeros(len(sets))
        if self.yes_no.looks:
            out += self.yes_no.log_terms(sets) @ repeats([len(look.entries) for look in self.yes_no.looks])
        if self.numbers.looks:
            out += self.numbers.log_terms(sets) @ repeats(
                [max(len(look.entries), 1) for look in self.numbers.looks]
            )
        for look in self.offset_looks:
            out += self._offset_term(look, offsets)
        return out

    def _offset_term(self, look: Look, offsets: Floats) -> Floats:
        """Log density of a pulley offset read on a cog; shape (hypotheses,)."""
        value = float(np.mean(look.value))
        return log_density(value - self._seen_offset(look, offsets), self._offset_spread(look))

    def _seen_offset(self, look: Look, offsets: Floats) -> Floats:
        columns = slice(None) if look.cog is None else [self.states.bike.cogs.index(look.cog)]
        return np.asarray(offsets[:, look.stage][:, :, columns].mean(axis=(1, 2)))

    def _offset_spread(self, look: Look) -> Floats:
        sd = float(table("checks")["number"]["pulley_offset_mm"]["sd"])
        return np.array(np.hypot(np.hypot(sd, 0.15), self.blur[look.stage]))

    def terms(self, sets: Ints, quiet: Ints) -> tuple[list[list[int]], Floats]:
        """Who said each word and look, and its log chance by itself; shape (hypotheses, words + looks)."""
        entries = [word.entries for word in self.evidence.words]
        parts = [np.zeros((len(sets), 0))]
        if self.reading.spots:
            parts.append(self._word_terms(sets, quiet))
        for test in (self.yes_no, self.numbers):
            told = [n for n, look in enumerate(test.looks) if look.entries]
            if told:
                entries += [test.looks[n].entries for n in told]
                parts.append(test.log_terms(sets)[:, told])
        if self.offset_looks:
            offsets = self.offsets_mm(sets)
            entries += [look.entries for look in self.offset_looks]
            parts += [self._offset_term(look, offsets)[:, None] for look in self.offset_looks]
        return entries, np.hstack(parts)

    def _word_terms(self, sets: Ints, quiet: Ints) -> Floats:
        offsets, error = self.offsets_mm(sets), float(self.errors.mean())
        out = np.empty((len(sets), len(self.reading.spots)))
        for level in np.unique(quiet):
            rows = quiet == level
            chance, trouble = word_chance(
                self.reading, sets[rows], offsets[rows], int(level), self.windows[level], self.blur
            )
            out[rows] = self._mixed(chance, trouble, error) * self.weight
        return out

    def unlisted(self) -> float:
        """Log chance of the log when something that is not on the list is wrong: any trouble anywhere."""
        mistaken = np.log(self._slips) @ self.weight if self.reading.spots else 0.0
        empty = np.zeros((1, 1), dtype=np.intp)
        return float(mistaken + self._looks(empty, self.offsets_mm(empty))[0])


def word_chance(
    reading: Reading, sets: Ints, offsets: Floats, level: int, window: Window, blur: Floats
) -> tuple[Floats, Floats]:
    """Chance of each spot's word, and of any trouble there, by an ear that does not err.

    Shape (hypotheses, spots) twice.
    """
    total, named = _gathered(reading, sets)
    if reading.points:
        by_total, by_named = reading.curves(level, window, blur)
        cell = offsets.reshape(len(sets), -1)[:, reading.point_offset]
        cell += REACH_MM + CELL_MM / 2
        cell /= CELL_MM
        np.clip(cell, 0, len(GRID) - 1, out=cell)
        at = cell.astype(np.intp)
        at += reading.point_curve
        total[:, reading.columns] += np.add.reduceat(
            by_total.take(at) * reading.point_weight, reading.starts, axis=1
        )
        named[:, reading.columns] += np.add.reduceat(
            by_named.take(at) * reading.point_weight, reading.starts, axis=1
        )
    np.maximum(total, 1e-7, out=total)
    clean = np.exp(-total)
    trouble = 1 - clean
    np.maximum(named, 0, out=named)
    return np.where(reading.clean, clean, trouble * named / total), trouble


def _gathered(reading: Reading, sets: Ints) -> tuple[Floats, Floats]:
    """Sums of the settings' own rates; shape (hypotheses, spots) twice. Setting 0, the sound bike, counts once."""
    total, named = np.tile(reading.total[0], (len(sets), 1)), np.tile(reading.named[0], (len(sets), 1))
    for which in sets.T:
        rows = np.flatnonzero((which > 0) & reading.speaks[which])
        if len(rows):
            total[rows] += reading.total[which[rows]]
            named[rows] += reading.named[which[rows]]
    return total, named
