"""Before and after of a cassette, ring or wheel change: what was gained, what has to be set again."""

import numpy as np

from tunekit.bike import Bike
from tunekit.fit.chain import size_chain
from tunekit.fit.check import check_fit
from tunekit.fit.limits import limit, words
from tunekit.fit.report import ChainAdvice, FitReport, Gear, SetAgain, SwapReport
from tunekit.mechanics import sprocket
from tunekit.mechanics.from_bike import lines_mm
from tunekit.targets.chain_rules import needed_teeth


def _gears(bike: Bike) -> tuple[Gear, ...]:
    return tuple((ring, cog) for ring in bike.rings for cog in bike.cogs)


def _ratios(bike: Bike) -> tuple[float, float]:
    """Lowest and highest gear, wheel turns per crank turn."""
    return bike.rings[0] / bike.cogs[-1], bike.rings[-1] / bike.cogs[0]


def index_shift_mm(before: Bike, after: Bike) -> tuple[float, ...]:
    """By click from the smallest cog: how far the cog there has moved, + inboard."""
    old, new = lines_mm(before)[1], lines_mm(after)[1]
    shared = min(len(old), len(new))
    return tuple(float(shift) for shift in np.round(old[:shared] - new[:shared], 4))


def pulley_gap_change_mm(before: Bike, after: Bike) -> float:
    """How much the gap on the largest cog changes with the B screw left alone, + wider.

    The cog's growth in radius, the guide pulley staying where it was: an estimate.
    """
    old, new = (float(sprocket.tip_diameter_mm(bike.cogs[-1])) / 2 for bike in (before, after))
    return round(old - new, 4)


def _shifted(shift_mm: float) -> bool:
    """Enough for a hand to notice."""
    return abs(shift_mm) >= limit("noticed_shift", "mm")


def _rear(before: Bike, after: Bike) -> list[tuple[str, str]]:
    """What the rear derailleur needs, as (name, why)."""
    shifts = index_shift_mm(before, after)
    largest_moved = lines_mm(before)[1][-1] - lines_mm(after)[1][-1]
    spacing = _spacing(before) != _spacing(after)
    again: list[tuple[str, str]] = []
    if len(before.cogs) != len(after.cogs):
        again.append(("lever", words("swap.lever", before=len(before.cogs), after=len(after.cogs))))
    if _shifted(shifts[0]):
        again.append(("high_limit", words("swap.high_limit", shift=abs(shifts[0]))))
    if _shifted(largest_moved):
        again.append(("low_limit", words("swap.low_limit", shift=abs(largest_moved))))
    if before.cogs[-1] != after.cogs[-1]:
        again.append(("b_screw", words("swap.b_screw", before=before.cogs[-1], after=after.cogs[-1])))
    if spacing:
        again.append(("rear_index", words("swap.rear_index_spacing")))
    elif any(map(_shifted, shifts)):
        again.append(("rear_index", words("swap.rear_index", shift=max(map(abs, shifts)))))
    return again


def _spacing(bike: Bike) -> tuple[float, ...]:
    """The one pitch, or every pitch where they differ."""
    return bike.cassette.pitches_mm or (bike.cassette.pitch_mm,)


def _front(before: Bike, after: Bike) -> list[tuple[str, str]]:
    """What the front derailleur needs, as (name, why)."""
    again: list[tuple[str, str]] = []
    if after.front is None:
        return again
    if before.rings[-1] != after.rings[-1]:
        again.append(
            ("front_height", words("swap.front_height", before=before.rings[-1], after=after.rings[-1]))
        )
    if before.rings != after.rings or before.crank != after.crank:
        again.append(("front_limits", words("swap.front_limits")))
    return again


def _set_again(before: Bike, after: Bike, chain: ChainAdvice) -> tuple[SetAgain, ...]:
    """In the order of the bench: the chain first, the front last."""
    first = [] if chain.keep else [("chain", words("swap.chain", links=chain.links))]
    found = [*first, *_rear(before, after), *_front(before, after)]
    return tuple(SetAgain(name=name, why=why) for name, why in found)


def _in_the_way(fit: FitReport, chain: ChainAdvice) -> list[str]:
    """The findings that fail after the swap, but for a chain that only has to be cut or lengthened."""
    cured = "" if chain.shortest is None else "chain_length"
    failed = [f.name for f in fit.findings if f.status == "fail" and f.name != cured]
    return [words(f"swap.findings.{name}") for name in failed]


def _why(failed: list[str], again: tuple[SetAgain, ...]) -> str:
    """What stands in the way first, then what to set again."""
    parts = [words(f"swap.names.{item.name}") for item in again]
    first = [words("swap.fails", names=", ".join(failed))] if failed else []
    rest = words("swap.something", names=", ".join(parts)) if parts else words("swap.nothing")
    return " ".join([*first, rest])


def swap(before: Bike, after: Bike) -> SwapReport:
    """What changes when `before` becomes `after`, and what has to be set again."""
    old, new = _gears(before), _gears(after)
    chain, fit = size_chain(after, old=before), check_fit(after)
    again = _set_again(before, after, chain)
    (lowest_before, highest_before), (lowest_after, highest_after) = _ratios(before), _ratios(after)
    return SwapReport(
        gained=tuple(gear for gear in new if gear not in old),
        lost=tuple(gear for gear in old if gear not in new),
        lowest_before=lowest_before,
        lowest_after=lowest_after,
        highest_before=highest_before,
        highest_after=highest_after,
        capacity_before=round(needed_teeth(before), 1),
        capacity_after=round(needed_teeth(after), 1),
        capacity_limit=after.rear.capacity,
        chain=chain,
        fit=fit,
        pulley_gap_change_mm=pulley_gap_change_mm(before, after),
        index_shift_mm=index_shift_mm(before, after),
        set_again=again,
        why=_why(_in_the_way(fit, chain), again),
    )
