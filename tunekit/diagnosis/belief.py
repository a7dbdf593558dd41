"""The belief: which hypotheses are worth keeping, and how probable each is after the log.

Draws from the prior do not survive a long log, so hypotheses are enumerated: every single setting, then pairs, threes
and fours grown from the best so far, then the neighbours of the best in size. No chance is involved: the same log
gives the same belief.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tunekit.bike import Bike
from tunekit.data import table
from tunekit.diagnosis.evidence import Evidence
from tunekit.diagnosis.hands import moved
from tunekit.diagnosis.places import Places
from tunekit.diagnosis.states import States
from tunekit.diagnosis.update import Update

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

USUAL = 1
"""The level of the quiet window at which single settings are weighed first."""
WIDTH = 4
"""Most settings in one hypothesis."""
PARENTS = (16, 10, 6)
"""How many of the best are grown at each size of hypothesis."""
SAME_CAUSE = 2
"""At most so many parents that name the same causes, so that one cause in many sizes does not crowd out the rest."""
COMPLETED = 60
"""Single settings weighed at every level of the quiet window before they are grown."""
AGAINST = -1.5
"""Log odds by which a log may speak against a setting that is still added to others."""
REFINED = 16
"""How many of the best are refined in size."""
ADDITIONS = 90
"""Settings that go on being added after the first round: those that helped most."""
KEPT = 200
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
        self.sets = np.zeros((0, WIDTH), dtype=np.intp)
        self.scores = np.zeros((0, len(self.log_quiet)))
        self.kind = _kinds(self.states)
        model = table("model")
        again = np.log(model["several"]["odds"])
        self.by_count = np.array([np.log(model["nothing"]["odds"]), *(again * n for n in range(WIDTH))])

    def keys(self, sets: Ints) -> Ints:
        return np.asarray(sets @ (len(self.states) ** np.arange(WIDTH)))

    def weigh(self, sets: Ints, quiet: Ints) -> None:
        """Add hypotheses not yet known, each weighed at its given level of the quiet window."""
        keys = self.keys(sets)
        _, first = np.unique(keys, return_index=True)
        first = first[~np.isin(keys[first], self.keys(self.sets))]
        scores = np.full((len(first), len(self.log_quiet)), -np.inf)
        for level in np.unique(quiet[first]):
            rows = np.flatnonzero(quiet[first] == level)
            scores[rows, level] = self._log_weight(sets[first[rows]], int(level))
        self.sets = np.concatenate([self.sets, sets[first]])
        self.scores = np.concatenate([self.scores, scores])

    def complete(self, rows: Ints) -> None:
        """Weigh known hypotheses at every level of the quiet window and of hearing error."""
        for level in range(len(self.log_quiet)):
            self.scores[rows, level] = self._log_weight(self.sets[rows], level, exact=True)

    def _log_weight(self, sets: Ints, level: int, exact: bool = False) -> Floats:
        prior = self.states.log_odds[sets].sum(axis=1) + self.log_quiet[level]
        faults = (self.states.log_odds[sets] != 0).sum(axis=1)
        prior += self.by_count[faults]
        return np.asarray(prior + self.update.log_likelihood(sets, level, exact))

    def possible(self) -> Ints:
        """Settings that the log does not speak against by themselves, and all that share the pulley's offset.

        A setting that makes what was heard less likely alone makes it less likely beside others too; only offsets can
        cancel.
        """
        states = self.states
        gain = self.scores[: len(states), USUAL] - self.by_count[1] - states.log_odds
        gain -= self.scores[0, USUAL] - self.by_count[0]
        share = states.shifts | (states.index_mm != 0) | (states.before_mm != 0) | states.stops_mm.any(axis=1)
        return np.flatnonzero((gain > AGAINST) | share)

    def best(self, rows: Ints, count: int) -> Ints:
        """The best of these hypotheses, at most SAME_CAUSE of them naming the same causes."""
        score = self.scores[rows].max(axis=1)
        ranked = rows[np.argsort(-score, kind="stable")[: 40 * count]]
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

    def grown(self, parents: Ints, additions: Ints) -> tuple[Ints, Ints]:
        """Each parent with one more setting from a group it has none of, and the level its parent liked best."""
        sets = np.repeat(self.sets[parents], len(additions), axis=0)
        added = np.tile(additions, len(parents))
        free = (self.states.group[sets] != self.states.group[added][:, None]).all(axis=1) & (sets[:, 0] == 0)
        quiet = np.repeat(self.scores[parents].argmax(axis=1), len(additions))
        sets[:, 0] = added
        return np.sort(sets[free], axis=1), quiet[free]

    def helpful(self, rows: Ints, additions: Ints) -> Ints:
        """The settings that occur in the best of these hypotheses."""
        order = rows[np.argsort(-self.scores[rows].max(axis=1), kind="stable")]
        seen = dict.fromkeys(self.sets[order].ravel().tolist())
        wanted = [n for n in seen if n][:ADDITIONS]
        return np.intersect1d(additions, np.array(wanted, dtype=np.intp))

    def neighbours(self, parents: Ints) -> tuple[Ints, Ints]:
        """Each parent with one setting exchanged for another size from the same group."""
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
        """Other settings of the same group; of the index grid only the nearest."""
        same = np.flatnonzero(self.states.group == self.states.group[number])
        if self.states.index_mm[number]:
            near = np.argsort(
                np.abs(self.states.index_mm[same] - self.states.index_mm[number]), kind="stable"
            )
            same = same[near[:9]]
        return np.asarray(same[same != number])


def _kinds(states: States) -> Ints:
    """A number for each setting's cause (and side, and whether it outlives its repair); shape (settings,)."""
    names = [(s.cause, np.sign(s.index_mm), s.stuck, s.cog) for s in states.settings]
    numbers = {name: number for number, name in enumerate(dict.fromkeys(names))}
    return np.array([numbers[name] for name in names])


def _coarse(states: States) -> Ints:
    """Settings used for growing: every second step of the index grid, everything else."""
    index = np.flatnonzero(states.index_mm)
    return np.setdiff1d(np.arange(1, len(states)), index[1::2])


def believe(bike: Bike, evidence: Evidence) -> Belief:
    """The belief about a bike after the log."""
    states = States(bike, evidence, moved(bike, evidence))
    search = _Search(Update(states, Places(bike)))
    covered = _grow(search)
    rows = search.best(np.arange(len(search.sets)), REFINED)
    search.weigh(*search.neighbours(rows))
    return _settled(search, covered)


def _grow(search: _Search) -> bool:
    """Singles, then pairs, threes and fours; whether the last round added next to nothing."""
    count = len(search.states)
    singles = np.zeros((count, WIDTH), dtype=np.intp)
    singles[:, -1] = np.arange(count)
    search.weigh(singles, np.full(count, USUAL, dtype=np.intp))
    coarse = np.intersect1d(_coarse(search.states), search.possible())
    search.complete(search.best(np.arange(count), COMPLETED))
    front = np.arange(1, count)
    for parents in PARENTS:
        known = len(search.sets)
        search.weigh(*search.grown(search.best(front, parents), coarse))
        front = np.arange(known, len(search.sets))
        coarse = search.helpful(front, coarse)
        if not len(front):
            return True
        gained = log_sum(search.scores[front]) - log_sum(search.scores[:known])
        if gained < np.log(ENOUGH):
            return True
    return False


def _settled(search: _Search, covered: bool) -> Belief:
    """Weigh the best hypotheses at every level of the quiet window, and normalise."""
    ranked = np.argsort(-search.scores.max(axis=1), kind="stable")[:KEPT]
    search.complete(ranked)
    rows = search.scores[ranked]
    best = float(log_sum(rows))
    unlisted = min(
        float(np.log(table("model")["unlisted"]["prior"] / 1000)) + search.update.unlisted(),
        best + MOST_UNLISTED,
    )
    total = np.logaddexp(best, unlisted)
    weight = np.exp(rows - total)
    kept = np.argwhere(weight > 2e-5 * weight.max())
    chosen = weight[kept[:, 0], kept[:, 1]]
    rest = float(np.exp(unlisted - total))
    chosen *= (1 - rest) / chosen.sum()
    return Belief(search.update, search.sets[ranked[kept[:, 0]]], kept[:, 1], chosen, rest, covered)
