"""What a job leaves on paper: every bolt that it touched, and when to come back."""

from datetime import timedelta
from functools import partial

from tunekit.bike import Bike
from tunekit.data import phrase, table
from tunekit.session import Session
from tunekit.setup.records import Recheck, Torque, Walk
from tunekit.setup.rows import WHEN

say = partial(phrase, "setup")
CABLE_BOLTS = ("rear_anchor",)
"""Bolts that only a rear derailleur on a cable has."""


def _has(bolt: str, bike: Bike) -> bool:
    return bolt not in CABLE_BOLTS or bike.rear.actuation == "cable"


def _torque(bolt: str, walk: Walk) -> Torque:
    row = table("torque")["bolts"][bolt]
    step, checked = walk.step(row.get("step", "")), walk.step("last_bolts")
    by = step or checked
    return Torque(
        bolt=bolt,
        title=say(f"bolts.{bolt}"),
        low=row["low"],
        high=row["high"],
        typed=step.value if step and isinstance(step.value, float) else None,
        ticked=by is not None and by.state == "done",
        source=row["source"],
        status=row["status"],
    )


def torques(session: Session, walk: Walk) -> tuple[Torque, ...]:
    """Every bolt that this walk touches, in N m; ticked by its step, or by the last check of the bolts."""
    touched = table("torque")["touched"][walk.name]
    return tuple(_torque(bolt, walk) for bolt in touched if _has(bolt, session.bike))


def rechecks(session: Session, walk: Walk) -> tuple[Recheck, ...]:
    """When to come back after this walk; dated from the last entry of the log, without dates in an empty log."""
    worked = {block.name for block in walk.blocks if block.done}
    found = []
    for name, row in table("recheck")["rows"].items():
        wanted = "when" not in row or WHEN[row["when"]](session.bike)
        if wanted and ("after" not in row or worked & set(row["after"])):
            found.append(_recheck(name, row, session))
    return tuple(found)


def _recheck(name: str, row: dict[str, object], session: Session) -> Recheck:
    day = session.log[-1].at.date() if session.log else None
    km, days = row.get("km"), row.get("days")
    dates = None
    if day is not None and isinstance(days, list):
        dates = (day + timedelta(days=days[0]), day + timedelta(days=days[1]))
    return Recheck(
        name=name,
        title=say(f"recheck.{name}"),
        km=(km[0], km[1]) if isinstance(km, list) else None,
        days=(days[0], days[1]) if isinstance(days, list) else None,
        dates=dates,
        source=str(row["source"]),
        status=str(row["status"]),
    )
