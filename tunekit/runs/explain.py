"""Why no wiring exists, and the nearest change that makes one possible."""

from collections import Counter
from dataclasses import dataclass

import numpy as np

from tunekit.bike.errors import PlanError
from tunekit.data import phrase
from tunekit.runs.network import Network, network
from tunekit.runs.plan import Place, RunPlan
from tunekit.runs.programme import Programme, Tree
from tunekit.runs.search import best_tree

TRY_S = 2.0
"""Time box of each relaxation tried."""
MOST_TRIED = 30
_NUMBERS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """What stands in the way, and changes of which any one helps."""

    why: tuple[str, ...]
    changes: tuple[str, ...]


def no_wiring(plan: RunPlan, net: Network) -> PlanError:
    """The sentence for a plan that is proven to have no wiring: what is missing, and the nearest changes."""
    reason = _missing_ports(plan, net) or _short_wires(plan, net) or _both(plan, net) or _no_places(plan)
    further = _further_junction(plan, net)
    if len(reason.why) > 1 and further:
        # One more junction is nearer than several changes at once.
        reason = Reason(why=(phrase("runs", "failure.place"),), changes=())
    changes = [*reason.changes, *further]
    remedy = ", or ".join(changes) if changes else phrase("runs", "failure.no_change")
    return PlanError(f"{phrase('runs', 'failure.start')}: {' and '.join(reason.why)}; {remedy}.")


def number_word(count: int) -> str:
    """one, two … twelve, then digits."""
    return _NUMBERS[count] if count < len(_NUMBERS) else str(count)


def _an(word: str) -> str:
    return f"{'an' if word[0] in 'aeiou' and not word.startswith('one') else 'a'} {word}"


def _things(count: int, name: str) -> str:
    return f"{number_word(count)} {name}" + ("" if count == 1 else "s")


def _missing_ports(plan: RunPlan, net: Network) -> Reason | None:
    """The fewest ports, and wires through a hole, that are missing when the lengths are taken as they are."""
    programme = Programme(net, 1e-6 * net.excess_mm, net.wire_mm > 0, price=1.0)
    tree, _ = programme.solve(None, TRY_S)
    return None if tree is None else _reason_of(plan, net, tree)


def _reason_of(plan: RunPlan, net: Network, tree: Tree) -> Reason:
    """What the tree of the relaxed search lacks, in words."""
    why, changes = [], []
    for slot, count in tree.missing_ports.items():
        place = plan.called(net.nodes[slot].at)
        size = _size_needed(plan, net.nodes[slot].ports + count)
        why.append(phrase("runs", "failure.ports", count=_things(count, "port"), place=place))
        key = "ports_change" if size in plan.stock.junction_ports else "ports_change_unlisted"
        changes.append(phrase("runs", f"failure.{key}", size=_an(f"{number_word(size)}-port")))
    for number, count in tree.missing_width.items():
        hole = net.holes[number]
        one, other = (plan.called(name) for name in hole.between)
        most, needed = _things(hole.most, "wire"), number_word(hole.most + count)
        why.append(phrase("runs", "failure.hole", one=one, other=other, most=most, needed=needed))
        changes.append(phrase("runs", "failure.hole_change"))
    return Reason(why=tuple(why), changes=(" with ".join(changes),) if changes else ())


def _size_needed(plan: RunPlan, ports: int) -> int:
    """The smallest junction of the list with so many ports; the number itself when the list has none."""
    return min((size for size in plan.stock.junction_ports if size >= ports), default=ports)


def _short_wires(plan: RunPlan, net: Network) -> Reason | None:
    """The wires that the list is too short for, when ports suffice."""
    over = np.maximum(net.need_mm - max(plan.stock.wires_mm), 0.0)
    tree, _ = Programme(net, over, net.need_mm >= 0).solve(None, TRY_S)
    return None if tree is None else _length_reason(plan, net, tree)


def _both(plan: RunPlan, net: Network) -> Reason | None:
    """Ports and wire lengths both fall short; ports weigh far more than any length."""
    over = np.maximum(net.need_mm - max(plan.stock.wires_mm), 0.0)
    tree, _ = Programme(net, over, net.need_mm >= 0, price=1e5).solve(None, TRY_S)
    if tree is None:
        return None
    ports, length = _reason_of(plan, net, tree), _length_reason(plan, net, tree)
    return Reason(why=(*ports.why, *length.why), changes=(" and ".join((*ports.changes, *length.changes)),))


def _length_reason(plan: RunPlan, net: Network, tree: Tree) -> Reason:
    """The longest wire of the tree, which the list lacks."""
    longest = max(plan.stock.wires_mm)
    start, end = max(tree.arcs, key=lambda arc: int(net.need_mm[arc]))
    need = int(net.need_mm[start, end])
    names = {
        n: net.nodes[n].name if net.nodes[n].device else _junction_at(plan, net, n) for n in (start, end)
    }
    why = phrase(
        "runs", "failure.length", start=names[start], end=names[end], need=need, longest=f"{longest:g}"
    )
    return Reason(why=(why,), changes=(phrase("runs", "failure.length_change", need=need),))


def _junction_at(plan: RunPlan, net: Network, node: int) -> str:
    return f"the junction at the {plan.called(net.nodes[node].at)}"


def _no_places(plan: RunPlan) -> Reason:
    count = number_word(len(plan.devices))
    why, change = phrase("runs", "failure.places", count=count), phrase("runs", "failure.places_change")
    return Reason(why=(why,), changes=(change,))


def _with_place(plan: RunPlan, at: str) -> RunPlan:
    """The plan with room for one more junction at a point."""
    here = next((place for place in plan.places if place.at == at), None)
    more = Place(at=at) if here is None else here.model_copy(update={"most": here.most + 1})
    return plan.model_copy(update={"places": (*(p for p in plan.places if p is not here), more)})


def _further_junction(plan: RunPlan, net: Network) -> list[str]:
    """The best point for one junction more, when that alone is enough; inside a tube or beside another if
    it can be."""
    places, tried = {place.at for place in plan.places}, []
    meetings = Counter(name for section in plan.sections for name in section.between)
    for point in [p for p in plan.points if p.hollow or meetings[p.name] > 1][:MOST_TRIED]:
        wider = network(_with_place(plan, point.name))
        tree = best_tree(wider, TRY_S).tree
        if tree is not None:
            awkward = not (point.hollow or point.name in places)
            excess = sum(float(wider.excess_mm[arc]) for arc in tree.arcs)
            tried.append((len(tree.slots), awkward, excess, point))
    if not tried:
        return []
    junctions, _, _, point = min(tried, key=lambda found: found[:3])
    ordinal = _ORDINALS[junctions - 1] if junctions <= len(_ORDINALS) else "further"
    place = f"{'in' if point.hollow else 'at'} the {point.called}"
    key = "only_junction" if junctions == 1 else "further_junction"
    return [phrase("runs", f"failure.{key}", ordinal=ordinal, place=place)]
