"""The words with which a shell logs a step or its correction."""

from tunekit.setup import Correction, Step
from tunekit.setup.rows import rows
from tunekit.show.words import say

NUMBER = "NUMBER"
"""Stands where the mechanic types the figure."""


def _option(name: str, value: object) -> str:
    """A value with a sign would be read as an option of its own, so it is tied to its name."""
    text = str(value)
    return f"--{name}={text}" if text.startswith("-") else f"--{name} {text}"


def _words(kind: str, what: str | None, **options: object) -> str:
    given = [_option(name, value) for name, value in options.items() if value is not None]
    return " ".join(["tunekit log FILE", kind, f"--what {what}", *given])


def _others(answers: tuple[str, ...]) -> str:
    """As a shell's comment, so that the whole line may be pasted."""
    return f"  # {say('walk_text.or', answers=', '.join(answers))}" if answers else ""


def step_command(step: Step) -> str:
    """What logs this step's answer; the other answers stand in a comment after it."""
    asks, row = step.asks, rows()[step.id]
    place = {"ring": asks.ring, "cog": asks.cog}
    if asks.kind == "heard":
        return _words("heard", asks.answers[0], moment=asks.moment, **place) + _others(asks.answers[1:])
    if asks.kind == "turned":
        known = step.move.amount if step.move and step.move.amount is not None else None
        return _words("turned", asks.what, amount=NUMBER if known is None else f"{known:g}")
    if asks.form == "done":
        return _words(asks.kind, asks.what)
    if asks.form == "yes_no":
        good, bad = ("yes", "no") if row.good == 1 else ("no", "yes")
        return _words("measured", asks.what, value=good, **place) + _others((bad,))
    number = f"-{NUMBER}" if row.sign < 0 else NUMBER
    value = ",".join([number] * 4) if asks.form == "rim" else number
    return _words("measured", asks.what, value=value, **place)


def correction_command(todo: Correction) -> str:
    """What logs that the correction was done; only where there is something to write."""
    amount = None if todo.amount is None else f"{todo.amount:g}"
    return _words(str(todo.kind), todo.what, amount=amount, links=todo.links)


def look_command(what: str) -> str:
    """What logs a look that is answered yes or no and comes before a step."""
    return _words("measured", what, value="yes") + _others(("no",))
