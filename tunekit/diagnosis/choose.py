"""The choice: fix, look or ride, by expected minutes until the bike is right.

Works on plain arrays, so that small random models with a known optimum can test it. With H hypotheses, C causes and
A repairs:

    weight (H,)    probability of each hypothesis
    need   (H, C)  which causes it has
    mends  (A, C)  chance that a repair mends a cause
    minutes (A,)   cost of each repair, with the ride that proves it
    answers [(H, answers), ...] and their minutes: the questions

A belief is priced by the best plain order of repairs: greedy by what is mended per minute, each seen to work or not.
Looking one step ahead, a question is worth the minutes by which it lowers that price. On top of that comes one
roll-out: for each of the few best first steps, what would then be done is followed some steps further.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating[Any]]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]
SINGLE = np.float32

STEPS = 14
"""Longest order of repairs worked out; what is left then goes to somebody else."""
SPENT = 0.001
"""An order of repairs ends early once this share of the bikes is left."""
SHORT_LIST = 5
"""First questions, and first repairs, that are followed further."""
LEAST = 0.03
"""A repair less likely than this to mend anything is not worth naming while there is another."""
INNER = 6
"""Questions considered after the first step."""
DEPTH = 2
"""Steps followed after the first one."""
BREADTH = 2
"""Best steps of which each is followed, after the first one."""
NEAR = 1.12
"""A step is followed unless it looks this many times as dear as the best."""
ALL = 0.5
"""A change of the answer, or a chance to mend, from which a step is all about a cause."""
NOTHING = 0.25
"""A question that saves less than these minutes, its own not counted, changes nothing and is left out."""
LIKELY = 0.25
"""Chance of the causes that a question tells of from which custom counts in full."""
SLIGHT = 0.002
"""A course of events less likely than this is priced by plain repairs alone."""


@dataclass(frozen=True, slots=True)
class Lean:
    """Minutes by which a step may look dearer when it is all about the likeliest cause.

    Estimates of minutes are no better than that, and of steps that cost about the same this one is understood, and
    stays the same when a constant is a little different. For a repair it is less: that is not taken back for nothing.
    A cause half as likely counts a quarter.
    """

    look: float = 0.0
    gauge: float = 0.0
    """A look that tells the size of it."""
    repair: float = 0.0


@dataclass(frozen=True)
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
    puts_out: Bools | None = None
    """Which repairs do that harm to a bike with other faults too: a turn of what was right; shape (repairs,)."""
    proof_minutes: float = 0.0
    """A ride that only hears whether the bike is right."""
    miss_minutes: float = 1e6
    """The price of stopping while something is wrong."""
    gauges: Bools | None = None
    """Causes of whose size a question's reading tells: it is all about these; shape (questions, causes)."""
    lean: Lean = Lean()
    first: Floats | None = None
    """Minutes by which a question may look dearer because custom puts it first; shape (questions,)."""

    @cached_property
    def all_minutes(self) -> Floats:
        """Minutes of every repair, help last."""
        return np.append(self.minutes, self.help_minutes)

    @cached_property
    def all_mends(self) -> Floats:
        """What every repair mends, help (everything) last."""
        return np.vstack([self.mends, np.ones((1, self.need.shape[1]))])


@dataclass(frozen=True, slots=True)
class Choice:
    """A first step and its expected minutes: repair or question number `index`."""

    is_repair: bool
    index: int
    minutes: float


@dataclass(frozen=True, slots=True)
class _Courses:
    """Courses of events (first axis): each a belief that adds up to the chance of coming there."""

    weights: Floats
    """Shape (N, H)."""
    left: Floats
    """Chance that a cause, if it was there, still is; shape (N, C)."""
    asked: Bools
    """Questions already asked: the same ear would answer the same; shape (N, questions)."""

    def __getitem__(self, rows: NDArray[np.generic]) -> "_Courses":
        return _Courses(self.weights[rows], self.left[rows], self.asked[rows])

    @staticmethod
    def joined(parts: "list[_Courses]") -> "_Courses":
        return _Courses(
            *(np.concatenate([getattr(p, n) for p in parts]) for n in ("weights", "left", "asked"))
        )


class _Bench:
    """Prices courses of events. Hypotheses that need the same are priced as one *pattern*."""

    def __init__(self, problem: Problem) -> None:
        patterns, group = np.unique(problem.need, axis=0, return_inverse=True)
        used = patterns.any(axis=0)
        self.problem, self.needed = problem, patterns[:, used].astype(SINGLE)
        self.sums = np.eye(len(patterns), dtype=SINGLE)[group.ravel()]
        self.sound = (~patterns.any(axis=1)).astype(SINGLE)
        self.mends, self.minutes = (
            problem.all_mends[:, used].astype(SINGLE),
            problem.all_minutes.astype(SINGLE),
        )
        self.mends_a_minute = self.mends.T / self.minutes
        self.harms = self._harms()
        self.answers = [answers.astype(SINGLE) for answers in problem.answers]

    def _harms(self) -> Floats:
        """Minutes a repair costs on top where it mends nothing and puts out what was right; (patterns, repairs)."""
        out = np.zeros((len(self.needed), len(self.minutes)), SINGLE)
        if self.problem.puts_out is not None:
            needless = (self.needed @ self.mends.T == 0) & np.append(self.problem.puts_out, False)
            out[needless] = self.problem.harm_minutes
        out[self.sound > 0] = 0  # counted apart, for every repair alike
        return out

    # --- one belief -----------------------------------------------------------------------------------------------

    def start(self, weight: Floats) -> _Courses:
        none_asked = np.zeros((1, len(self.problem.answers)), dtype=bool)
        return _Courses(weight[None].astype(SINGLE), np.ones((1, self.needed.shape[1]), SINGLE), none_asked)

    def still_open(self, left: Floats) -> Floats:
        """Chance that something a pattern needs is still unmended; shape (N, patterns)."""
        return np.asarray(1 - np.exp(np.log(np.maximum(1 - left, SINGLE(1e-9))) @ self.needed.T))

    def repair_price(self, beliefs: Floats, left: Floats) -> tuple[Floats, Ints]:
        """Expected minutes of the greedy order of repairs, and its first repair; beliefs of shape (N, patterns)."""
        opened = beliefs * self.still_open(left)
        pick = first = self._worth(opened, left).argmax(axis=1)
        mass, price, rows = opened.sum(axis=1), np.zeros(len(beliefs), SINGLE), np.arange(len(beliefs))
        done = SPENT * mass
        for step in range(STEPS):
            if step:
                pick = self._worth(opened, left).argmax(axis=1)
            price[rows] += mass * self.minutes[pick] + (opened * self.harms.T[pick]).sum(axis=1)
            left = left * (1 - self.mends[pick])
            opened = beliefs[rows] * self.still_open(left)
            mass = opened.sum(axis=1)
            going = mass > done[rows]
            price[rows[~going]] += mass[~going] * SINGLE(self.problem.help_minutes)
            rows, left, opened, mass = rows[going], left[going], opened[going], mass[going]
            if not len(rows):
                break
        price[rows] += mass * SINGLE(self.problem.help_minutes)
        return price, first

    def _worth(self, opened: Floats, left: Floats) -> Floats:
        """What each repair mends per minute; shape (N, repairs)."""
        return ((opened @ self.needed) * left) @ self.mends_a_minute

    def price(self, beliefs: Floats, left: Floats) -> Floats:
        """Expected minutes without questions: repair, ride once more to hear whether it is needed, or stop."""
        plain, first = self.repair_price(beliefs, left)
        sound = beliefs @ self.sound
        opened = (beliefs * self.still_open(left)).sum(axis=1)
        at_once = plain + sound * (self.minutes[first] + self.problem.harm_minutes)
        proved = plain + 1.5 * (sound + opened) * self.problem.proof_minutes
        proved = np.where(sound > 0, proved, np.inf)
        return np.asarray(np.minimum(np.minimum(at_once, proved), opened * self.problem.miss_minutes))

    def mass(self, courses: _Courses) -> Floats:
        """Chance that a course is come to with work still to do or nothing yet known; shape (N,)."""
        beliefs = courses.weights @ self.sums
        return np.asarray((beliefs * (self.still_open(courses.left) + self.sound)).sum(axis=1))

    # --- steps --------------------------------------------------------------------------------------------------------

    def asked(self, courses: _Courses, question: int) -> _Courses:
        """The courses after each answer; the answers of one course lie side by side."""
        answers = self.answers[question]
        count = answers.shape[1]
        weights = (courses.weights[:, None, :] * answers.T[None]).reshape(-1, len(answers))
        out = _Courses(weights, np.repeat(courses.left, count, 0), np.repeat(courses.asked, count, 0))
        out.asked[:, question] = True
        return out

    def mended(self, courses: _Courses, repair: int) -> _Courses:
        """The courses after a repair; its ride has told which bikes are right, and those are done with."""
        weights = courses.weights * (1 - self.sums @ self.sound)
        return _Courses(weights, courses.left * (1 - self.mends[repair]), courses.asked)

    def step_prices(self, courses: _Courses, questions: list[int], repairs: list[int]) -> Floats:
        """Expected minutes when one step is taken and then priced plainly; shape (N, questions + repairs)."""
        count = len(courses.weights)
        asked = self._asked_beliefs(courses.weights, questions)
        after = [self.mended(courses, repair) for repair in repairs]
        price = self.price(
            np.concatenate([asked, *(part.weights @ self.sums for part in after)]),
            np.concatenate([np.repeat(courses.left, len(asked) // count, 0), *(part.left for part in after)]),
        )
        sums = np.zeros((count, len(questions) + len(repairs)), SINGLE)
        if questions:
            starts = np.cumsum([0, *(self.answers[q].shape[1] for q in questions[:-1])])
            answered = np.add.reduceat(price[: len(asked)].reshape(count, -1), starts, axis=1)
            answered += self.problem.answer_minutes[questions] * self.mass(courses)[:, None]
            sums[:, : len(questions)] = np.where(courses.asked[:, questions], np.inf, answered)
        if repairs:
            mended = price[len(asked) :].reshape(len(repairs), -1).T
            sums[:, len(questions) :] = mended + self.spent(courses, repairs)
        return sums

    def _asked_beliefs(self, weights: Floats, questions: list[int]) -> Floats:
        """Beliefs after every answer, those of one course side by side; shape (N * answers, patterns)."""
        if not questions:
            return np.zeros((0, self.sums.shape[1]), SINGLE)
        answers = np.hstack([self.answers[q] for q in questions])
        spread = (answers[:, :, None] * self.sums[:, None, :]).reshape(len(answers), -1)
        return np.asarray((weights @ spread).reshape(-1, self.sums.shape[1]))

    def spent(self, courses: _Courses, repairs: list[int]) -> Floats:
        """Minutes that the repairs themselves cost, harm to a sound bike included; shape (N, repairs)."""
        beliefs = courses.weights @ self.sums
        sound, opened = beliefs @ self.sound, beliefs * self.still_open(courses.left)
        harm = self.problem.harm_minutes * sound[:, None] + opened @ self.harms[:, repairs]
        return np.asarray(self.mass(courses)[:, None] * self.minutes[repairs] + harm)

    # --- following a course --------------------------------------------------------------------------------

    def followed(self, courses: _Courses, questions: list[int], repairs: list[int], depth: int) -> Floats:
        """Expected minutes when the best step by looking one ahead is taken `depth` times; shape (N,)."""
        out = self.price(courses.weights @ self.sums, courses.left)
        rows = np.flatnonzero(self.mass(courses) > SLIGHT)
        if not depth or not len(rows):
            return out
        here = courses[rows]
        table = self.step_prices(here, questions, repairs)
        out[rows] = np.minimum(out[rows], table.min(axis=1))
        if depth > 1:
            for step in np.argsort(table, axis=1, kind="stable").T[: BREADTH if depth == DEPTH else 1]:
                near = np.flatnonzero(table[np.arange(len(step)), step] < NEAR * out[rows])
                if len(near):
                    minutes = self._after(here[near], step[near], questions, repairs, depth - 1)
                    out[rows[near]] = np.minimum(out[rows[near]], minutes)
        return out

    def _after(
        self, here: _Courses, step: Ints, questions: list[int], repairs: list[int], depth: int
    ) -> Floats:
        """Expected minutes when each course takes its own `step` (a column of the table) and is then followed."""
        out, mass = np.zeros(len(step), SINGLE), self.mass(here)
        parts, owner = [], []
        for number, question in enumerate(questions):
            if len(at := np.flatnonzero(step == number)):
                out[at] = self.problem.answer_minutes[question] * mass[at]
                parts.append(self.asked(here[at], question))
                owner.append(np.repeat(at, self.answers[question].shape[1]))
        for number, repair in enumerate(repairs, len(questions)):
            if len(at := np.flatnonzero(step == number)):
                out[at] = self.spent(here[at], [repair])[:, 0]
                parts.append(self.mended(here[at], repair))
                owner.append(at)
        minutes = self.followed(_Courses.joined(parts), questions, repairs, depth)
        return out + np.bincount(np.concatenate(owner), minutes, len(out))


@np.errstate(invalid="ignore")  # OpenBLAS pads small products and now and then flags what it does not use
def choose(problem: Problem, weight: Floats) -> tuple[list[Choice], float]:
    """First steps, best first, and the expected minutes without any question.

    Every question and repair is priced one step ahead; the best few of each kind are followed further, and only those
    can come first. Minutes are spent on a sound bike too until a ride has told that it is one. What a step has to do
    with the likeliest causes counts by `problem.lean`, custom by `problem.first`. A question that changes nothing is
    left out.
    """
    bench, favour = _Bench(problem), _Favour(problem, weight)
    start = bench.start(weight)
    plain = float(bench.price(start.weights @ bench.sums, start.left)[0])
    asked = bench.step_prices(start, list(range(len(problem.answers))), [])[0]
    asked = asked - favour.questions
    questions = [int(q) for q in np.argsort(asked, kind="stable")[:INNER]]
    repairs = _likely_repairs(bench, start)
    firsts = [(False, q) for q in questions[:SHORT_LIST]] + [(True, a) for a in repairs]
    parts = [bench.mended(start, n) if is_repair else bench.asked(start, n) for is_repair, n in firsts]
    followed = bench.followed(_Courses.joined(parts), questions, repairs, DEPTH)
    owner = np.repeat(np.arange(len(parts)), [len(part.weights) for part in parts])
    minutes = np.bincount(owner, followed, len(parts))
    own = [
        bench.spent(start, [n])[0, 0] if is_repair else problem.answer_minutes[n] for is_repair, n in firsts
    ]
    choices = [
        Choice(is_repair, n, float(m + o)) for (is_repair, n), m, o in zip(firsts, minutes, own, strict=True)
    ]
    tells = [
        choice for choice, m in zip(choices, minutes, strict=True) if choice.is_repair or m < plain - NOTHING
    ]
    return sorted(tells, key=lambda choice: choice.minutes - favour.of(choice)), plain


class _Favour:
    """Minutes that each step is favoured by: how much it has to do with the likeliest causes, and custom."""

    def __init__(self, problem: Problem, weight: Floats) -> None:
        chance = weight @ problem.need
        near = np.square(chance / max(float(chance.max()), 1e-12))
        lean = problem.lean
        told = told_of(problem, weight)
        self.questions = lean.look * _most(near, told)
        if problem.gauges is not None:
            self.questions = np.maximum(self.questions, lean.gauge * _most(near, problem.gauges))
        if problem.first is not None:
            self.questions = self.questions + problem.first * np.minimum(told @ chance / LIKELY, 1.0)
        mended = np.minimum(chance * problem.mends / ALL, 1.0)
        # Help, the last repair, mends everything and is about nothing.
        self.repairs = np.append(lean.repair * _most(near, mended), 0.0)

    def of(self, choice: Choice) -> float:
        return float((self.repairs if choice.is_repair else self.questions)[choice.index])


def told_of(problem: Problem, weight: Floats) -> Floats:
    """How far each cause, if it is there, changes each answer: 1 = all about it; shape (questions, causes)."""
    chance = weight @ problem.need
    if not problem.answers:
        return np.zeros((0, len(chance)))
    there = weight[:, None] * problem.need / np.maximum(chance, 1e-12)
    change = np.abs((there - weight[:, None]).T @ np.hstack(problem.answers))
    starts = np.cumsum([0, *(answers.shape[1] for answers in problem.answers[:-1])])
    return np.asarray(np.minimum(np.add.reduceat(change, starts, axis=1).T / 2 / ALL, 1.0))


def _most(near: Floats, about: Floats | Bools) -> Floats:
    """The most that each row has to do with a cause, by how near that cause is to being the likeliest."""
    return np.asarray((near * about).max(axis=1, initial=0.0))


def found_by(problem: Problem, weight: Floats, astray: Floats | float = 1.0) -> Floats:
    """Share of bikes on which each question finds that something is still wrong; shape (questions,).

    An answer finds the bikes with a fault on which it would be given, less the sound ones that it would send astray,
    each of which counts as so much of a fault found (`astray`, one figure or one for each question).
    """
    right = ~problem.need.any(axis=1)
    costs = np.broadcast_to(astray, len(problem.answers))
    found = [
        np.clip((weight * ~right) @ answers - cost * (weight * right) @ answers, 0, None).sum()
        for answers, cost in zip(problem.answers, costs, strict=True)
    ]
    return np.array(found)


def _likely_repairs(bench: _Bench, start: _Courses) -> list[int]:
    """The greedy first repair and the runners-up by what they mend per minute."""
    beliefs = start.weights @ bench.sums
    mended = (beliefs @ bench.needed @ bench.mends.T)[0]
    first = int(bench.repair_price(beliefs, start.left)[1][0])
    ranked = [int(a) for a in np.argsort(-mended / bench.minutes, kind="stable") if mended[a] > LEAST][
        :SHORT_LIST
    ]
    return list(dict.fromkeys([*ranked, first]))[:SHORT_LIST]
