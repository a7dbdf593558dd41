"""How fast a wiring is found, and how the cost grows with the network: pytest tests/benchmarks
--benchmark-only.

The target is a full time-trial bike with 9 devices in under 300 ms; the growth is measured to 40 devices.
Both are printed by the benchmark; what the run asserts is that every answer is proven.
"""

from random import Random

import pytest

from tunekit.runs import Device, RunPlan, plan_runs, starter_plan
from tunekit.runs.network import network
from tunekit.runs.search import best_tree

SIZES = [3, 5, 9, 12, 16, 20, 30, 40]


def full_time_trial() -> RunPlan:
    """Both levers, both buttons, both derailleurs, battery, charging port, wireless unit."""
    plan = starter_plan("time_trial")
    more = (
        Device(name="charging port", kind="charging_port", at="seat_tube"),
        Device(name="wireless unit", kind="wireless_unit", at="down_tube"),
    )
    return plan.model_copy(update={"devices": (*plan.devices, *more)})


def random_plan(devices: int, seed: int = 0) -> RunPlan:
    """A long random frame with that many one-port devices and just enough places for junctions."""
    draw = Random(seed)
    points = max(6, devices // 2)
    kinds = ["battery"] + ["lever"] * (devices - 1)
    places = draw.sample(range(points), min(max(2, devices // 3 + 1), points))
    return RunPlan.build(
        points=[{"name": f"p{n}", "x": 0.0, "y": 0.0} for n in range(points)],
        sections=[
            {"between": (f"p{n}", f"p{draw.randrange(max(0, n - 3), n)}"), "mm": draw.randint(60, 300)}
            for n in range(1, points)
        ],
        devices=[
            {"name": f"d{n}", "kind": kind, "at": f"p{draw.randrange(points)}"}
            for n, kind in enumerate(kinds)
        ],
        places=[{"at": f"p{n}"} for n in places],
        stock={"wires_mm": starter_plan("road").stock.wires_mm, "junction_ports": (3, 4, 5)},
    )


def test_a_full_time_trial_bike_with_9_devices(benchmark) -> None:
    plan = full_time_trial()
    plan_runs(plan)  # scipy.optimize is imported once, before the clock starts
    sheet = benchmark(plan_runs, plan)
    assert sheet.proven
    assert len(plan.devices) == 9


@pytest.mark.parametrize("devices", SIZES)
def test_cost_against_network_size(benchmark, devices: int) -> None:
    plan = random_plan(devices)
    found = benchmark.pedantic(
        lambda: best_tree(network(plan), 60), rounds=3 if devices < 30 else 1, iterations=1
    )
    benchmark.extra_info.update(devices=devices, junctions=len(found.tree.slots) if found.tree else None)
    assert found.tree is not None
    assert found.proven
