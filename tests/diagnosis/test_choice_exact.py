"""The choice against the best that is possible, worked out by dynamic programming and by expectimax.

The bounds are the job's own; the comparison policies are the usual ones of the literature on troubleshooting under
uncertainty (Decision-theoretic troubleshooting, Communications of the ACM, 1995).
"""

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
from repair_models import (
    HELP_MINUTES,
    OneFault,
    TwoFaults,
    book_order,
    by_choose,
    by_entropy,
    per_minute,
    two_by_choose,
    two_per_minute,
)

ACCURACIES = (0.97, 0.90, 0.80)


@cache
def one_fault(number: int, right: float) -> OneFault:
    return OneFault.random(np.random.default_rng([number, int(100 * right)]), right)


@cache
def two_faults(number: int, right: float) -> TwoFaults:
    return TwoFaults.random(np.random.default_rng([number, int(100 * right)]), right)


@cache
def ratio(model: OneFault, policy: Callable[..., tuple[bool, int]]) -> float:
    return model.cost(policy) / model.optimum


def ratios(models: list[OneFault], policy: Callable[..., tuple[bool, int]]) -> np.ndarray:
    return np.array([ratio(model, policy) for model in models])


def test_the_optimum_of_a_model_small_enough_for_pencil_and_paper() -> None:
    # Two causes, 60 % and 40 %; repairs of 10 and 4 minutes; a question of 1 minute that is always right.
    # Cheap repair first: 4 + 0.6 x 10 = 10; dear one first: 10 + 0.4 x 4 = 11.6; ask: 1 + 0.6 x 10 + 0.4 x 4 = 8.6.
    model = OneFault(
        prior=np.array([0.6, 0.4]),
        mends=np.eye(2),
        minutes=np.array([10.0, 4.0]),
        answers=(np.array([[1.0, 0.0], [0.0, 1.0]]),),
        answer_minutes=np.array([1.0]),
    )
    assert model.optimum == pytest.approx(8.6)
    assert model.cost(per_minute) == pytest.approx(10.0)
    assert model.cost(by_choose) == pytest.approx(8.6)


def test_no_policy_beats_the_optimum_and_none_is_dearer_than_help_after_everything() -> None:
    model = one_fault(0, 0.9)
    for policy in (by_choose, by_entropy, per_minute, book_order):
        most = model.minutes.sum() + model.answer_minutes.sum() + HELP_MINUTES
        assert model.optimum - 1e-9 <= model.cost(policy) <= most


@pytest.mark.parametrize("right", ACCURACIES)
def test_one_fault_costs_next_to_nothing_over_the_optimum(right: float) -> None:
    found = ratios([one_fault(number, right) for number in range(4)], by_choose)
    assert found.mean() <= 1.005
    assert found.max() <= 1.02


def test_questions_are_chosen_by_minutes_not_by_entropy() -> None:
    models = [one_fault(number, 0.9) for number in range(4)]
    assert ratios(models, by_choose).mean() < ratios(models, by_entropy).mean() - 0.03
    assert ratios(models, by_choose).mean() < ratios(models, per_minute).mean() - 0.05


@pytest.mark.slow
@pytest.mark.parametrize("right", ACCURACIES)
def test_one_fault_over_many_models(right: float) -> None:
    found = ratios([one_fault(number, right) for number in range(100)], by_choose)
    assert found.mean() <= 1.005
    assert np.percentile(found, 95) <= 1.02


def test_two_faults_with_a_ride_that_errs() -> None:
    models = [two_faults(0, 0.97)]
    found = np.array([model.cost(two_by_choose) / model.optimum for model in models])
    assert np.all(found >= 1 - 1e-9)
    assert found.mean() <= 1.03


@pytest.mark.slow
@pytest.mark.parametrize("right", ACCURACIES)
def test_two_faults_over_many_models(right: float) -> None:
    # Of 104 models, three cost more than 1.03 at 97 %; two of these are among the first 24.
    models = [two_faults(number, right) for number in range(64)]
    found = np.array([model.cost(two_by_choose) / model.optimum for model in models])
    plain = np.array([model.cost(two_per_minute) / model.optimum for model in models])
    assert found.mean() <= 1.01
    assert np.percentile(found, 95) <= 1.03
    assert found.mean() < plain.mean()
