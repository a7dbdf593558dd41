"""The set-up walk as text: where it stands, then each step in its order."""

import textwrap

from tunekit.data import phrase
from tunekit.setup.records import Caution, Correction, Step, Target, Walk
from tunekit.setup.targets import value_text
from tunekit.show.signal import SIGNAL
from tunekit.show.targets import span_text
from tunekit.show.text.columns import WIDTH, paragraphs, wrapped
from tunekit.show.text.logged import correction_command, look_command, step_command
from tunekit.show.words import number_text, say, until_text

MARK = {"done": "[x]", "open": "[ ]", "not_sure": "[?]", "taken": "[-]"}


def caution_text(caution: Caution, *, whole: bool = True) -> str:
    """Signal word, hazard, consequence, avoidance; the first two are enough where the walk has told of it."""
    short = f"{SIGNAL[caution.signal]}: {caution.hazard}"
    return f"{short} {caution.consequence} {caution.avoidance}" if whole else short


def target_text(target: Target) -> str:
    """6 mm (5 to 7 mm): why; a bound or a value that is open is left out."""
    span = span_text(target)
    value = value_text(target.value, target.unit) if target.value is not None else ""
    figure = f"{value} ({span})" if value and span else value or span
    return ": ".join(part for part in (figure, target.why) if part)


def _value_text(step: Step) -> str:
    value = step.value
    if isinstance(value, tuple):
        return ", ".join(map(number_text, value))
    if step.asks.form == "yes_no":
        return dict(step.asks.seen).get("yes" if value else "no") or phrase(
            "setup", "page.yes" if value else "page.no"
        )
    return value_text(value, step.asks.unit) if isinstance(value, float | int) else str(value)


def _correction_parts(todo: Correction | None) -> tuple[str, ...]:
    """What to do, up to which mark, and the words that log it."""
    if todo is None:
        return ()
    says = f"{todo.says} {until_text(todo.until)}" if todo.until else todo.says
    return (says, say("walk_text.done", command=correction_command(todo))) if todo.kind else (says,)


def _without_text(step: Step) -> str:
    if step.without is None or step.state == "done":
        return ""
    return say("walk_text.without", do=step.without.do, unsure=step.without.unsure)


def _first_parts(step: Step) -> tuple[str, ...]:
    """The look that a step toward the spokes begins with, and the words that log it."""
    if not step.first or step.state == "done":
        return ()
    return (
        say("advice.first", look=step.first),
        say("walk_text.look", command=look_command(step.first_what)),
    )


def _step_text(number: int, step: Step, current: bool) -> str:
    lines = [f"{MARK[step.state]} {number}. {step.title}" + ("   <- now" if current else "")]
    if step.caution:
        lines.append(wrapped(caution_text(step.caution, whole=step.caution_new), "    "))
    parts = (
        *_first_parts(step),
        step.command,
        f"How: {step.how}" if step.how and step.state != "done" else "",
        step.direction,
        f"Target: {target_text(step.target)}" if step.target else "",
        step.beside,
        f"Tools: {', '.join(step.tools)}" if step.tools and step.state != "done" else "",
        _without_text(step),
        f"In the log: {_value_text(step)}" if step.value is not None else "",
        step.verdict.says if step.verdict else "",
        *_correction_parts(step.verdict.correction if step.verdict else None),
        say("walk_text.log", command=step_command(step)) if step.state != "done" and not step.blocked else "",
    )
    return "\n".join([*lines, *(_line(part) for part in parts if part)])


def _line(part: str) -> str:
    """Indented and wrapped; a command is carried on as a shell wants it, so that it may be pasted."""
    if "tunekit log" not in part:
        return wrapped(part, "    ")
    command, mark, others = part.partition("  # ")
    lines = textwrap.wrap(command, WIDTH - 2, initial_indent="    ", subsequent_indent="        ")
    # A comment ends with its line, so that it is never carried on.
    if mark and len(lines[-1]) + len(mark + others) > WIDTH:
        return "\n".join([" \\\n".join(lines), wrapped(f"# {others}", "        ")])
    return " \\\n".join(lines) + mark + others


def steps_text(walk: Walk) -> str:
    """The whole walk; the step to do now is marked."""
    handed = phrase("sheet", "handover.done" if walk.handed_over else "handover.open")
    steps = [_step_text(place, step, step.id == walk.current) for place, step in enumerate(walk.steps, 1)]
    blocks = ", ".join(f"{block.title} {block.done}/{len(block.steps)}" for block in walk.blocks)
    to_go = say("walk_text.minutes", minutes=f"{walk.minutes:.0f}") if walk.minutes else ""
    head = f"{walk.title}: {walk.done} of {walk.total} done. {handed}"
    return paragraphs(head, wrapped(f"{blocks}. {to_go}".strip(), ""), *steps)
