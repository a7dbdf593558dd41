"""What one turn or one step moves on this bike, and how far to turn for a given error."""

from functools import lru_cache, partial

from tunekit.bike import Bike, TunekitError
from tunekit.data import phrase, table
from tunekit.data.amounts import amount_text, number_text
from tunekit.mechanics import turns
from tunekit.mechanics.from_bike import side_view
from tunekit.mechanics.turns import Rate
from tunekit.setup.records import Correction

say = partial(phrase, "setup")
EIGHTH = 0.125
PLAIN = ("front_height_mm", "front_angle_deg")
"""Set in their own unit, so that one unit moves one unit."""


def rate(what: str, bike: Bike) -> Rate | None:
    """What one turn or step of `what` moves on this bike, or None when only the part knows."""
    rear, front = bike.rear, bike.front
    match what:
        case "rear_barrel":
            return turns.rear_barrel(rear.cable_ratio)
        case "rear_micro_adjust":
            return None if rear.step_mm is None else turns.micro_adjust(rear.step_mm)
        case "front_micro_adjust":
            step_mm = front.step_mm if front else None
            return None if step_mm is None else turns.micro_adjust(step_mm)
        case "front_barrel":
            return turns.front_barrel()
        case "high_limit" | "low_limit" | "front_high_limit" | "front_low_limit":
            return turns.limit_screw()
        case "b_screw":
            return _b_screw(bike)
    return None


@lru_cache(maxsize=64)
def _b_screw(bike: Bike) -> Rate | None:
    """None on a bike whose side view cannot be drawn; fit says why."""
    try:
        return turns.b_screw(side_view(bike))
    except TunekitError:
        return None


def mm_per_unit(what: str, bike: Bike) -> float | None:
    """Millimetres moved by one turn or step of `what` on this bike, or None when only the part knows."""
    known = rate(what, bike)
    return None if known is None else known.mm_per_unit


def settable(what: str, amount: float) -> float:
    """The amount rounded to what a hand can set: eighths of a turn, whole steps, tenths of a millimetre."""
    unit = unit_of(what)
    grain = {"turns": EIGHTH, "steps": 1.0}.get(unit, 0.1)
    return round(amount / grain) * grain


def unit_of(what: str) -> str:
    """The unit that `what` is turned in, by the vocabulary."""
    return str(table("words/vocabulary")["turned"][what]["unit"])


def turn(what: str, amount: float, bike: Bike) -> Correction:
    """The command to turn `what` by a signed amount, worded for the hand, with what the bike does then."""
    words = table("words/vocabulary")["turned"][what]
    way = "minus" if amount < 0 else "plus"
    per_unit = None if what in PLAIN else mm_per_unit(what, bike)
    effect = "" if per_unit is None else say(f"effects.{what}.{way}", mm=number_text(abs(amount) * per_unit))
    note = str(words[f"help_{way}"])
    return Correction(
        says=str(words[way]).format(amount=amount_text(amount, str(words["unit"]))),
        effect=f"{effect} {note}".strip(),
        kind="turned",
        what=what,
        amount=amount,
    )


def turn_for(what: str, error_mm: float, bike: Bike) -> Correction | None:
    """How to take out an error in mm (+ = turn to the plus side); None when less than the hand can set.

    Where the part alone knows what a step moves, one step is tried.
    """
    per_unit = 1.0 if what in PLAIN else mm_per_unit(what, bike)
    wanted = error_mm / per_unit if per_unit else (1.0 if error_mm > 0 else -1.0)
    amount = settable(what, wanted)
    return turn(what, amount, bike) if amount else None
