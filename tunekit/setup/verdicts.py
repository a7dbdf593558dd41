"""What the value in the log means for a step: pass, adjust (with the correction) or redo (doubtful)."""

from collections.abc import Sequence
from functools import partial

from tunekit.bike import Bike
from tunekit.data import phrase, table
from tunekit.data.amounts import number_text
from tunekit.session.plausible import bounds
from tunekit.setup.records import Correction, QuietWindow, Target, Value, Verdict
from tunekit.setup.replay import Search, Standing
from tunekit.setup.rows import Row
from tunekit.setup.screws import settable, turn, turn_for
from tunekit.setup.targets import bike_words, target_text, value_text
from tunekit.setup.window import doubt, sure_text
from tunekit.targets import until

say = partial(phrase, "setup")
SLIP = 1e-9
BEYOND = {"high_limit", "low_limit", "front_low_limit", "front_high_limit"}
"""Their plus closes the stop in, so a value above the target asks for plus."""
OUTBOARD_NARROWS = "front_micro_adjust"


def _sentence(row: Row, key: str, bike: Bike, **values: object) -> str:
    """A sentence of the step, "" when it has none."""
    pattern = table("words/setup")["steps"][row.id].get(key, "")
    return str(pattern).format(**{**bike_words(bike), **values})


def spread(readings: Sequence[float]) -> float:
    """Largest difference between the readings."""
    return max(readings) - min(readings)


def implausible(row: Row, value: Value, bike: Bike) -> float | None:
    """The reading that no hand could have read on this bike, or None."""
    limits = None if isinstance(value, str) else bounds(bike, row.kind, row.what)
    if limits is None or isinstance(value, str):
        return None
    readings = value if isinstance(value, tuple) else (value,)
    odd = limits.even and any(reading % 2 for reading in readings)
    return next((at for at in readings if odd or not limits.least <= at <= limits.most), None)


def question(row: Row, value: Value, bike: Bike) -> str | None:
    """The sentence that questions a value outside any sensible range, or None."""
    odd = implausible(row, value, bike)
    if odd is None:
        return None
    limits = bounds(bike, row.kind, row.what)
    low, high = row.torque or ((limits.least, limits.most) if limits else (0.0, 0.0))
    shown = number_text(abs(odd) if row.sign < 0 else odd)
    return _sentence(row, "question", bike, value=shown, low=number_text(low), high=number_text(high))


def _within(value: float, target: Target) -> bool:
    above = target.low is None or value >= target.low - SLIP
    return above and (target.high is None or value <= target.high + SLIP)


def _words(target: Target, value: float, name: str) -> str:
    """ "4.5 mm: within 5 to 7 mm. Good." and its kin."""
    key = name if name == "pass_middle" else f"{name}_number"
    if target.low is None:
        key = f"{name}_at_most"
    elif target.high is None:
        key = f"{name}_at_least"
    bounds = {
        "low": "" if target.low is None else value_text(target.low, target.unit),
        "high": "" if target.high is None else value_text(target.high, target.unit),
    }
    return say(f"verdicts.{key}", value=value_text(value, target.unit), target=target_text(target), **bounds)


def _chain(row: Row, value: float, target: Target, bike: Bike) -> Correction:
    best = int(target.value or 0)
    side = _sentence(row, "long" if value > best else "short", bike)
    says = _sentence(row, "remedy", bike, off=number_text(abs(value - best)), side=side)
    return Correction(says=says, effect="", kind="fitted", what="chain", links=best)


def _fix(row: Row, bike: Bike, target: Target | None, value: Value) -> Correction:
    """Put right by hand or by a part; the sentence is the step's remedy."""
    shown = number_text(value) if isinstance(value, float) else value
    values: dict[str, object] = {"value": shown}
    if target is not None and isinstance(value, float):
        values |= {"low": number_text(target.low or 0), "high": number_text(target.high or 0)}
        values["direction"] = _sentence(row, "outboard" if value < (target.value or 0) else "inboard", bike)
    says = _sentence(row, "remedy", bike, **values) or say("verdicts.diagnosis")
    kind, _, what = (row.fix or "").partition(".")
    return Correction(says=says, effect="", kind=kind or None, what=what or None)


def _hanger(readings: Sequence[float], bike: Bike) -> Correction:
    """Which way to bend, from the pair of opposite readings that differs most."""
    top, front, bottom, back = readings
    lower, forward = bottom - top, front - back
    if abs(lower) >= abs(forward):
        key = "lower_in" if lower < 0 else "lower_out"
    else:
        key = "front_in" if forward < 0 else "front_out"
    mark = until("hanger", bike)
    return Correction(says=say(f"hanger.{key}"), effect="", kind="turned", what="hanger", until=mark)


def _turned(row: Row, value: float, target: Target, bike: Bike) -> Correction | None:
    """The screw's correction: signed, rounded to what a hand can set."""
    assert row.turn is not None
    error = (target.value or 0.0) - value
    toward = -error if row.turn in BEYOND or row.turn == OUTBOARD_NARROWS else error
    if row.unit == "turns":
        return turn(row.turn, settable(row.turn, toward), bike)
    return turn_for(row.turn, toward, bike)


def _number(row: Row, value: float, target: Target, bike: Bike) -> Verdict:
    if _within(value, target):
        return Verdict(name="pass", says=_words(target, value, "pass"))
    if row.what == "chain_length_links":
        correction: Correction | None = _chain(row, value, target, bike)
    elif row.turn is not None:
        correction = _turned(row, value, target, bike)
    else:
        correction = _fix(row, bike, target, value)
    return Verdict(name="adjust", says=_words(target, value, "adjust"), correction=correction)


def _rim(value: Sequence[float], target: Target, row: Row, bike: Bike) -> Verdict:
    off = spread(value)
    if _within(off, target):
        return Verdict(name="pass", says=_words(target, off, "pass"))
    says = _sentence(row, "remedy", bike, value=number_text(off, 1))
    return Verdict(name="adjust", says=says, correction=_hanger(value, bike))


def _edge(row: Row, value: float, found: Search, window: QuietWindow | None, bike: Bike) -> Verdict:
    doubtful = doubt(found, window, bike)
    if doubtful is not None:
        return Verdict(name="redo", says=doubtful)
    return Verdict(name="pass", says=say("verdicts.pass_edge", value=value_text(value, row.unit)))


def _middle(row: Row, value: float, target: Target, window: QuietWindow, bike: Bike) -> Verdict:
    if _within(value, target):
        return Verdict(name="pass", says=say("verdicts.pass_middle", sure=sure_text(window)))
    says = say(
        "verdicts.adjust_middle",
        value=value_text(value, row.unit),
        target=value_text(window.middle, row.unit),
    )
    return Verdict(
        name="adjust", says=says, correction=turn(row.what, settable(row.what, window.middle - value), bike)
    )


def _word(row: Row, value: str, bike: Bike) -> Verdict:
    if value == row.good:
        return Verdict(name="pass", says=say("verdicts.pass_word"))
    what, amount = row.turns.get(value, (None, 0.0))
    correction = turn(what, amount, bike) if what else _fix(row, bike, None, value)
    return Verdict(name="adjust", says="", correction=correction)


def _yes_no(row: Row, value: float, bike: Bike) -> Verdict:
    if value == row.good:
        return Verdict(name="pass", says=say("verdicts.pass_word"))
    correction = turn(row.turn, 1.0, bike) if row.turn else _fix(row, bike, None, value)
    return Verdict(name="adjust", says="", correction=correction)


def verdict_for(
    row: Row,
    at: Standing,
    target: Target | None,
    found: Search | None,
    window: QuietWindow | None,
    bike: Bike,
) -> Verdict | None:
    """The verdict on the value that stands, or None when there is none."""
    value = at.value
    if value is None:
        return None
    doubtful = None if at.twice else question(row, value, bike)
    if doubtful is not None:
        return Verdict(name="redo", says=doubtful)
    if isinstance(value, str):
        return _word(row, value, bike)
    if isinstance(value, tuple):
        assert target is not None
        return _rim(value, target, row, bike)
    if row.form == "yes_no":
        return _yes_no(row, value, bike)
    if row.form == "done":
        return Verdict(name="pass", says=say("verdicts.pass_word"))
    if row.torque is not None:
        return Verdict(name="pass", says=say("verdicts.pass_torque", value=value_text(value, row.unit)))
    if row.target_from in ("edge_outboard", "edge_inboard") and found is not None:
        return _edge(row, value, found, window, bike)
    if target is None or (target.value is None and target.low is None):
        return Verdict(name="pass", says=say("verdicts.pass_word"))
    if row.target_from == "quiet_middle" and window is not None:
        return _middle(row, value, target, window, bike)
    return _number(row, value, target, bike)
