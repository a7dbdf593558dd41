"""The choice: fix, look or ride, by expected minutes until the bike is right.

Works on plain arrays, so that small random models with a known optimum can test it. With H hypotheses, C causes and
A repairs:

    weight (H,)    probability of each hypothesis
    need   (H, C)  which causes it has
    mends  (A, C)  chance that a repair mends a cause
    minutes (A,)   cost of each repair, with the ride that proves it
    answers [(H, answers), ...] and their minutes: the questions

The price of a belief is that of the best plain order of repairs (greedy by what is mended per minute, each seen to work
or not). A question is worth the minutes it saves; a second step is looked ahead for the few best first steps.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

STEPS = 14
"""Longest order of repairs worked out; what is left then goes to somebody else."""
SHORT_LIST = 5
"""First steps for which a second step is looked ahead."""
LEAST = 0.03
"""A repair less likely than this to mend anything is not worth naming while there is another."""
INNER = 6
"""Questions considered at the second step."""


@dataclass(frozen=True, slots=True)
class Problem:
    """What the choice is about."""

    need: Bools
    mends: Floats
    minutes: Floats
    help_minutes: float
    answers: tuple[Floats, ...]
    answer_minutes: Floats
    harm_minutes: float = 0.0
    """What laying hands on a sound bike costs on top: it may be put out, and must be found right again."""
    proof_minutes: float = 0.0
    """A ride that only hears whether the bike is right."""
    miss_minutes: float = 1e6
    """The price of stopping while something is wrong."""

    @property
    def all_minutes(self) -> Floats:
        """Minutes of every repair, help last."""
        return np.append(self.minutes, self.help_minutes)

    @property
    def all_mends(self) -> Floats:
        """What every repair mends, help (everything) last."""
        return np.vstack([self.mends, np.ones((1, self.need.shape[1]))])


@dataclass(frozen=True, slots=True)
class Choice:
    """A first step and its expected minutes: repair or question number `index`."""

    is_repair: bool
    index: int
    minutes: float


def repair_price(
    problem: Problem, weights: Floats, unmended: Floats | None = None
) -> tuple[Floats, NDArray[np.intp]]:
    """Expected minutes of the greedy order of repairs for each belief, times its mass, and the first repair of each.

    `weights` has shape (B, H) and need not add up to 1; `unmended` (B, C) is the chance that a cause, if it was there,
    still is. The second result numbers repairs as in `mends`, with help as the last number.
    """
    need = problem.need.astype(float)
    mends, minutes = problem.all_mends, problem.all_minutes
    left = np.ones((len(weights), need.shape[1])) if unmended is None else unmended.copy()
    price = np.zeros(len(weights))
    first = np.full(len(weights), -1, dtype=np.intp)
    open_weight = weights * _still_open(left, need)
    start = open_weight.sum(axis=1)
    for step in range(STEPS):
        worth = ((open_weight @ need) * left) @ mends.T / minutes
        pick = worth.argmax(axis=1)
        if step == 0:
            first = pick
        price += open_weight.sum(axis=1) * minutes[pick]
        left = left * (1 - mends[pick])
        open_weight = weights * _still_open(left, need)
        if (open_weight.sum(axis=1) <= 1e-3 * start + 1e-12).all():
            break
    return price + open_weight.sum(axis=1) * problem.help_minutes, first


def _still_open(left: Floats, need: Floats) -> Floats:
    """Chance that something a hypothesis needs is still unmended; shape (B, H)."""
    return np.asarray(1 - np.exp(np.log(np.clip(1 - left, 1e-9, 1.0)) @ need.T))


def leaf_price(problem: Problem, weights: Floats, unmended: Floats | None = None) -> Floats:
    """Expected minutes without further questions: repair at once, ride once more to hear whether it is needed, or stop.

    Shape (B,), times the mass of each belief. After a repair (`unmended` given) its ride has told whether the bike is
    right, so only bikes that are not cost anything.
    """
    plain, first = repair_price(problem, weights, unmended)
    if unmended is not None:
        return plain
    open_mass = weights @ problem.need.any(axis=1)
    sound = weights.sum(axis=1) - open_mass
    at_once = plain + sound * (problem.all_minutes[first] + problem.harm_minutes)
    proved = plain + 1.5 * (sound + open_mass) * problem.proof_minutes
    proved = np.where(sound > 0, proved, np.inf)
    return np.asarray(np.minimum(np.minimum(at_once, proved), open_mass * problem.miss_minutes))


def question_prices(
    problem: Problem, weights: Floats, which: list[int], unmended: Floats | None = None
) -> Floats:
    """Expected minutes when each of these questions is asked first and repairs follow; shape (B, questions)."""
    if not which:
        return np.zeros((len(weights), 0))
    split = np.concatenate([weights[:, None, :] * problem.answers[q].T[None] for q in which], axis=1)
    flat = split.reshape(-1, split.shape[2])
    left = None if unmended is None else np.repeat(unmended, split.shape[1], axis=0)
    price = leaf_price(problem, flat, left).reshape(len(weights), -1)
    out, start = np.empty((len(weights), len(which))), 0
    spent = (
        weights.sum(axis=1)
        if unmended is None
        else (weights * _still_open(unmended, problem.need.astype(float))).sum(axis=1)
    )
    for column, q in enumerate(which):
        stop = start + problem.answers[q].shape[1]
        out[:, column] = price[:, start:stop].sum(axis=1) + problem.answer_minutes[q] * spent
        start = stop
    return out


def best_price(problem: Problem, weights: Floats, which: list[int], unmended: Floats | None = None) -> Floats:
    """Expected minutes with at most one question before repairs; shape (B,)."""
    plain = leaf_price(problem, weights, unmended)
    if not which:
        return plain
    return np.asarray(np.minimum(plain, question_prices(problem, weights, which, unmended).min(axis=1)))


def choose(problem: Problem, weight: Floats) -> tuple[list[Choice], float]:
    """First steps, best first, and the expected minutes without any question.

    A question that saves less than its own minutes is hidden.

    Every repair and question is priced one step ahead; the best few of each kind two steps ahead, and only those with
    a second step can come first. Minutes are spent on a sound bike too until a ride has told that it is one.
    """
    here = weight[None]
    first = repair_price(problem, here)[1]
    every = list(range(len(problem.answers)))
    asked = question_prices(problem, here, every)[0] if every else np.zeros(0)
    plain = float(leaf_price(problem, here)[0])
    inner = [int(q) for q in np.argsort(asked, kind="stable")[:INNER] if asked[q] < plain]
    choices = [_ask(problem, weight, q, inner) for q in inner[:SHORT_LIST]]
    choices += [_mend(problem, weight, a, inner) for a in _likely_repairs(problem, weight, int(first[0]))]
    return sorted(choices, key=lambda c: c.minutes), plain


def _likely_repairs(problem: Problem, weight: Floats, first: int) -> list[int]:
    """The greedy first repair and the runners-up by what they mend per minute."""
    mended = (weight @ problem.need) @ problem.all_mends.T
    worth = mended / problem.all_minutes
    ranked = [int(a) for a in np.argsort(-worth, kind="stable")[:SHORT_LIST] if mended[a] > LEAST]
    return list(dict.fromkeys([*ranked, first]))[:SHORT_LIST]


def _ask(problem: Problem, weight: Floats, question: int, inner: list[int]) -> Choice:
    after = weight[None, :] * problem.answers[question].T
    rest = [q for q in inner if q != question]
    minutes = float(best_price(problem, after, rest).sum() + problem.answer_minutes[question] * weight.sum())
    return Choice(False, question, minutes)


def _mend(problem: Problem, weight: Floats, repair: int, inner: list[int]) -> Choice:
    left = (1 - problem.all_mends[repair])[None]
    minutes = float(best_price(problem, weight[None], inner, left)[0])
    sound = float(weight @ ~problem.need.any(axis=1))
    return Choice(
        True,
        repair,
        minutes + float(problem.all_minutes[repair] * weight.sum()) + problem.harm_minutes * sound,
    )
