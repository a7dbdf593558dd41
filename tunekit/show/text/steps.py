"""The set-up walk as text: where it stands, then each step in its order."""

from tunekit.data import phrase
from tunekit.setup.records import Caution, Step, Target, Walk
from tunekit.show.signal import SIGNAL
from tunekit.show.text.columns import paragraphs, wrapped
from tunekit.show.words import number_text

MARK = {"done": "[x]", "open": "[ ]", "not_sure": "[?]"}


def caution_text(caution: Caution) -> str:
    """Signal word, hazard, consequence, avoidance."""
    return f"{SIGNAL[caution.signal]}: {caution.hazard} {caution.consequence} {caution.avoidance}"


def target_text(target: Target) -> str:
    """6 mm (5 to 7): why; a bound or a value that is open is left out."""
    low, high = (None if bound is None else number_text(bound) for bound in (target.low, target.high))
    span = (
        f"{low} to {high}"
        if low and high
        else f"at least {low}"
        if low
        else f"at most {high}"
        if high
        else ""
    )
    value = "" if target.value is None else number_text(target.value)
    figure = f"{value} {target.unit} ({span})" if value and span else f"{value or span} {target.unit}"
    return ": ".join(part for part in (figure if value or span else "", target.why) if part)


def _value_text(step: Step) -> str:
    value = step.value
    if isinstance(value, tuple):
        return ", ".join(map(number_text, value))
    return number_text(value) if isinstance(value, float | int) else str(value)


def _step_text(number: int, step: Step, current: bool) -> str:
    lines = [f"{MARK[step.state]} {number}. {step.title}" + ("   <- now" if current else "")]
    if step.caution:
        lines.append(wrapped(caution_text(step.caution), "    "))
    parts = (
        step.command,
        step.direction,
        f"Target: {target_text(step.target)}" if step.target else "",
        step.beside,
        f"Tools: {', '.join(step.tools)}" if step.tools and step.state != "done" else "",
        f"In the log: {_value_text(step)}" if step.value is not None else "",
        step.verdict.says if step.verdict else "",
        step.verdict.correction.says if step.verdict and step.verdict.correction else "",
    )
    return "\n".join([*lines, *(wrapped(part, "    ") for part in parts if part)])


def steps_text(walk: Walk) -> str:
    """The whole walk; the step to do now is marked."""
    handed = phrase("sheet", "handover.done" if walk.handed_over else "handover.open")
    steps = [_step_text(place, step, step.id == walk.current) for place, step in enumerate(walk.steps, 1)]
    return paragraphs(f"{walk.title}: {walk.done} of {walk.total} done. {handed}", *steps)
