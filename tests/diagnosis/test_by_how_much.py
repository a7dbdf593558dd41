"""How far to turn: noisy bisection on the offset's own posterior.

The task and its goals: the ideal position lies anywhere within 1.5 turns, within 0.15 turn of it the bike is quiet,
and an answer ("too far in", "quiet", "too far out") is wrong with a given probability. Stepping by quarter turns needs
5, 6 and 7 answers. Probabilistic bisection: Bisection search with noisy responses, SIAM J. Control and Optimization,
2013.
"""

import numpy as np
import pytest

from tunekit.diagnosis.moves import best_move

REACH, HALF = 1.5, 0.15
GRID = np.linspace(-REACH, REACH, 241)
WIDTH = np.full_like(GRID, HALF)
STEP = 0.125
SURE = {0.05: 0.945, 0.10: 0.955, 0.20: 0.97}
"""Probability of "quiet" from which it is called done."""
GOALS = {0.05: 3, 0.10: 4, 0.20: 6}
"""Answers at most (median)."""


def answer(off: np.ndarray | float) -> np.ndarray:
    """-1 too far out, 0 quiet, 1 too far in."""
    return np.where(np.abs(off) <= HALF, 0, np.sign(off))


def run(ideal: float, wrong: float, rng: np.random.Generator) -> tuple[int, bool, int, int]:
    """Answers needed, whether it ended quiet, jumps across the window, and moves."""
    weight, at, turned, heard, jumps, moves = np.full(len(GRID), 1 / len(GRID)), GRID, 0.0, 0, 0, 0
    while heard < 60:
        said = int(answer(turned - ideal))
        if rng.random() < wrong:
            said = int(rng.choice([x for x in (-1, 0, 1) if x != said]))
        heard += 1
        weight = weight * np.where(answer(turned - at) == said, 1 - wrong, wrong / 2)
        weight /= weight.sum()
        if weight @ (np.abs(turned - at) <= HALF + 1e-9) > SURE[wrong]:
            break
        goal = turned + best_move(weight, turned - at, WIDTH, wrong)
        goal = round(goal / STEP) * STEP
        jumps += bool(
            abs(turned - ideal) > HALF and abs(goal - ideal) > HALF and (goal - ideal) * (turned - ideal) < 0
        )
        moves += goal != turned
        turned = goal
    return heard, bool(abs(turned - ideal) <= HALF + 1e-9), jumps, moves


def runs(wrong: float, count: int) -> tuple[float, float, float]:
    """Median answers, share that ended right, share of moves that jumped the window."""
    rng = np.random.default_rng([7, int(100 * wrong)])
    done = [run(float(rng.uniform(-REACH, REACH)), wrong, rng) for _ in range(count)]
    heard, right, jumps, moves = (np.array(column, float) for column in zip(*done, strict=True))
    return float(np.median(heard)), float(right.mean()), float(jumps.sum() / moves.sum())


def stepped(ideal: float, wrong: float, rng: np.random.Generator) -> int:
    """Answers that quarter turns need: a step the way the answer says, until the bike is called quiet twice."""
    turned, quiet, heard = 0.0, 0, 0
    while quiet < 2 and heard < 60:
        said = int(answer(turned - ideal))
        if rng.random() < wrong:
            said = int(rng.choice([x for x in (-1, 0, 1) if x != said]))
        heard, quiet = heard + 1, quiet + 1 if said == 0 else 0
        turned -= 0.25 * said
    return heard


@pytest.mark.parametrize("wrong", GOALS)
def test_few_answers_find_the_place(wrong: float) -> None:
    heard, right, jumps = runs(wrong, 300)
    assert heard <= GOALS[wrong]
    assert right >= 0.955  # 98 % less three standard errors of 300 runs
    assert jumps <= 0.13


def test_a_turn_is_aimed_at_the_likelier_side_and_not_between_the_two() -> None:
    # Three in four too far in, the others too far out: turning halfway to neither mends nothing.
    at, weight = np.array([-2.0, 2.0, 2.8]), np.array([0.25, 0.375, 0.375])
    assert -3.2 < best_move(weight, at, np.full(3, 0.8)) < -1.5


@pytest.mark.parametrize("wrong", GOALS)
def test_quarter_turns_need_more_answers(wrong: float) -> None:
    rng = np.random.default_rng(19)
    slow = np.median([stepped(float(rng.uniform(-REACH, REACH)), wrong, rng) for _ in range(300)])
    assert slow > runs(wrong, 300)[0]


@pytest.mark.slow
@pytest.mark.parametrize("wrong", GOALS)
def test_few_answers_find_the_place_in_many_runs(wrong: float) -> None:
    heard, right, jumps = runs(wrong, 3000)
    assert heard <= GOALS[wrong]
    assert right >= 0.98
    assert jumps <= 0.12
