"""The update: how well each hypothesis explains the log.

A hypothesis is a row of setting numbers (0 = nothing). Everything is arrays, hypotheses on the first axis; only what
is said of single words has words first.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from tunekit.data import table
from tunekit.diagnosis import hearing
from tunekit.diagnosis.evidence import Evidence, Look, Word, first_round
from tunekit.diagnosis.forward import Window
from tunekit.diagnosis.hearing import moment_class
from tunekit.diagnosis.looks import OUTLIER, Numbers, YesNo, known, log_density, slip, too_far
from tunekit.diagnosis.places import Place
from tunekit.diagnosis.reading import SINGLE, Lines, Offsets, Reading, Scratch, Spot
from tunekit.diagnosis.settings import DISTURBS_INDEX
from tunekit.diagnosis.states import States

Floats = NDArray[np.floating[Any]]
Ints = NDArray[np.intp]


AUDIBLE = 0.15
"""Rate from which a cause would have been heard or seen at a place that the log speaks of."""


AT_ONCE = 256
"""Hypotheses weighed at once: as many as a processor's cache holds."""
SWEPT = ("to_larger_cog", "to_smaller_cog", "pedalling", "pedalling_hard")
CHOSEN = 0.3
"""Share of troubles above which words were written down because they were troubles."""
SWEPT_COGS = 1.5
"""Places in one round, for each cog, from which it was a sweep, however much of it was trouble."""
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


class Ear(NamedTuple):
    """How a mechanic errs: the chance that a word has nothing to do with the bike, and how often the same way again."""

    error: float
    same: float


class Slips(NamedTuple):
    """What the slips of one ear are worth in one log."""

    once: Floats
    """Chance that a word was said by mistake, where it may be said so again; shape (words, 1)."""
    times: Floats
    """How often each word had to slip to be a mistake each time; shape (words,)."""
    always: Floats
    """Log chance of that; shape (words,)."""


def kinds_of_ear(failed: int, heard_again: bool) -> list[Ear]:
    """Ears, equally likely. How often one errs the same way matters once it listens to a place again."""
    again = table("hearing")["error"]["same"] if heard_again else [0.0]
    return [Ear(float(error), float(same)) for error in error_levels(failed) for same in again]


def repeats(counts: list[int], rides: list[int] | None = None) -> Floats:
    """Weight of a word or answer given so many times, on so many rides: the same ear errs the same way.

    Shape (words,).
    """
    error = table("hearing")["error"]
    apart, told = np.array(rides or np.ones(len(counts))), np.array(counts)
    return np.asarray(
        np.minimum(1 + error["another_ride"] * (apart - 1) + error["repeat"] * (told - apart), error["most"])
    )


def _parts(count: int) -> list[slice]:
    """So few hypotheses at a time that their arrays stay small."""
    return [slice(start, start + AT_ONCE) for start in range(0, count, AT_ONCE)]


@dataclass(frozen=True, slots=True)
class TroubleList:
    """Words of one stage that were written down because they were troubles."""

    words: Ints
    """Their places among the words."""
    sweep: list[Spot]
    """Places at which as much could have been heard."""


class Update:
    """The log's likelihood under hypotheses about one bike."""

    def __init__(self, states: States) -> None:
        self.states, self.evidence = states, states.evidence
        self.windows, self.quiet_odds = quiet_levels()
        self.quiet = np.array([window.audible_mm for window in self.windows])
        self.errors = error_levels(self.evidence.failed)
        self._for_a_reason = SINGLE(1 - table("model")["complaint"]["unfounded"])
        self._scratch = Scratch()
        self._reaches: dict[int | None, tuple[float, float]] = {}
        self._by_slips: dict[Ear, Slips] = {}
        self.blur = self._blur(self.evidence)
        words = self.evidence.words
        self.lines = Lines.of(states)
        self.lists = self._lists()
        spoken = [Spot(w.stage, w.place, w.what, w.side, w.per) for w in words]
        swept = [spot for listed in self.lists for spot in listed.sweep]
        self.reading = self.asked([*spoken, *swept], self.blur)
        self.mistaken = self.reading.mistaken[: len(words), None]
        everywhere = np.array([1.5 if w.place.cog is None and w.what == "clean" else 1.0 for w in words])
        self.weight = (everywhere * self._together(words)).astype(SINGLE)
        self.times = repeats([len(w.entries) for w in words], [w.rides for w in words]).astype(SINGLE)
        self._again, self._alike, self._changed = self._repeated(words)
        self.ears = kinds_of_ear(self.evidence.failed, len(self._again) > 0 or bool(self._changed.any()))
        trouble = np.array([words[n].what != "clean" for n in self._alike], dtype=bool)
        named = SINGLE(table("hearing")["error"]["named_alike"])
        self._namings = SINGLE(1) + np.where(trouble, SINGLE(1) - named, SINGLE(1)) * (
            self.times[self._alike] - SINGLE(1)
        )
        self.complaint = np.where(self._complained(words), self.weight, SINGLE(0))
        self._weights = np.stack([self.weight, self.complaint])
        self._sort_looks([*self.evidence.looks, *self._card()])
        if words or self.evidence.looks:
            states.log_odds[self._silent()] += np.log(table("model")["silence"]["odds"])

    @cached_property
    def usual_ear(self) -> Ear:
        """One ear that stands for all kinds."""
        return Ear(*(float(mean) for mean in np.mean(self.ears, axis=0)))

    def asked(self, spots: list[Spot], blur_mm: Floats) -> Reading:
        """What every setting says at these spots, the index at each stage known to within a blur."""
        return Reading(self.states, self.lines, spots, self.windows, blur_mm)

    def _together(self, words: list[Word]) -> Floats:
        """Weight of words of one moment in one stage: what the model misses, it misses on all cogs alike."""
        kinds = [(w.stage, w.place.moment) for w in words]
        power = float(table("hearing")["error"]["together"])
        counts = Counter(kinds)
        return np.array([counts[kind] ** (power - 1) for kind in kinds])

    def _silent(self) -> NDArray[np.bool_]:
        """Settings that neither a word nor a look of the log could have shown; shape (settings,)."""
        states = self.states
        aloud = states.shifts | (states.index_mm != 0) | (states.before_mm != 0) | self._on_stops
        aloud[0] = True
        spoken = self.reading.total[:, : len(self.evidence.words)]
        for shown in (spoken, self.yes_no.shows, self.numbers.adds):
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
        turned = np.stack([states.turned["high_limit"], states.turned["low_limit"]], axis=1)
        return np.asarray(states.stops_mm[sets].sum(axis=1) + turned + np.array(states.sound_stops_mm))

    def offsets(self, sets: Ints, quiet: Ints | None = None) -> Offsets:
        """The pulley's offsets under hypotheses, by what moves it alone; apart where their quiet levels differ."""
        moving = np.where(self._moves[sets], sets, 0)
        keys = moving @ (len(self.states) ** np.arange(sets.shape[1]))
        if quiet is not None:
            keys = keys * len(self.windows) + quiet
        _, first, which = np.unique(keys, return_index=True, return_inverse=True)
        return Offsets(self.offsets_mm(moving[first]), which, None if quiet is None else quiet[first])

    def offsets_mm(self, sets: Ints) -> Floats:
        """Pulley offset by hypothesis, stage, direction (to larger, to smaller) and cog; + inboard.

        offset = index + what each setting shifts, held between the two stops.
        """
        stops = self._stops[sets].sum(axis=1)[:, :, None, None] + self._turned_stops
        outboard, inboard = -self._across - stops[..., 0], self._across[::-1] + stops[..., 1]
        return np.asarray(np.clip(self._turned + self._shifts[sets].sum(axis=1), outboard, inboard))

    @cached_property
    def _across(self) -> Floats:
        """How far each cog stands inboard of the smallest; shape (cogs,)."""
        return np.arange(self.states.places.cogs, dtype=SINGLE) * SINGLE(self.states.bike.cassette.pitch_mm)

    @cached_property
    def _stops(self) -> Floats:
        """High and low stop against a sound one, as they stand to the cogs; shape (settings, stages, 2)."""
        return self.states.seen_stops_mm.astype(SINGLE)

    @cached_property
    def _turned_stops(self) -> Floats:
        """Sound stops beyond the end cogs in every stage, by what the hand turned; shape (stages, 1, 1, 2)."""
        return self.stops_mm(np.zeros((1, 1), dtype=np.intp))[0, :, None, None].astype(SINGLE)

    @cached_property
    def _on_stops(self) -> NDArray[np.bool_]:
        """Whether a setting is about a stop; shape (settings,)."""
        return np.asarray((self.states.seen_stops_mm != 0).any(axis=(1, 2)))

    @cached_property
    def _moves(self) -> NDArray[np.bool_]:
        """Whether a setting has a part in where the pulley stands; shape (settings,)."""
        return np.asarray(self._on_stops | self._shifts.any(axis=(1, 2, 3)))

    @cached_property
    def _turned(self) -> Floats:
        """Index of a sound bike in every stage, by what the hand turned; shape (stages, 1, 1)."""
        return self.index_mm(np.zeros((1, 1), dtype=np.intp)).reshape(-1, 1, 1).astype(SINGLE)

    @cached_property
    def _shifts(self) -> Floats:
        """What each setting adds to the pulley's offset in every stage; shape (settings, stages, 2, cogs)."""
        states = self.states
        index = self.index_mm(np.arange(len(states))[:, None])[:, :, None, None].astype(SINGLE) - self._turned
        shifted = states.active[:, :, None, None] * states.shift_mm[:, None]
        return np.asarray(index + shifted, SINGLE)

    # --- the likelihood ---------------------------------------------------------------------------

    def log_likelihood(self, sets: Ints, quiet: Ints) -> Floats:
        """Log chance of the log for each hypothesis at its level of the quiet window; shape (hypotheses,).

        The kinds of ear are stood for by their mean, which is enough for growing.
        """
        out = np.zeros(len(sets))
        for part in _parts(len(sets)):
            offsets = self.offsets(sets[part], quiet[part])
            out[part] = self._log_likelihood(sets[part], offsets, None, [self.usual_ear])[:, 0]
        return out

    def log_likelihoods(self, sets: Ints, levels: Sequence[int], usual: bool = False) -> Floats:
        """Log chance of the log for each hypothesis and level of the quiet window; shape (hypotheses, levels).

        Over all kinds of ear, or by the one that stands for them.
        """
        ears = [self.usual_ear] if usual else self.ears
        out = np.zeros((len(sets), len(levels)))
        for part in _parts(len(sets)):
            out[part] = self._log_likelihood(sets[part], self.offsets(sets[part]), levels, ears)
        return out

    def _log_likelihood(
        self, sets: Ints, offsets: Offsets, levels: Sequence[int] | None, ears: list[Ear]
    ) -> Floats:
        out = np.repeat(self._looks(sets, offsets)[:, None], 1 if levels is None else len(levels), axis=1)
        if not self.reading.spots:
            return out
        for column, heard in enumerate(self.reading.heard(sets, offsets, levels)):
            back = self._coming_back(heard)
            words = [self._words(heard, back, ear) for ear in ears]
            out[:, column] += words[0] if len(ears) == 1 else np.logaddexp.reduce(words) - np.log(len(ears))
        return out

    def _words(self, heard: Floats, back: Floats, ear: Ear) -> Floats:
        """Log chance of all words together; shape (hypotheses,).

        Few bikes are brought for a trouble that is none: a hypothesis by which all of the first complaint was misheard
        is that much less likely.
        """
        chosen = self._chosen_from(heard, ear.error)
        whole, complaint = self._weights @ self._by_ear(heard, back, chosen, ear)
        if self.complaint.any():
            slips = self._slips(ear)
            misheard = self.complaint @ slips.always - complaint
            for listed, troubles in zip(self.lists, chosen, strict=True):
                misheard -= (self.complaint * slips.times)[listed.words].sum() * troubles
            whole += np.log1p(-self._for_a_reason * np.exp(np.minimum(misheard, 0)))
        return np.asarray(whole)

    def _each_word(self, heard: Floats, ear: Ear) -> Floats:
        """Log chance of each word by itself; shape (words, hypotheses)."""
        return self._by_ear(heard, self._coming_back(heard), self._chosen_from(heard, ear.error), ear)

    def _by_ear(self, heard: Floats, back: Floats, chosen: list[Floats], ear: Ear) -> Floats:
        """Log chance of each word where it was said, as often as it was; shape (words, hypotheses).

        Of a full sweep every place was written down, whatever was heard there. A list of troubles was chosen out of
        all the troubles that were heard, slips among them: the more of them a hypothesis foretells elsewhere, the less
        it explains why just these were named.
        """
        words = len(self.evidence.words)
        log_chance = self._scratch("log chance", SINGLE, words, heard.shape[1])
        np.multiply(heard[:words], SINGLE(1 - ear.error), out=log_chance)
        log_chance += self._slips(ear).once
        np.log(log_chance, out=log_chance)
        for listed, troubles in zip(self.lists, chosen, strict=True):
            log_chance[listed.words] -= troubles
        if len(self._again):
            log_chance[self._again] *= self.times[self._again, None]
        if ear.same and len(self._alike):
            log_chance[self._alike] = self._always(back, log_chance[self._alike], chosen, ear)
        return log_chance

    def _coming_back(self, heard: Floats) -> Floats:
        """Chance that what is truly there is heard each time, of words that were the same each time.

        It is called by the same name again: of a trouble only its coming back is new. Shape (words alike, hypotheses).
        """
        return np.asarray(heard[self._alike] ** self._namings[:, None])

    def _always(self, back: Floats, apart: Floats, chosen: list[Floats], ear: Ear) -> Floats:
        """Log chance of words that were the same each time, given that of erring anew each time (`apart`)."""
        slip = SINGLE(ear.error) * self.mistaken[self._alike]
        for listed, troubles in zip(self.lists, chosen, strict=True):
            named = np.isin(self._alike, listed.words)[:, None] * troubles
            back, slip = back * np.exp(-named * self._namings[:, None]), slip * np.exp(-named)
        once = SINGLE(1 - ear.error) * back + slip
        return np.asarray(np.log(SINGLE(ear.same) * once + SINGLE(1 - ear.same) * np.exp(apart)))

    def _slips(self, ear: Ear) -> Slips:
        """What slips of this ear are worth."""
        if ear not in self._by_slips:
            error = SINGLE(ear.error) * self.mistaken
            slip, times = np.log(error[:, 0]), self.times.copy()
            anew = slip * times
            if ear.same:
                times[self._alike] = 1
                both = np.logaddexp(np.log(ear.same) + slip, np.log1p(-ear.same) + anew)
                anew[self._alike] = both[self._alike]
            once = error * np.where(self._changed[:, None], SINGLE(1 - ear.same), SINGLE(1))
            self._by_slips[ear] = Slips(once, times, anew)
        return self._by_slips[ear]

    def _chosen_from(self, heard: Floats, error: float) -> list[Floats]:
        """Log of how much trouble there was to choose each list from; each of shape (hypotheses,)."""
        slips, start, out = error * (1 - hearing.mistaken("clean", "pedalling")), len(self.evidence.words), []
        for listed in self.lists:
            end = start + len(listed.sweep)
            out.append(np.log((1 - error) * (1 - heard[start:end].mean(axis=0)) + slips))
            start = end
        return out

    def _repeated(self, words: list[Word]) -> tuple[Ints, Ints, NDArray[np.bool_]]:
        """Places among the words of those said more than once, of those of them that were the same each time, and
        which words were not: something else was said of their place as well.
        """
        places = Counter((word.stage, word.place) for word in words)
        changed = np.array([places[word.stage, word.place] > 1 for word in words], dtype=bool)
        again = np.flatnonzero(self.times > 1)
        return again, again[~changed[again]], changed

    def _complained(self, words: list[Word]) -> NDArray[np.bool_]:
        """Which words are the complaint: the troubles of the first stage that the log speaks of; shape (words,)."""
        first = min((word.stage for word in words), default=0)
        return np.array([word.stage == first and word.what != "clean" for word in words], dtype=bool)

    def _lists(self) -> list[TroubleList]:
        """Stages whose words are a list of troubles, not a sweep.

        As much could have been heard at every cog, at all moments of the kinds that the list speaks of: one who tells
        of slow shifts alone has not said that all was quiet in gear.
        """
        out, cogs = [], self.states.bike.cogs
        for stage in range(self.evidence.stages):
            words = [(n, w) for n, w in enumerate(self.evidence.words) if w.stage == stage]
            spoken = {moment_class(word.place.moment) for _, word in words}
            moments = [moment for moment in SWEPT if moment_class(moment) in spoken]
            if moments and self._chosen([word for _, word in words]):
                kinds = {moment_class(moment) for moment in moments}
                troubles = [
                    n for n, w in words if w.what != "clean" and moment_class(w.place.moment) in kinds
                ]
                sweep = [Spot(stage, Place(None, cog, moment), "clean") for cog in cogs for moment in moments]
                out.append(TroubleList(np.array(troubles, dtype=np.intp), sweep))
        return out

    def _chosen(self, words: list[Word]) -> bool:
        """Whether these words were written down because they were troubles, not because every place was."""
        troubles = sum(word.what != "clean" for word in words)
        few = first_round(words) < SWEPT_COGS * len(self.states.bike.cogs)
        return len(words) >= LISTED and troubles > CHOSEN * len(words) and few

    def _looks(self, sets: Ints, offsets: Offsets) -> Floats:
        out = np.zeros(len(sets))
        if self.yes_no.looks:
            out += self.yes_no.log_terms(sets) @ repeats([len(look.entries) for look in self.yes_no.looks])
        if self.numbers.looks:
            out += self.numbers.log_terms(sets) @ repeats(
                [max(len(look.entries), 1) for look in self.numbers.looks]
            )
        for look in self.offset_looks:
            out += self._offset_term(look, offsets.mm)[offsets.which]
        return out

    def _offset_term(self, look: Look, offsets: Floats) -> Floats:
        """Log density of a pulley offset read on a cog; shape (hypotheses,)."""
        value, reach = float(np.mean(look.value)), self._reach(look)
        within = float(np.clip(value, *reach))
        chance = slip() if within != value or too_far(look.what, value) else OUTLIER
        return log_density(within - self._seen_offset(look, offsets), self._offset_spread(look), chance)

    def _reach(self, look: Look) -> tuple[float, float]:
        """Least and most that any one cause makes of an offset read there: beyond them it means "so much or more"."""
        if look.cog not in self._reaches:
            singles = np.arange(len(self.states))[:, None]
            seen = self._seen_offset(look, self.offsets_mm(singles))
            self._reaches[look.cog] = (float(seen.min()), float(seen.max()))
        return self._reaches[look.cog]

    def _seen_offset(self, look: Look, offsets: Floats) -> Floats:
        columns = slice(None) if look.cog is None else [self.states.bike.cogs.index(look.cog)]
        return np.asarray(offsets[:, look.stage][:, :, columns].mean(axis=(1, 2)))

    def _offset_spread(self, look: Look) -> Floats:
        sd = float(table("checks")["number"]["pulley_offset_mm"]["sd"])
        return np.array(np.hypot(np.hypot(sd, 0.15), self.blur[look.stage]))

    def terms(self, sets: Ints, quiet: Ints) -> tuple[list[list[int]], Floats]:
        """Who said each word and look, and its log chance by itself; shape (hypotheses, words + looks)."""
        entries = [word.entries for word in self.evidence.words]
        parts: list[Floats] = [np.zeros((len(sets), 0))]
        if self.evidence.words:
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
        heard = next(self.reading.heard(sets, self.offsets(sets, quiet)))
        return np.asarray(self._each_word(heard, self.usual_ear).T * self.weight)

    def unlisted(self) -> float:
        """Log chance of the log when something that is not on the list is wrong: any trouble anywhere."""
        words = len(self.evidence.words)
        slips = np.zeros((len(self.reading.spots), 1), SINGLE)
        ear = Ear(1.0, self.usual_ear.same)
        mistaken = float((self.weight @ self._each_word(slips, ear))[0]) if words else 0.0
        empty = np.zeros((1, 1), dtype=np.intp)
        return float(mistaken + self._looks(empty, self.offsets(empty))[0])
