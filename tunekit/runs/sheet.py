"""`plan_runs`: from a plan to everything to order and everything to do."""

import itertools

from tunekit.bike.errors import PlanError
from tunekit.data import phrase
from tunekit.runs.cables import cable_run
from tunekit.runs.check import check_plan
from tunekit.runs.explain import no_wiring
from tunekit.runs.network import network
from tunekit.runs.parts import parts_list
from tunekit.runs.plan import RunPlan
from tunekit.runs.pulling import cautions, pulling, tags, tests, tests_after
from tunekit.runs.records import CableRun, RunSheet, Wire
from tunekit.runs.search import TIME_BOX_S, best_tree
from tunekit.runs.wires import Wiring, wiring


def plan_runs(plan: RunPlan, *, seconds: float = TIME_BOX_S) -> RunSheet:
    """The wiring with the fewest parts and then the least excess, cables cut to length, and the sheet
    about them.

    seconds : time box of the wiring's search; `RunSheet.proven` says whether it was enough.

    Raises
    ------
    PlanError
        with one sentence, when the plan contradicts itself or no wiring exists; then it names the nearest
        change.
    """
    check_plan(plan)
    found, proven = _wired(plan, seconds)
    new = [cable for cable in plan.cables if not cable.old]
    cables = tuple(cable_run(plan, cable, f"C{number}") for number, cable in enumerate(new, 1))
    return RunSheet(
        title=plan.title,
        wires=found.wires,
        junctions=found.junctions,
        cables=cables,
        parts=parts_list(found.wires, found.junctions, cables),
        part_count=len(found.wires) + len(found.junctions),
        excess_mm=sum(wire.excess_mm for wire in found.wires),
        proven=proven,
        pulling=pulling(plan, found.wires, found.junctions, cables),
        tags=tags(found.wires, cables),
        continuity=found.continuity,
        tests=tests(plan, found.wires, cables),
        tests_after=tests_after(found.wires, cables),
        cautions=cautions(found.wires, cables),
        unmeasured=_unmeasured(plan, found.wires, cables),
        typical_stock=plan.stock.typical,
    )


def _wired(plan: RunPlan, seconds: float) -> tuple[Wiring, bool]:
    """The wiring in words, and whether it is proven; raises PlanError when there is none."""
    if not plan.devices:
        return Wiring(wires=(), junctions=(), continuity=()), True
    net = network(plan)
    found = best_tree(net, seconds)
    if found.tree is not None:
        return wiring(plan, net, found.tree), found.proven
    if found.proven:
        raise no_wiring(plan, net)
    raise PlanError(phrase("runs", "failure.time_out", seconds=seconds))


def _unmeasured(
    plan: RunPlan, wires: tuple[Wire, ...], cables: tuple[CableRun, ...]
) -> tuple[tuple[str, str], ...]:
    """The sections in use that nobody has measured yet."""
    names = {run.name for run in cables}
    ways = [wire.route for wire in wires] + [cable.via for cable in plan.cables if cable.name in names]
    used = {frozenset(step) for way in ways for step in itertools.pairwise(way)}
    return tuple(s.between for s in plan.sections if frozenset(s.between) in used and not s.measured)
