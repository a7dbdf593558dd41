"""What a step asks for, and the second best where its tool is lacking."""

from tunekit.bike import Bike
from tunekit.data import table
from tunekit.setup.records import Asks, Without
from tunekit.setup.rows import Row, end_of


def _seen(row: Row) -> tuple[tuple[str, str], ...]:
    labels = table("words/setup")["seen"].get(row.id)
    if labels is None:
        return ()
    answers = ("yes", "no") if row.good == 1 else ("no", "yes")
    return tuple(zip(answers, labels, strict=True))


def asks_of(row: Row, bike: Bike, label: str) -> Asks:
    """The entry that answers the row on this bike."""
    heard = row.kind == "heard"
    return Asks(
        kind=row.kind,
        what="" if heard else row.what,
        moment=row.what if heard else None,
        ring=end_of(bike.rings, row.ring),
        cog=end_of(bike.cogs, row.cog),
        form=row.form,
        answers=row.answers,
        seen=_seen(row),
        label=label,
        unit=row.unit,
        step=row.step,
    )


def without_of(row: Row) -> Without | None:
    """The second best for this row: its own, for a bolt, or for wheel and cranks that turn; else None."""
    known = table("words/setup")["without"]
    turning = row.gear is not None and (row.kind == "heard" or row.what.startswith("quiet_edge"))
    key = row.id if row.id in known else "torque" if row.torque else "stand" if turning else None
    return None if key is None else Without(**known[key])
