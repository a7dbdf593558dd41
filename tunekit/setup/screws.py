"""What one turn or one step moves on this bike, and how far to turn for a given error."""

from functools import partial

from tunekit.bike import Bike
from tunekit.data import phrase, table
from tunekit.data.amounts import amount_text, number_text
from tunekit.mechanics.from_bike import hand_rate
from tunekit.setup.records import Correction
from tunekit.targets import most_between_looks, until

say = partial(phrase, "setup")
EIGHTH = 0.125
PLAIN = ("front_height_mm", "front_angle_deg")
"""Set in their own unit, so that one unit moves one unit."""


def mm_per_unit(what: str, bike: Bike) -> float | None:
    """Millimetres moved by one turn or step of `what` on this bike, or None when only the part knows."""
    known = hand_rate(what, bike)
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
    amount = most_between_looks(what, amount)
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
        until=until(what, bike),
    )


def turn_for(what: str, error_mm: float, bike: Bike) -> Correction | None:
    """How to take out an error in mm (+ = turn to the plus side); None when less than the hand can set.

    Where the part alone knows what a step moves, one step is tried.
    """
    per_unit = 1.0 if what in PLAIN else mm_per_unit(what, bike)
    wanted = error_mm / per_unit if per_unit else (1.0 if error_mm > 0 else -1.0)
    amount = settable(what, wanted)
    return turn(what, amount, bike) if amount else None
