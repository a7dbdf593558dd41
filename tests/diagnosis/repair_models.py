"""Small troubleshooting models whose best policy is known exactly, and policies to compare with it.

One fault: a random bike has exactly one of `faults` causes; a ride after each repair tells for certain whether it is
right; questions have two answers that are right with a given probability, and asking one again gives the same answer.
The optimum comes by dynamic programming over (repairs done, answers given). Two faults: any one or two of a few
causes, and a ride that errs; the optimum comes by expectimax over every history.

Masses instead of probabilities run through everything: a belief that adds up to its chance of being reached.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import combinations, product

import numpy as np
from numpy.typing import NDArray

from tunekit.diagnosis.choose import Problem, choose

Floats = NDArray[np.float64]
HELP_MINUTES = 75.0
State = tuple[int, tuple[int, ...]]
"""Bits of the repairs done, and the answer to each question: 0 unasked, 1 no, 2 yes."""


@dataclass(frozen=True, eq=False)
class OneFault:
    """Exactly one of F causes; R repairs, Q questions of two answers."""

    prior: Floats
    mends: Floats
    """Whether a repair mends a cause, 0 or 1; shape (R, F)."""
    minutes: Floats
    answers: tuple[Floats, ...]
    """Chance of no and yes under each cause; each of shape (F, 2)."""
    answer_minutes: Floats

    @staticmethod
    def random(rng: np.random.Generator, right: float, faults: int = 10, questions: int = 5) -> "OneFault":
        """One repair for each cause, some of which mend others too; each question separates two camps."""
        mends = np.eye(faults)
        mends[rng.random((faults, faults)) < 0.08] = 1
        camps = [rng.random(faults) < rng.uniform(0.2, 0.6) for _ in range(questions)]
        answers = tuple(np.where(camp[:, None], (1 - right, right), (right, 1 - right)) for camp in camps)
        return OneFault(
            prior=rng.dirichlet(np.full(faults, 1.0)),
            mends=mends,
            minutes=np.exp(rng.uniform(np.log(3), np.log(40), faults)),
            answers=answers,
            answer_minutes=np.exp(rng.uniform(np.log(0.8), np.log(4), questions)),
        )

    def belief(self, state: State) -> Floats:
        """Mass of each cause that is still there; shape (F,)."""
        done, given = state
        mass = self.prior.copy()
        for repair in range(len(self.mends)):
            if done >> repair & 1:
                mass = mass * (1 - self.mends[repair])
        for question, answer in enumerate(given):
            if answer:
                mass = mass * self.answers[question][:, answer - 1]
        return mass

    @cached_property
    def optimum(self) -> float:
        """Expected minutes of the best policy, by dynamic programming over all (repairs done, answers given)."""
        done = (np.arange(2 ** len(self.mends))[:, None] >> np.arange(len(self.mends))) & 1
        left = np.prod(np.where(done[:, :, None] == 1, 1 - self.mends, 1.0), axis=1)
        given = np.array(list(product(range(3), repeat=len(self.answers)))).reshape(-1, len(self.answers))
        chance = np.ones((len(given), len(self.prior)))
        for question, answers in enumerate(self.answers):
            factors = np.column_stack([np.ones(len(self.prior)), answers])
            chance *= factors[:, given[:, question]].T
        mass = (chance * self.prior) @ left.T
        best = HELP_MINUTES * mass
        step = 3 ** np.arange(len(self.answers))[::-1]
        for asked in range(len(self.answers), -1, -1):
            rows = np.flatnonzero((given > 0).sum(axis=1) == asked)
            self._ask(best, mass, rows, given, step)
            self._repair(best, mass, rows, done.sum(axis=1))
        return float(best[0, 0])

    def _ask(
        self,
        best: Floats,
        mass: Floats,
        rows: NDArray[np.intp],
        given: NDArray[np.intp],
        step: NDArray[np.intp],
    ) -> None:
        for question in range(len(self.answers)):
            free = rows[given[rows, question] == 0]
            after = best[free + step[question]] + best[free + 2 * step[question]]
            best[free] = np.minimum(best[free], self.answer_minutes[question] * mass[free] + after)

    def _repair(self, best: Floats, mass: Floats, rows: NDArray[np.intp], count: NDArray[np.intp]) -> None:
        for size in range(len(self.mends) - 1, -1, -1):
            for done in np.flatnonzero(count == size):
                for repair in range(len(self.mends)):
                    if not done >> repair & 1:
                        after = self.minutes[repair] * mass[rows, done] + best[rows, done | 1 << repair]
                        best[rows, done] = np.minimum(best[rows, done], after)

    def cost(self, policy: "Policy") -> float:
        """Expected minutes of a policy, every answer followed exactly."""

        @cache
        def minutes(state: State) -> float:
            belief = self.belief(state)
            mass = float(belief.sum())
            if mass < 1e-9:
                return 0.0
            is_repair, which = policy(self, state)
            done, given = state
            if not is_repair:
                after = [(done, (*given[:which], answer, *given[which + 1 :])) for answer in (1, 2)]
                return float(self.answer_minutes[which]) * mass + sum(minutes(s) for s in after)
            if which == len(self.mends):
                return HELP_MINUTES * mass
            return float(self.minutes[which]) * mass + minutes((done | 1 << which, given))

        return minutes((0, (0,) * len(self.answers)))

    def problem(self, given: tuple[int, ...]) -> tuple[Problem, list[int]]:
        """The model as `choose` takes it, with the questions not yet asked."""
        free = [question for question, answer in enumerate(given) if not answer]
        return Problem(
            need=np.eye(len(self.prior), dtype=bool),
            mends=self.mends,
            minutes=self.minutes,
            help_minutes=HELP_MINUTES,
            answers=tuple(self.answers[question] for question in free),
            answer_minutes=self.answer_minutes[free],
        ), free


Policy = Callable[[OneFault, State], tuple[bool, int]]
"""From a state to (is it a repair, which); repair number R is help."""


def by_choose(model: OneFault, state: State) -> tuple[bool, int]:
    """The policy under test."""
    problem, free = model.problem(state[1])
    belief = model.belief(state)
    first = choose(problem, belief / belief.sum())[0][0]
    return first.is_repair, first.index if first.is_repair else free[first.index]


def per_minute(model: OneFault, state: State) -> tuple[bool, int]:
    """Probability per minute, no questions."""
    worth = np.append(
        model.mends @ model.belief(state) / model.minutes, model.belief(state).sum() / HELP_MINUTES
    )
    return True, int(worth.argmax())


def book_order(model: OneFault, state: State) -> tuple[bool, int]:
    """A fixed order, the same on every bike: the cheapest first."""
    left = model.belief(state) > 0
    worth = np.append((model.mends @ left > 0) / model.minutes, 1 / HELP_MINUTES)
    return True, int(worth.argmax())


def by_entropy(model: OneFault, state: State) -> tuple[bool, int]:
    """Information gain per minute while that tells at least a tenth of a bit, then probability per minute."""
    belief = model.belief(state) / model.belief(state).sum()
    gains = {q: _gain(belief, model.answers[q]) for q, answer in enumerate(state[1]) if not answer}
    best = max(gains, key=lambda q: gains[q] / model.answer_minutes[q], default=None)
    return (False, best) if best is not None and gains[best] > 0.1 else per_minute(model, state)


def _gain(belief: Floats, answers: Floats) -> float:
    after = belief[:, None] * answers
    return _entropy(belief) - sum(float(part.sum()) * _entropy(part / part.sum()) for part in after.T)


def _entropy(belief: Floats) -> float:
    some = belief[belief > 0]
    return float(-(some * np.log2(some)).sum())


RIDES = 1
"""Extra rides that the two-fault model allows."""
SLIGHT = 1e-5
"""Histories less likely than this go to help."""


@dataclass(frozen=True)
class History:
    """What was done and heard: bits of repairs, answers, and for each ride (repairs done by then, said right)."""

    done: int = 0
    given: tuple[int, ...] = ()
    rides: tuple[tuple[int, bool], ...] = ()
    extra: int = 0


@dataclass(frozen=True, eq=False)
class TwoFaults:
    """One or two of F causes, R = F repairs that each end with a ride that errs, Q questions of two answers."""

    prior: Floats
    """Of every single cause, then of every pair; shape (H,)."""
    need: NDArray[np.bool_]
    """Shape (H, F)."""
    minutes: Floats
    answers: tuple[Floats, ...]
    answer_minutes: Floats
    ride_right: float = 0.95
    ride_minutes: float = 2.5
    missed: float = 100.0
    """Minutes that stopping with a fault left costs."""

    @staticmethod
    def random(rng: np.random.Generator, right: float, faults: int = 3, questions: int = 3) -> "TwoFaults":
        sets = [{n} for n in range(faults)] + [set(pair) for pair in combinations(range(faults), 2)]
        need = np.array([[n in some for n in range(faults)] for some in sets])
        odds = rng.dirichlet(np.full(faults, 1.0))
        prior = np.array([np.prod([odds[n] for n in some]) * (1 if len(some) == 1 else 0.8) for some in sets])
        camps = [rng.random(faults) < rng.uniform(0.3, 0.6) for _ in range(questions)]
        shows = [(need & camp).any(axis=1) for camp in camps]
        return TwoFaults(
            prior=prior / prior.sum(),
            need=need,
            minutes=np.exp(rng.uniform(np.log(3), np.log(40), faults)),
            answers=tuple(np.where(s[:, None], (1 - right, right), (right, 1 - right)) for s in shows),
            answer_minutes=np.exp(rng.uniform(np.log(0.8), np.log(4), questions)),
        )

    def left(self, done: int) -> NDArray[np.bool_]:
        """What each hypothesis still needs; shape (H, F)."""
        return self.need & np.array([not done >> n & 1 for n in range(self.need.shape[1])])

    def ride(self, done: int) -> Floats:
        """Chance that a ride says right, for each hypothesis."""
        return np.where(self.left(done).any(axis=1), 1 - self.ride_right, self.ride_right)

    def belief(self, history: History) -> Floats:
        mass = self.prior.copy()
        for question, answer in enumerate(history.given):
            if answer:
                mass = mass * self.answers[question][:, answer - 1]
        for done, said in history.rides:
            mass = mass * (self.ride(done) if said else 1 - self.ride(done))
        return mass

    def steps(self, history: History) -> dict[tuple[str, int], float]:
        """Every step and its own minutes, times the mass of the belief; stopping and help end the matter."""
        mass = float(self.belief(history).sum())
        wrong = float(self.belief(history) @ self.left(history.done).any(axis=1))
        out = {("stop", 0): self.missed * wrong, ("help", 0): HELP_MINUTES * mass}
        if history.extra < RIDES:
            out["ride", 0] = self.ride_minutes * mass
        out |= {
            ("ask", q): float(self.answer_minutes[q]) * mass for q, a in enumerate(history.given) if not a
        }
        out |= {("mend", n): float(m) * mass for n, m in enumerate(self.minutes) if not history.done >> n & 1}
        return out

    def after(self, history: History, step: tuple[str, int]) -> list[History]:
        """The histories that a step may lead to."""
        kind, which = step
        if kind in ("stop", "help"):
            return []
        if kind == "ask":
            given = history.given
            answered = [(*given[:which], answer, *given[which + 1 :]) for answer in (1, 2)]
            return [History(history.done, after, history.rides, history.extra) for after in answered]
        done = history.done | (1 << which if kind == "mend" else 0)
        extra = history.extra + (kind == "ride")
        rides = [tuple(sorted((*history.rides, (done, said)))) for said in (True, False)]
        return [History(done, history.given, heard, extra) for heard in rides]

    @property
    def beginning(self) -> History:
        return History(given=(0,) * len(self.answers))

    @cached_property
    def optimum(self) -> float:
        """Expected minutes of the best policy, by expectimax over every history."""

        @cache
        def best(history: History) -> float:
            if (mass := float(self.belief(history).sum())) < SLIGHT:
                return HELP_MINUTES * mass
            steps = self.steps(history)
            return min(own + sum(best(h) for h in self.after(history, step)) for step, own in steps.items())

        return best(self.beginning)

    def cost(self, policy: "Callable[[TwoFaults, History], tuple[str, int]]") -> float:
        """Expected minutes of a policy, every answer and every ride followed exactly."""

        def minutes(history: History) -> float:
            if (mass := float(self.belief(history).sum())) < SLIGHT:
                return HELP_MINUTES * mass
            step = policy(self, history)
            return self.steps(history)[step] + sum(minutes(h) for h in self.after(history, step))

        return minutes(self.beginning)


def two_by_choose(model: TwoFaults, history: History) -> tuple[str, int]:
    """The policy under test: the best step of `choose`, or stopping when that is cheaper."""
    belief = model.belief(history) / model.belief(history).sum()
    need = model.left(history.done)
    steps = [("ask", q) for q, answer in enumerate(history.given) if not answer]
    said = model.ride(history.done)
    asked = [model.answers[q] for _, q in steps]
    minutes = [float(model.answer_minutes[q]) for _, q in steps]
    if history.extra < RIDES:
        steps.append(("ride", 0))
        asked.append(np.column_stack([said, 1 - said]))
        minutes.append(model.ride_minutes)
    problem = Problem(
        need=need,
        mends=np.eye(need.shape[1]),
        minutes=model.minutes,
        help_minutes=HELP_MINUTES,
        answers=tuple(asked),
        answer_minutes=np.array(minutes),
        proof_minutes=model.ride_minutes,
        miss_minutes=model.missed,
    )
    first = choose(problem, belief)[0][0]
    if model.missed * float(belief @ need.any(axis=1)) <= first.minutes:
        return "stop", 0
    if not first.is_repair:
        return steps[first.index]
    return ("help", 0) if first.index == len(model.minutes) else ("mend", first.index)


def two_per_minute(model: TwoFaults, history: History) -> tuple[str, int]:
    """Probability per minute, no questions; stops when that is cheaper than the next repair."""
    belief = model.belief(history) / model.belief(history).sum()
    need = model.left(history.done)
    worth = belief @ need / model.minutes
    wrong = float(belief @ need.any(axis=1))
    if model.missed * wrong <= float(model.minutes[worth.argmax()]) or worth.max() <= 0:
        return ("stop", 0) if model.missed * wrong <= HELP_MINUTES else ("help", 0)
    return "mend", int(worth.argmax())
