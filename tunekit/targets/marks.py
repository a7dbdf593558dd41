"""The mark at which a turn ends, the reading that shows it, and how far a screw may go between two looks."""

from dataclasses import dataclass

from tunekit.bike import Bike
from tunekit.data import table
from tunekit.targets.readings import target


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """Where a turn ends: what to watch, the value it should come to, and from where one looks."""

    watch: str
    """The log's word of the reading."""
    value: float | None
    """In the reading's own unit; None where it is to be even, or quiet."""
    unit: str
    view: str
    """"behind", "side", "above" or "gauge"."""
    cog: int | None = None


def target_of(watch: str, bike: Bike) -> float | None:
    """Where this reading should stand on this bike, in its own unit; None where it has no one value."""
    found = target(watch, bike)
    return None if found is None else found.value


def until(what: str, bike: Bike) -> Mark | None:
    """The mark at which a turn of `what` ends on this bike, or None where there is none."""
    row = table("targets")["until"].get(what)
    if row is None:
        return None
    ends = {"largest": bike.cogs[-1], "smallest": bike.cogs[0], "middle": bike.cogs[len(bike.cogs) // 2]}
    reading = table("targets")["readings"][row["watch"]]
    return Mark(
        watch=row["watch"],
        value=target_of(row["watch"], bike),
        unit=reading["unit"],
        view=row["view"],
        cog=ends.get(row.get("cog", "")),
    )


def most_between_looks(what: str, amount: float) -> float:
    """The amount, signed, no more than what this screw may be turned between two looks."""
    sign = "-" if amount < 0 else "+"
    most: float | None = table("targets")["most"].get(f"{what}{sign}")
    return amount if most is None else max(-most, min(most, amount))
