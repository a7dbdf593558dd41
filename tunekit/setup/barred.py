"""What a step may not do because the chain or the cage cannot take a gear."""

from collections.abc import Collection
from dataclasses import dataclass
from functools import partial

from tunekit.bike import Bike
from tunekit.data import phrase
from tunekit.setup.rows import Row, end_of

say = partial(phrase, "setup")
Place = tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Barred:
    """What the step says about barred gears; "" where it has nothing to say."""

    leave_out: str = ""
    """Of a sweep: the gears that it passes over."""
    other_ring: str = ""
    """Of a step in one cog: the rings that may be used."""
    blocked: str = ""
    """In place of the command: none of the step's gears may be used."""


def _named(teeth: tuple[int, ...], which: str) -> tuple[int, ...]:
    """The rings or cogs that a row's word stands for."""
    one = None if which in ("any", "all") else end_of(teeth, which)
    return teeth if one is None else (one,)


def _list(gears: Collection[Place]) -> str:
    return ", ".join(f"{ring} × {cog}" for ring, cog in sorted(gears))


def barred_for(row: Row, bike: Bike, barred: Collection[Place]) -> Barred:
    """What this step leaves out on this bike; `barred` are gears (ring, cog) that nobody may use."""
    if row.gear is None:
        return Barred()
    rings, cogs = _named(bike.rings, row.gear[0]), _named(bike.cogs, row.gear[1])
    wanted = {(ring, cog) for ring in rings for cog in cogs}
    shut = wanted & set(barred)
    if not shut:
        return Barred()
    if shut == wanted:
        return Barred(blocked=say("blocked", gears=_list(shut)))
    if "all" in row.gear:
        return Barred(leave_out=f" {say('leave_out', gears=_list(shut))}")
    usable = ", ".join(str(ring) for ring, _ in sorted(wanted - shut))
    return Barred(other_ring=f" {say('other_ring', rings=usable, gears=_list(shut))}")
