"""The table of steps (data/setup.toml) as records, and which of them a bike has."""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from tunekit.bike import Bike
from tunekit.data import table

LOOKS = ("checked_low_stop", "gap_clears")
"""What is answered by bringing the cage to the largest cog with care: the looks themselves."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One step as the table has it, before a bike is known."""

    id: str
    part: str
    asks: str
    """kind.what of the entry; kind.moment when the kind is "heard"."""
    form: str
    picture: str
    source: str
    status: str
    cog: str | None = None
    ring: str | None = None
    unit: str = ""
    good: str | int | None = None
    answers: tuple[str, ...] = ()
    target: float | None = None
    low: float | None = None
    high: float | None = None
    target_from: str | None = None
    torque: tuple[float, float] | None = None
    """Published range of the bolt that the step tightens (data/torque.toml)."""
    sign: int = 1
    step: float = 0.1
    turn: str | None = None
    turns: dict[str, tuple[str, float]] = field(default_factory=dict)
    fix: str | None = None
    tools: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    when: str | None = None
    caution: str | None = None
    caution_motor: str | None = None
    """The hazard where a motor moves the part, when it is another one."""
    confirm: bool = False
    optional: bool = False
    """Whether many bikes lack what it is about: "not sure" then settles it for the steps that need it."""
    inboard: bool = False
    """Whether the hand at the step moves the pulley toward the spokes."""
    look: str = "checked_low_stop"
    """The look that a step toward the spokes begins with. While a motor's stops stand open it is the air between cage
    and spokes, seen with the gap."""
    gear: tuple[str, str] | None = None
    """Ring and cog that the chain runs on meanwhile: "smallest", "middle" or "largest", "any" ring, "all"."""

    @property
    def kind(self) -> str:
        """The kind of entry."""
        return self.asks.partition(".")[0]

    @property
    def toward_spokes(self) -> bool:
        """Whether the pulley goes toward the spokes, by the hand or with the chain onto the largest cog.

        The look that proves the low stop is no such step.
        """
        ridden = self.gear is not None and self.gear[1] in ("largest", "all")
        return self.inboard or (ridden and self.what not in LOOKS)

    @property
    def what(self) -> str:
        """The entry's word; for "heard" its moment."""
        return self.asks.partition(".")[2]


def _row(id: str, fields: dict[str, Any]) -> Row:
    given: dict[str, Any] = {
        key: tuple(value) if isinstance(value, list) else value for key, value in fields.items()
    }
    bolt = table("torque")["bolts"].get(given.pop("bolt", None))
    if bolt is not None:
        given |= {"torque": (bolt["low"], bolt["high"]), "source": bolt["source"], "status": bolt["status"]}
    given["target_from"] = given.pop("from", None)
    given["turns"] = {word: (what, amount) for word, (what, amount) in given.get("turns", {}).items()}
    return Row(id=id, **given)


@cache
def rows() -> dict[str, Row]:
    """Every row of the table by its step's name."""
    return {id: _row(id, fields) for id, fields in table("setup")["steps"].items()}


@cache
def upset_by() -> dict[str, frozenset[str]]:
    """For each event ("fitted.cassette"), the steps whose values it makes stale."""
    data = table("setup")
    return {
        event: frozenset(step for group in groups for step in data["groups"][group])
        for event, groups in data["upsets"].items()
    }


def _wireless(bike: Bike) -> bool:
    return bike.control == "wireless"


WHEN: dict[str, Callable[[Bike], bool]] = {
    "cable": lambda bike: bike.rear.actuation == "cable",
    "electronic": lambda bike: bike.rear.actuation == "electronic",
    "electric": lambda bike: "electronic" in (bike.rear.actuation, bike.front and bike.front.actuation),
    "wired": lambda bike: WHEN["electric"](bike) and not _wireless(bike),
    "wireless": lambda bike: WHEN["electric"](bike) and _wireless(bike),
    "suspension": lambda bike: bike.frame.chainstay_growth_mm > 0,
    "rigid": lambda bike: bike.frame.chainstay_growth_mm == 0,
    "chain_on": lambda bike: bike.chain.links is not None,
    "cogs": lambda bike: len(bike.cogs) > 1,
    "three_rings": lambda bike: len(bike.rings) > 2,
}


def _fits(walk: str, bike: Bike) -> bool:
    shifts_rings = bike.front is not None and len(bike.rings) > 1
    front = bike.front.actuation if bike.front and shifts_rings else None
    by_walk = {
        "rear_cable": bike.rear.actuation == "cable",
        "rear_electronic": bike.rear.actuation == "electronic",
        "front_cable": front == "cable",
        "front_electronic": front == "electronic",
        "single_ring": len(bike.rings) == 1,
        "new_cable": bike.rear.actuation == "cable",
    }
    return by_walk.get(walk, True)


def walks_for(bike: Bike) -> tuple[str, ...]:
    """The walks that make sense on this bike, in the table's order."""
    return tuple(walk for walk in table("setup")["walks"] if _fits(walk, bike))


def rows_for(walk: str, bike: Bike) -> tuple[Row, ...]:
    """The steps of a walk on this bike, in the order of the bench."""
    chosen = (rows()[id] for id in table("setup")["walks"][walk])
    return tuple(row for row in chosen if row.when is None or WHEN[row.when](bike))


def end_of(teeth: tuple[int, ...], which: str | None) -> int | None:
    """ "smallest", "middle" or "largest" of rings or cogs, as a tooth count."""
    places = {"smallest": 0, "middle": len(teeth) // 2, "largest": -1}
    return None if which is None else teeth[places[which]]
