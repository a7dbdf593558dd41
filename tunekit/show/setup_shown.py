"""What a set-up step's drawing needs to know, as words and yes/no; nothing is worked out in a drawing."""

from dataclasses import dataclass

from tunekit.bike import Bike
from tunekit.data.amounts import amount_text, number_text
from tunekit.setup import Correction, Step
from tunekit.setup.screws import unit_of
from tunekit.show.svg import ANTICLOCKWISE, CLOCKWISE

UNSCREWS = ("rear_barrel", "front_barrel")
"""Their plus is anticlockwise; a screw's plus is clockwise."""
SCREWS = ("high_limit", "low_limit", "b_screw", "front_high_limit", "front_low_limit")


BACKED_OFF = ("low_stop_backoff_turns", "high_stop_backoff_turns")
"""Their command unscrews from touching."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One step as its drawing shows it."""

    bike: Bike
    target: str
    rotation: str | None
    """Which way the screw or barrel turns, seen from its head or the housing end; None when not yet known."""
    amount: str
    """How far the hand turns, or ""."""
    inboard: bool | None
    """Which way a micro-adjust goes; None when not yet known."""
    readings: tuple[float, ...] | None


def current_move(step: Step) -> Correction | None:
    """The turn asked for now: the verdict's, else the command's."""
    verdict = step.verdict.correction if step.verdict else None
    return verdict if verdict and verdict.kind == "turned" else step.move


def rotation_of(move: Correction | None) -> str | None:
    """Clockwise or anticlockwise; None when nothing with a thread is turned."""
    if move is None or not move.amount or move.what not in (*UNSCREWS, *SCREWS):
        return None
    return ANTICLOCKWISE if (move.amount > 0) == (move.what in UNSCREWS) else CLOCKWISE


def _amount(move: Correction | None, step: Step) -> str:
    """How far the hand turns; a stop that is backed off turns by its target."""
    if move is not None and move.what is not None and move.amount:
        return amount_text(move.amount, unit_of(move.what))
    backed_off = step.asks.what in BACKED_OFF and step.target and step.target.value
    return amount_text(backed_off, "turns") if backed_off else ""


def shown_turn(what: str, amount: float | None, bike: Bike) -> Shown:
    """A turn that stands in no walk, such as the diagnosis's next one; a look has no amount."""
    move = Correction(says="", effect="", kind="turned", what=what, amount=amount)
    steps = what in ("rear_micro_adjust", "front_micro_adjust")
    return Shown(
        bike=bike,
        target="",
        rotation=rotation_of(move),
        amount=amount_text(amount, unit_of(what)) if amount else "",
        inboard=amount > 0 if amount and steps else None,
        readings=None,
    )


def shown(step: Step, bike: Bike) -> Shown:
    """The step for its drawing; after a verdict it is the turn that the verdict asks for."""
    move, target = current_move(step), step.target
    has_number = target is not None and target.value is not None
    steps = move is not None and move.what in ("rear_micro_adjust", "front_micro_adjust")
    return Shown(
        bike=bike,
        target=f"{number_text(target.value, 3)} {target.unit}" if target and has_number else "",  # type: ignore[arg-type]
        rotation=rotation_of(move) or (ANTICLOCKWISE if step.asks.what in BACKED_OFF else None),
        amount=_amount(move, step),
        inboard=(move.amount or 0) > 0 if move and steps else None,
        readings=step.value if isinstance(step.value, tuple) else None,
    )
