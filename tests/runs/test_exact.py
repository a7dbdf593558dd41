"""The search against an independent complete enumeration: Prüfer sequences, Floyd and Warshall, no
programme."""

import frames
import pytest

from tunekit.runs.network import network
from tunekit.runs.search import best_tree


def agree(seed: int) -> bool:
    """Both prices are the same; True when a wiring exists."""
    plan = frames.random_frame(seed)
    net = network(plan)
    found = best_tree(net)
    assert found.proven
    expected = frames.brute_cost(plan)
    if expected is None:
        assert found.tree is None, seed
        return False
    assert found.tree is not None, seed
    cost = sum(float(net.cost_mm[arc]) for arc in found.tree.arcs)
    assert (len(found.tree.arcs) + len(found.tree.slots), cost) == pytest.approx(expected), seed
    return True


@pytest.mark.parametrize("block", range(4))
def test_a_brute_force_search_over_random_frames_agrees_in_cost(block: int) -> None:
    possible = [agree(seed) for seed in range(50 * block, 50 * block + 50)]
    assert any(possible)
    assert not all(possible)


@pytest.mark.slow
def test_brute_force_agrees_on_many_more_random_frames() -> None:
    for seed in range(1000, 2500):
        agree(seed)
