"""One discrete network for every solver: 15 causes that may each be there, 30 words that each may bring about.

Words are noisy ors of a few causes each. All marginals by enumeration of the 2^15 sets of causes.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

CAUSES, WORDS, PARENTS = 15, 30, 3


@dataclass(frozen=True)
class Network:
    prior: NDArray[np.float64]
    """Shape (causes,)."""
    silent: NDArray[np.float64]
    """Chance that a cause, being there, does not bring about a word; 1 where it has nothing to do with it."""
    leak: float
    heard: NDArray[np.bool_]


def network(seed: int = 0) -> Network:
    rng = np.random.default_rng([15, seed])
    silent = np.ones((CAUSES, WORDS))
    for word in range(WORDS):
        silent[rng.choice(CAUSES, PARENTS, replace=False), word] = rng.uniform(0.1, 0.7, PARENTS)
    return Network(rng.uniform(0.02, 0.2, CAUSES), silent, 0.03, rng.random(WORDS) < 0.3)


def marginals(net: Network) -> NDArray[np.float64]:
    """Probability of each cause after all words, by enumeration; shape (causes,)."""
    there = (np.arange(2**CAUSES)[:, None] >> np.arange(CAUSES) & 1).astype(float)
    log_silent = there @ np.log(net.silent) + np.log(1 - net.leak)
    log_chance = np.where(net.heard, np.log(-np.expm1(log_silent)), log_silent).sum(axis=1)
    log_chance += there @ np.log(net.prior) + (1 - there) @ np.log(1 - net.prior)
    weight = np.exp(log_chance - log_chance.max())
    return np.asarray(weight @ there / weight.sum())


def table_of(net: Network, word: int) -> tuple[list[int], NDArray[np.float64]]:
    """The causes of a word and its chance for every combination of them; axes in their order, each (absent, there)."""
    causes = [int(c) for c in np.flatnonzero(net.silent[:, word] < 1)]
    chance = np.full((2,) * len(causes), 1 - net.leak)
    for axis, cause in enumerate(causes):
        shape = [1] * len(causes)
        shape[axis] = 2
        chance = chance * np.array([1.0, net.silent[cause, word]]).reshape(shape)
    return causes, 1 - chance
