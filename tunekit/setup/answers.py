"""From what the mechanic says at a step to the fields of a log entry, as `make_entry` takes them."""

from functools import partial

from tunekit.bike import SessionError
from tunekit.bike.errors import one_of, shown
from tunekit.data import phrase, table
from tunekit.session import Session
from tunekit.setup.records import Step, Value, Walk
from tunekit.setup.replay import UNLOOKED
from tunekit.setup.rows import rows
from tunekit.setup.walk import setup_steps

say = partial(phrase, "setup")
Fields = dict[str, object]
YES_NO = {"yes": 1.0, "no": 0.0}


def _number(step: Step, given: object) -> float:
    if isinstance(given, bool) or not isinstance(given, int | float):
        raise SessionError(
            say("walk_errors.number", step=step.title, unit=step.asks.unit, answer=shown(given))
        )
    return float(given)


def _choice(step: Step, given: object, choices: tuple[str, ...]) -> str:
    if given not in choices:
        raise SessionError(
            say("walk_errors.answer", step=step.title, choices=one_of(choices), answer=shown(given))
        )
    return str(given)


def _readings(step: Step, given: object) -> tuple[float, ...]:
    if not isinstance(given, tuple | list) or len(given) != 4:
        raise SessionError(say("walk_errors.readings", step=step.title, answer=shown(given)))
    return tuple(_number(step, reading) for reading in given)


def _value(step: Step, given: object) -> Value:
    match step.asks.form:
        case "yes_no":
            return YES_NO[_choice(step, given, tuple(YES_NO))]
        case "word":
            return _choice(step, given, step.asks.answers)
        case "rim":
            return _readings(step, given)
    return rows()[step.id].sign * _number(step, given)


def answer(step: Step, given: object = None) -> Fields:
    """The entry for an answer: a number, "yes" or "no", one of the step's words, four readings, or nothing
    when the act itself is the entry. Raises SessionError with one sentence.

    The middle of the quiet window is answered by where the adjuster stands, counted from the start; the
    entry is how far it was turned to get there.
    """
    asks = step.asks
    place: Fields = {"ring": asks.ring, "cog": asks.cog}
    if asks.form == "done":
        return {"kind": asks.kind, "what": asks.what}
    value = _value(step, given)
    if asks.kind == "heard":
        return {"kind": "heard", "moment": asks.moment, "what": value, **place}
    if asks.kind == "turned":
        standing = step.value if isinstance(step.value, float) else 0.0
        return {"kind": "turned", "what": asks.what, "amount": float(value) - standing}  # type: ignore[arg-type]
    return {"kind": asks.kind, "what": asks.what, "value": value, **place}


def not_sure(step: Step) -> Fields:
    """The note that leaves a step open for now."""
    return {"kind": "noted", "text": say("notes.not_sure", title=step.title), "step": step.id}


def skip(walk: Walk, block: str, *, taken: bool = False) -> list[Fields]:
    """The notes that leave a block's open steps for now, or take them as done without a look.

    Steps that can throw the rider are only ever left open, and the last checks are not touched at all.
    """
    found = [step for step in walk.steps if step.block == block and step.state == "open" and not step.confirm]
    return [_taken(step) if taken and step.id not in UNLOOKED else not_sure(step) for step in found]


def _taken(step: Step) -> Fields:
    text = say("notes.taken", title=step.title)
    return {"kind": "noted", "text": text, "step": step.id, "taken": True}


def begin(session: Session, walk: str, *, afresh: bool) -> list[Fields]:
    """The entries that begin a walk; `afresh` also tells the log why, which reopens the steps it upsets."""
    title = setup_steps(session, walk).title
    note: Fields = {"kind": "noted", "text": say("notes.begun", title=title), "walk": walk}
    kind, _, what = table("setup")["begins"][walk].partition(".")
    return [{"kind": kind, "what": what}, note] if afresh else [note]
