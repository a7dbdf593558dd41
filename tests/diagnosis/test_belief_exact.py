"""The belief's search against enumeration of every hypothesis, on bikes of which only a few things may be off."""

from itertools import combinations

import numpy as np
import pytest

from tunekit.bike.starters import starter
from tunekit.data import table
from tunekit.diagnosis import belief as room
from tunekit.diagnosis.belief import WIDTH, Belief, _Search, believe, log_sum, thinned
from tunekit.diagnosis.evidence import read
from tunekit.diagnosis.hands import moved
from tunekit.diagnosis.states import States
from tunekit.diagnosis.update import Update
from tunekit.diagnosis.virtual import VirtualBike
from tunekit.session import Session, make_entry

FEW = 22
"""Settings that a reduced bike may have, "nothing" apart."""


def reduced(rng: np.random.Generator) -> type[States]:
    """States that keep a random few of their settings, half of them from causes of the index and stops."""

    class Few(States):
        def __init__(self, *args: object) -> None:
            super().__init__(*args)  # type: ignore[arg-type]
            keep = np.sort(rng.choice(np.arange(1, len(self.settings)), FEW, replace=False))
            self.settings = [self.settings[0], *(self.settings[n] for n in keep)]
            self.active = self.active[[0, *keep]]
            self.group = self.group[[0, *keep]]

    return Few


def every_set(states: States) -> np.ndarray:
    rows = [
        [0] * (WIDTH - size) + list(some)
        for size in range(WIDTH + 1)
        for some in combinations(range(1, len(states)), size)
        if len({int(states.group[n]) for n in some}) == size
    ]
    return np.array(rows, dtype=np.intp)


def exact(states: States) -> np.ndarray:
    """Probability of each setting and, last, of something unlisted."""
    search = _Search(Update(states))
    sets = every_set(states)
    scores = search.log_weight(sets, np.arange(len(search.log_quiet)))
    listed = float(log_sum(scores))
    unlisted = np.log(table("model")["unlisted"]["prior"] / 1000) + search.update.unlisted()
    unlisted = min(float(unlisted), listed + room.MOST_UNLISTED)
    weight = np.exp(log_sum(scores, axis=1) - np.logaddexp(listed, unlisted))
    return np.append(marginals(sets, weight, len(states)), np.exp(unlisted - np.logaddexp(listed, unlisted)))


def marginals(sets: np.ndarray, weight: np.ndarray, settings: int) -> np.ndarray:
    there = np.zeros((len(sets), settings), dtype=bool)
    np.put_along_axis(there, sets, True, axis=1)
    return np.asarray(weight @ there)[1:]


def searched(found: Belief) -> np.ndarray:
    return np.append(marginals(found.sets, found.weight, len(found.states)), found.unlisted)


def worst(number: int, monkeypatch: pytest.MonkeyPatch, sparse: bool) -> float:
    """Largest error of a marginal on one reduced bike."""
    bike = starter(("road-double-11", "trail-single-12", "road-electronic")[number % 3])
    few = reduced(np.random.default_rng([5, number]))
    monkeypatch.setattr(room, "States", few)
    rider = VirtualBike(bike, 1 + number % 2, np.random.default_rng([6, number]))
    evidence = read(Session(bike=bike, log=tuple(rider.ride(sparse))))
    found = believe(bike, evidence)
    again = reduced(np.random.default_rng([5, number]))(bike, evidence, moved(bike, evidence))
    return float(np.abs(searched(found) - exact(again)).max())


@pytest.mark.parametrize("seed", range(20))
def test_thinning_keeps_what_like_hypotheses_weigh_together(seed: int) -> None:
    rng = np.random.default_rng([7, seed])
    weight = np.exp(rng.normal(0, rng.uniform(0.1, 8), 700))
    cause = rng.integers(6, size=700)
    rows, stands_for = thinned(weight, np.argsort(cause, kind="stable"), 90)
    assert len(rows) == len(set(rows.tolist())) == 90
    assert stands_for.sum() == pytest.approx(weight.sum())
    step = stands_for.min()
    for number in range(6):
        assert abs(stands_for[cause[rows] == number].sum() - weight[cause == number].sum()) <= 2 * step + 1e-9


def test_thinning_leaves_few_as_they_are() -> None:
    rows, stands_for = thinned(np.array([3.0, 1.0]), np.array([1, 0]), 90)
    assert rows.tolist() == [0, 1]
    assert stands_for.tolist() == [3.0, 1.0]


def test_many_sizes_of_one_cause_do_not_crowd_out_another() -> None:
    bike = starter("road-double-11")
    evidence = read(Session(bike=bike, log=(make_entry("heard", moment="to_larger_cog", what="slow"),)))
    search = _Search(Update(States(bike, evidence, moved(bike, evidence))))
    singles = np.arange(len(search.states))
    search.sets = np.zeros((len(singles), WIDTH), dtype=np.intp)
    search.sets[:, -1] = singles
    search.scores = np.where(search.states.index_mm != 0, 0.0, -20.0 - singles)[:, None].repeat(7, axis=1)
    kept = search.helpful(singles, singles[1:])
    sides = np.bincount(search.kind[kept])
    assert len(kept) == room.ADDITIONS
    assert sides.max() <= room.SIZES
    assert (search.states.index_mm[kept] != 0).any()


@pytest.mark.parametrize("sparse", [True, False])
def test_the_search_misses_next_to_nothing(monkeypatch: pytest.MonkeyPatch, sparse: bool) -> None:
    errors = [worst(number, monkeypatch, sparse) for number in range(6)]
    assert max(errors) <= 0.01, errors


@pytest.mark.slow
@pytest.mark.parametrize("sparse", [True, False])
def test_the_search_misses_next_to_nothing_on_many_bikes(
    monkeypatch: pytest.MonkeyPatch, sparse: bool
) -> None:
    errors = np.array([worst(number, monkeypatch, sparse) for number in range(100)])
    assert errors.max() <= 0.01
