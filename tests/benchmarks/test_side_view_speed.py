"""How fast all gears are solved, as ratios within one run: pytest tests/benchmarks --benchmark-only.

A triple with a 12-cog cassette x 40 lengths x 5 travel positions: 7,200 solves in one call.
"""

import time
import tracemalloc
from collections.abc import Callable
from functools import partial

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture
from scipy.optimize import brentq

from tunekit.mechanics import side_view as module
from tunekit.mechanics.geometry import SideView, typical, wheels
from tunekit.mechanics.loop import PER_GEAR, picked, taut_loop
from tunekit.mechanics.side_view import END_STEPS, NEWTON_STEPS, TABLE_ANGLES, solve_paths, swing_band

VIEW = SideView(
    rings=(22, 32, 44),
    cogs=(11, 12, 13, 15, 17, 19, 21, 23, 26, 28, 30, 32),
    chainstay_mm=425,
    bb_drop_mm=30,
    cage_mm=95,
)
LENGTHS = np.arange(92, 132)
GROWTH = np.linspace(0, 20, 5)


def timed(call: Callable[[], object]) -> float:
    start = time.perf_counter()
    call()
    return time.perf_counter() - start


def shortest(*calls: Callable[[], object], rounds: int) -> list[float]:
    """Shortest time of each call [s], taken in turns so that other work on the machine disturbs all alike."""
    return [
        min(times) for times in zip(*([timed(call) for call in calls] for _ in range(rounds)), strict=True)
    ]


def one_call() -> object:
    return solve_paths(VIEW, LENGTHS, GROWTH)


def gear_by_gear() -> tuple[int, float]:
    """Number of solves and seconds by scipy's brentq on the same loop, one gear and length at a time.

    Only lengths inside the band are solved, since brentq needs a change of sign; the one call does all 7,200.
    """
    every, band = wheels(VIEW, GROWTH), swing_band(VIEW, GROWTH)
    low, solves, spent = np.radians(typical("back_stop_deg")), 0, 0.0
    for place in np.ndindex(band.front_deg.shape):
        one, high = picked(every, place), np.radians(band.front_deg[place])
        one = one._replace(**{name: float(getattr(one, name)) for name in PER_GEAR})
        inside = (band.shortest_links[place] < LENGTHS) & (band.slack_links[place] > LENGTHS)
        start = time.perf_counter()
        for length in LENGTHS[inside]:
            brentq(
                lambda cage, one=one, length=length: taut_loop(one, cage).links - length,
                low,
                high,
                xtol=1e-12,
            )
        spent += time.perf_counter() - start
        solves += int(inside.sum())
    return solves, spent


def bare_loops() -> None:
    """The loop evaluated as often as one call needs: table, ends of the bands, Newton steps, one more."""
    columns = module._columns(VIEW, GROWTH)
    gears = len(columns.cog_mm)
    taut_loop(columns, np.linspace(-1.5, 1.5, TABLE_ANGLES)[None, :])
    for _ in range(END_STEPS + 1):
        taut_loop(columns, np.full((gears, 2), 0.1))
    cage = np.full((gears, len(LENGTHS)), 0.1)
    for _ in range(NEWTON_STEPS + 1):
        taut_loop(columns, cage)


def test_one_call_is_100_times_faster_than_gear_by_gear(benchmark: BenchmarkFixture) -> None:
    benchmark(one_call)
    found = [(shortest(one_call, rounds=20)[0], *gear_by_gear()) for _ in range(3)]
    ours, solves, theirs = min(f[0] for f in found), found[0][1], min(f[2] for f in found)
    benchmark.extra_info["ratio"] = theirs / ours
    print(
        f"\n7200 solves in one call {ours * 1e3:.1f} ms; {solves} of them by brentq {theirs * 1e3:.0f} ms; "
        f"ratio {theirs / ours:.0f}, per solve {theirs / solves / ours * 7200:.0f}"
    )
    assert theirs / ours >= 100


def test_one_call_costs_at_most_3_bare_evaluations(benchmark: BenchmarkFixture) -> None:
    benchmark(bare_loops)
    ours, bare = shortest(one_call, bare_loops, rounds=40)
    benchmark.extra_info["ratio"] = ours / bare
    print(f"\none call {ours * 1e3:.1f} ms; bare loops {bare * 1e3:.1f} ms; ratio {ours / bare:.2f}")
    assert ours / bare <= 3


def test_cost_is_linear_to_a_million_solves_in_bounded_memory(
    benchmark: BenchmarkFixture,
) -> None:
    """Cost per solve from 43 thousand to a million; scratch memory is the peak less the answer itself."""
    repeats = (6, 30, 139)
    calls = [partial(solve_paths, VIEW, np.tile(LENGTHS, many), GROWTH) for many in repeats]
    benchmark.pedantic(calls[0], rounds=3)
    seconds = shortest(*calls, rounds=4)
    per_solve = {7200 * many: spent / (7200 * many) for many, spent in zip(repeats, seconds, strict=True)}
    least, most = min(per_solve.values()), max(per_solve.values())
    tracemalloc.start()
    answer = solve_paths(VIEW, np.tile(LENGTHS, 139), GROWTH)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    kept = sum(getattr(answer, name).nbytes for name in answer.__dataclass_fields__)
    told = ", ".join(f"{count}: {cost * 1e6:.2f} us" for count, cost in per_solve.items())
    print(
        f"\nper solve {told}; spread {most / least:.2f}; "
        f"answer {kept / 1e6:.0f} MB, scratch {(peak - kept) / 1e6:.0f} MB"
    )
    assert most / least < 1.6
    assert peak - kept < 40e6


if __name__ == "__main__":
    pytest.main([__file__, "--benchmark-only", "-s"])
