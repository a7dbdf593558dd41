"""The parts of a walk, and how long a step takes by the tables of looks and repairs."""

from functools import partial

from tunekit.data import phrase, table
from tunekit.setup.records import Block, Step
from tunekit.setup.rows import Row

say = partial(phrase, "setup")
OPEN = ("open", "not_sure")


def block_of(id: str) -> str:
    """The block that a step belongs to. Raises KeyError when the table has forgotten it."""
    for name, steps in table("setup")["blocks"].items():
        if id in steps:
            return str(name)
    raise KeyError(id)


def minutes_of(row: Row) -> float:
    """Hand time of a step: the look, and the turn or the part where the step is one."""
    plain, looks, work = table("setup")["minutes"], table("checks"), table("repairs")
    if row.kind == "fitted":
        return float(work["fitted"].get(row.what, {}).get("minutes", plain["done"]))
    if row.what == "checked_ride":
        return float(plain["ride"])
    if row.torque is not None:
        return float(plain["torque"])
    look = {**looks["yes_no"], **looks["number"]}.get(row.what, {}).get("minutes", plain[row.form])
    turned = work["turned"].get(row.turn or "", {}).get("minutes", 0.0) if row.form == "number" else 0.0
    return float(look) + float(turned)


def blocks_of(steps: tuple[Step, ...]) -> tuple[Block, ...]:
    """The blocks that these steps make up, in the order in which the walk meets them."""
    names = dict.fromkeys(step.block for step in steps)
    return tuple(_block(name, tuple(step for step in steps if step.block == name)) for name in names)


def _block(name: str, steps: tuple[Step, ...]) -> Block:
    return Block(
        name=name,
        title=say(f"blocks.{name}"),
        steps=tuple(step.id for step in steps),
        done=sum(step.state == "done" for step in steps),
        taken=sum(step.state == "taken" for step in steps),
        minutes=sum(step.minutes for step in steps if step.state in OPEN),
    )
