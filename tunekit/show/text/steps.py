"""The set-up walk as text: where it stands, then each step in its order."""

from tunekit.data import phrase
from tunekit.setup.records import Caution, Correction, Step, Target, Walk
from tunekit.show.signal import SIGNAL
from tunekit.show.text.columns import paragraphs, wrapped
from tunekit.show.words import number_text, say, until_text

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


def _correction_text(correction: Correction) -> str:
    """What to do, and up to which mark."""
    return f"{correction.says} {until_text(correction.until)}" if correction.until else correction.says


def _logged_by(step: Step) -> str:
    """The words with which a shell logs the step."""
    asks, place = step.asks, ""
    for part in ("ring", "cog"):
        teeth = getattr(asks, part)
        place += f" --{part} {teeth}" if teeth else ""
    if asks.kind == "heard":
        return f"Log: heard --moment {asks.moment} --what {asks.answers[0]}{place}"
    if asks.kind == "measured":
        value = "yes" if asks.form == "yes_no" else "61,60,58,60" if asks.form == "rim" else "NUMBER"
        return f"Log: measured --what {asks.what} --value {value}{place}"
    return f"Log: {asks.kind} --what {asks.what}{' --amount NUMBER' if asks.kind == 'turned' else ''}"


def _step_text(number: int, step: Step, current: bool) -> str:
    lines = [f"{MARK[step.state]} {number}. {step.title}" + ("   <- now" if current else "")]
    if step.caution:
        lines.append(wrapped(caution_text(step.caution), "    "))
    parts = (
        say("advice.first", look=step.first) if step.first else "",
        step.command,
        f"How: {step.how}" if step.how and step.state != "done" else "",
        step.direction,
        f"Target: {target_text(step.target)}" if step.target else "",
        step.beside,
        f"Tools: {', '.join(step.tools)}" if step.tools and step.state != "done" else "",
        f"In the log: {_value_text(step)}" if step.value is not None else "",
        step.verdict.says if step.verdict else "",
        _correction_text(step.verdict.correction) if step.verdict and step.verdict.correction else "",
        _logged_by(step) if step.state != "done" else "",
    )
    return "\n".join([*lines, *(wrapped(part, "    ") for part in parts if part)])


def steps_text(walk: Walk) -> str:
    """The whole walk; the step to do now is marked."""
    handed = phrase("sheet", "handover.done" if walk.handed_over else "handover.open")
    steps = [_step_text(place, step, step.id == walk.current) for place, step in enumerate(walk.steps, 1)]
    return paragraphs(f"{walk.title}: {walk.done} of {walk.total} done. {handed}", *steps)
