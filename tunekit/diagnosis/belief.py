"""The belief: which hypotheses are worth keeping, and how probable each is after the log.

Draws from the prior do not survive a long log, so hypotheses are enumerated: every single setting, then pairs, threes
and fours grown from the best so far, then the neighbours of the best in size. No chance is involved: the same log
gives the same belief.
"""

from collections import Counter
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tunekit.bike import Bike
from tunekit.data import table
from tunekit.diagnosis.evidence import Evidence
from tunekit.diagnosis.hands import moved
from tunekit.diagnosis.states import States
from tunekit.diagnosis.update import Update

Floats = NDArray[np.floating[Any]]
Ints = NDArray[np.intp]

WIDTH = 4
"""Most settings in one hypothesis."""
PARENTS = (14, 8, 4)
"""How many of the best are grown at each size of hypothesis."""
SCOUTS = 5
"""How many of these are grown by every setting; the others only by settings that helped those."""
HOPELESS = 18.0
"""A hypothesis this much behind the best in log weight is not grown."""
SAME_CAUSE = 3
"""At most so many parents that name the same causes, so that one cause in many sizes does not crowd out the rest."""
COMPLETED = 60
"""Single settings weighed by every ear before they are grown."""
AGAINST = -1.5
"""Log odds by which a log may speak against a setting that is still added to others."""
REFINED = 60
"""How many of the best are refined in size."""
ADDITIONS = 50
"""Settings that go on being added after the first round: those that helped most."""
SIZES = 4
"""Of these at most so many sizes of one cause: the others are come to from them in the end."""
KEPT = 350
"""Hypotheses weighed by every ear in the end."""
FRONT = 60
"""Of a round's new hypotheses, so many of the best are weighed at every level of the quiet window before the next
parents are chosen."""
FIRST = 250
"""Of all hypotheses, so many of the best are weighed at every level before the others are thinned."""
UNLIKELY_LEVEL = 0.003
"""Share of the weight of these best below which a level is left out for the others."""
MOST_UNLISTED = 1.0
"""Log odds at which "something else" is capped, so that what is on the list can always come back."""
ENOUGH = 0.004
"""Growing stops once a round adds less than this share of the probability."""


@dataclass(slots=True)
class Belief:
    """Hypotheses with their weights; row h of `sets` are its settings, `quiet` the level of its quiet window."""

    update: Update
    sets: Ints
    quiet: Ints
    weight: Floats
    """Adds up to 1 - `unlisted`."""
    unlisted: float
    """Probability that something not on the list is wrong."""
    covered: bool
    """Whether growing stopped because it added nothing, not because it ran out of rounds."""

    @property
    def states(self) -> States:
        return self.update.states

    def thinned(self, count: int) -> "Belief":
        """The same belief by fewer hypotheses: what a cause weighs in all stays as it is."""
        rows, weight = thinned(self.weight, np.lexsort((self.quiet, *self.sets.T)), count)
        return replace(self, sets=self.sets[rows], quiet=self.quiet[rows], weight=weight)


def thinned(weight: Floats, order: Ints, count: int) -> tuple[Ints, Floats]:
    """At most `count` of these weights, and what each of them then stands for; shapes (kept,) and (kept,).

    The heavy ones stand for themselves; of the light ones, taken in `order` so that like lies beside like, every one at
    an even step of the grown weight stands for that step. So what many light ones weigh together is kept, where
    dropping the lightest would lose it (Fearnhead and Clifford, "On-line inference for hidden Markov models via
    particle filters", 2003; with even steps instead of chance).
    """
    if len(weight) <= count:
        return np.arange(len(weight)), weight
    rising = np.sort(weight)
    falling, rest = rising[::-1][:count], np.cumsum(rising)[::-1][:count]
    step = rest / np.arange(count, 0, -1)
    heavy = int(np.argmax(falling <= step))
    light = order[weight[order] <= step[heavy]]
    at = np.searchsorted(np.cumsum(weight[light]), (np.arange(count - heavy) + 0.5) * step[heavy])
    chosen = light[np.minimum(at, len(light) - 1)]
    kept = np.flatnonzero(weight > step[heavy])
    return np.concatenate([kept, chosen]), np.append(weight[kept], np.full(len(chosen), step[heavy]))


def log_sum(values: Floats, axis: int | tuple[int, ...] | None = None) -> Floats:
    """log(sum(exp(values))) along an axis without overflow."""
    top = np.max(values, axis=axis, keepdims=True)
    total = np.log(np.sum(np.exp(values - top), axis=axis, keepdims=True)) + top
    return np.asarray(np.squeeze(total, axis=axis))


class _Search:
    """Grows hypotheses and remembers the log weight of each, by level of the quiet window.

    A hypothesis is a sorted row of WIDTH setting numbers, zeros first; its key is the row read as one number.
    """

    def __init__(self, update: Update) -> None:
        self.update, self.states = update, update.states
        self.log_quiet = np.log(update.quiet_odds)
        self.sets: Ints = np.zeros((0, WIDTH), dtype=np.intp)
        self.known: Ints = np.zeros(0, dtype=np.intp)
        self.scores: Floats = np.zeros((0, len(self.log_quiet)))
        self.weighed = np.zeros((0, len(self.log_quiet)), dtype=bool)
        self.kind = _kinds(self.states)
        model = table("model")
        again = np.log(model["several"]["odds"])
        self.by_count = np.array([np.log(model["nothing"]["odds"]), *(again * n for n in range(WIDTH))])

    def keys(self, sets: Ints) -> Ints:
        return np.asarray(sets @ (len(self.states) ** np.arange(WIDTH)))

    def begin(self, sets: Ints) -> None:
        """Weigh the first hypotheses at every level of the quiet window, by the usual ear."""
        self.sets, self.known = sets, self.keys(sets)
        self.scores = self.log_weight(sets, np.arange(len(self.log_quiet)), usual=True)
        self.weighed = np.zeros(self.scores.shape, dtype=bool)

    def weigh(self, sets: Ints, quiet: Ints) -> None:
        """Add hypotheses not yet known, each weighed at its given level of the quiet window."""
        keys = self.keys(sets)
        _, first = np.unique(keys, return_index=True)
        first = first[~np.isin(keys[first], self.known)]
        new, quiet = sets[first], quiet[first]
        scores = np.full((len(first), len(self.log_quiet)), -np.inf)
        explained = self.update.log_likelihood(new, quiet)
        scores[np.arange(len(first)), quiet] = self.prior(new) + self.log_quiet[quiet] + explained
        self.sets = np.concatenate([self.sets, new])
        self.known = np.concatenate([self.known, keys[first]])
        self.scores = np.concatenate([self.scores, scores])
        self.weighed = np.concatenate([self.weighed, np.zeros(scores.shape, dtype=bool)])

    def complete(self, rows: Ints, levels: Ints | None = None) -> None:
        """Weigh known hypotheses by every ear at these levels of the quiet window, or at all, unless that was done."""
        levels = np.arange(len(self.log_quiet)) if levels is None else levels
        rows = rows[~self.weighed[np.ix_(rows, levels)].all(axis=1)]
        self.scores[np.ix_(rows, levels)] = self.log_weight(self.sets[rows], levels)
        self.weighed[np.ix_(rows, levels)] = True

    def likely_levels(self, rows: Ints) -> Ints:
        """The levels of the quiet window at which these hypotheses have next to all their weight."""
        share = log_sum(self.scores[rows], axis=0)
        return np.flatnonzero(share > log_sum(share) + np.log(UNLIKELY_LEVEL))

    def log_weight(self, sets: Ints, levels: Ints, usual: bool = False) -> Floats:
        """Log of prior times likelihood; shape (hypotheses, levels)."""
        explained = self.update.log_likelihoods(sets, levels.tolist(), usual)
        return np.asarray(self.prior(sets)[:, None] + self.log_quiet[levels] + explained)

    def prior(self, sets: Ints) -> Floats:
        """Log of the prior, up to what is the same for all; shape (hypotheses,)."""
        odds = self.states.log_odds[sets]
        return np.asarray(odds.sum(axis=1) + self.by_count[(odds != 0).sum(axis=1)])

    def possible(self) -> Ints:
        """Settings that the log does not speak against by themselves, and all that share the pulley's offset.

        A setting that makes what was heard less likely alone makes it less likely beside others too; only offsets can
        cancel.
        """
        states = self.states
        gain = (self.scores[: len(states)] - self.scores[0]).max(axis=1)
        gain += self.by_count[0] - self.by_count[1] - states.log_odds
        share = (
            states.shifts
            | (states.index_mm != 0)
            | (states.before_mm != 0)
            | states.stops_mm.any(axis=(1, 2))
        )
        found = (gain > AGAINST) | share
        return np.flatnonzero(found[1:]) + 1

    def best(self, rows: Ints, count: int, within: float = HOPELESS) -> Ints:
        """The best of these hypotheses, at most SAME_CAUSE of them naming the same causes."""
        score = self.scores[rows].max(axis=1)
        ranked = np.argsort(-score, kind="stable")[: 40 * count]
        ranked = rows[ranked[score[ranked] > score[ranked[0]] - within]]
        kinds = np.sort(self.kind[self.sets[ranked]], axis=1) @ (len(self.states) ** np.arange(WIDTH))
        chosen: list[int] = []
        seen: dict[int, int] = {}
        for row, kind in zip(ranked.tolist(), kinds.tolist(), strict=True):
            seen[kind] = seen.get(kind, 0) + 1
            if seen[kind] <= SAME_CAUSE:
                chosen.append(row)
                if len(chosen) == count:
                    break
        return np.array(chosen, dtype=np.intp)

    def heaviest(self, rows: Ints, count: int) -> Ints:
        """The best of these hypotheses, whatever causes they name."""
        return rows[np.argsort(-self.scores[rows].max(axis=1), kind="stable")[:count]]

    def grown(self, parents: Ints, additions: Ints) -> tuple[Ints, Ints]:
        """Each parent with one more setting from a group it has none of, and the level that both together like best."""
        sets = np.repeat(self.sets[parents], len(additions), axis=0)
        added = np.tile(additions, len(parents))
        free = (self.states.group[sets] != self.states.group[added][:, None]).all(axis=1) & (sets[:, 0] == 0)
        gains = self.scores[additions] - self.scores[0]
        quiet = (self.scores[parents][:, None] + gains).argmax(axis=2).ravel()
        sets[:, 0] = added
        return np.sort(sets[free], axis=1), quiet[free]

    def helpful(self, rows: Ints, additions: Ints) -> Ints:
        """The settings in the best of these hypotheses, few of the same cause so that none is crowded out."""
        seen, first = np.unique(self.sets[self.heaviest(rows, len(rows))], return_index=True)
        sizes: Counter[int] = Counter()
        wanted = []
        for number in filter(None, seen[np.argsort(first)].tolist()):
            sizes[kind := int(self.kind[number])] += 1
            if sizes[kind] <= SIZES:
                wanted.append(number)
        return np.intersect1d(additions, np.array(wanted[:ADDITIONS], dtype=np.intp))

    def neighbours(self, parents: Ints) -> tuple[Ints, Ints]:
        """Each parent with one setting exchanged for another size of the same cause."""
        sets, quiet = [], []
        for row in parents:
            for place in np.flatnonzero(self.sets[row]):
                others = self._sizes(int(self.sets[row, place]))
                born = np.repeat(self.sets[row][None], len(others), axis=0)
                born[:, place] = others
                sets.append(np.sort(born, axis=1))
                quiet.append(np.full(len(others), self.scores[row].argmax()))
        if not sets:
            return np.zeros((0, WIDTH), dtype=np.intp), np.zeros(0, dtype=np.intp)
        return np.concatenate(sets), np.concatenate(quiet)

    def _sizes(self, number: int) -> Ints:
        """The same cause at its other sizes; of the index grid only the nearest."""
        same = np.flatnonzero(self.kind == self.kind[number])
        if self.states.index_mm[number]:
            away = np.abs(self.states.index_mm[same] - self.states.index_mm[number])
            same = same[np.argsort(away, kind="stable")[:9]]
        return np.asarray(same[same != number])


def _kinds(states: States) -> Ints:
    """A number for each setting's cause (and side, and whether it outlives its repair); shape (settings,)."""
    names = [(s.cause, np.sign(s.index_mm), s.stuck, s.cog) for s in states.settings]
    numbers = {name: number for number, name in enumerate(dict.fromkeys(names))}
    return np.array([numbers[name] for name in names])


def believe(bike: Bike, evidence: Evidence) -> Belief:
    """The belief about a bike after the log."""
    states = States(bike, evidence, moved(bike, evidence))
    search = _Search(Update(states))
    covered = _grow(search)
    rows = search.best(np.arange(len(search.sets)), REFINED)
    search.weigh(*search.neighbours(rows))
    return _settled(search, covered)


def _grow(search: _Search) -> bool:
    """Singles, then pairs, threes and fours; whether the last round added next to nothing."""
    count = len(search.states)
    singles = np.zeros((count, WIDTH), dtype=np.intp)
    singles[:, -1] = np.arange(count)
    search.begin(singles)
    additions = search.possible()
    search.complete(search.best(np.arange(count), COMPLETED, within=2 * HOPELESS))
    front = np.arange(1, count)
    for grown in PARENTS:
        known, parents = len(search.sets), search.best(front, grown)
        search.weigh(*search.grown(parents[:SCOUTS], additions))
        additions = search.helpful(np.arange(known, len(search.sets)), additions)
        search.weigh(*search.grown(parents[SCOUTS:], additions))
        front = np.arange(known, len(search.sets))
        if not len(front):
            return True
        search.complete(search.heaviest(front, FRONT))
        gained = log_sum(search.scores[front]) - log_sum(search.scores[:known])
        if gained < np.log(ENOUGH):
            return True
    return False


def _settled(search: _Search, covered: bool) -> Belief:
    """Weigh the best at every level of the quiet window, thin what was found, weigh that so too, and normalise."""
    # Before thinning: some were met at a level that does them wrong.
    first = search.heaviest(np.arange(len(search.sets)), FIRST)
    search.complete(first)
    found = log_sum(search.scores, axis=1)
    # Small, but never nothing: each must stand for something.
    weight = np.exp(np.maximum(found - found.max(), -600.0))
    rows, stands_for = thinned(weight, np.lexsort(search.sets.T), KEPT)
    search.complete(rows, search.likely_levels(first))
    scores = search.scores[rows] + np.log(stands_for / weight[rows])[:, None]
    best = float(log_sum(scores))
    unlisted = min(
        float(np.log(table("model")["unlisted"]["prior"] / 1000)) + search.update.unlisted(),
        best + MOST_UNLISTED,
    )
    total = np.logaddexp(best, unlisted)
    weight = np.exp(scores - total)
    kept = np.argwhere(weight > 2e-5 * weight.max())
    chosen = weight[kept[:, 0], kept[:, 1]]
    rest = float(np.exp(unlisted - total))
    chosen *= (1 - rest) / chosen.sum()
    return Belief(search.update, search.sets[rows[kept[:, 0]]], kept[:, 1], chosen, rest, covered)
