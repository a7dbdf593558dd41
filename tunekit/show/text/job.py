"""The bolts of a job and when to come back, as text."""

from tunekit.setup import Recheck, Torque
from tunekit.show.words import number_text, say

TICK = {True: "[x]", False: "[ ]"}


def torque_line(row: Torque) -> str:
    """[x] Cable bolt: 4 to 7 N m, the part's own 5 N m."""
    typed = "" if row.typed is None else say("walk_text.typed", value=number_text(row.typed))
    low, high = number_text(row.low), number_text(row.high)
    return say("walk_text.torque", mark=TICK[row.ticked], title=row.title, low=low, high=high, typed=typed)


def recheck_line(row: Recheck) -> str:
    """New cable: 2026-11-09 to 2026-12-14."""
    when = []
    if row.km is not None:
        key = "km_one" if row.km[0] == row.km[1] else "km"
        when.append(say(f"walk_text.{key}", low=number_text(row.km[0]), high=number_text(row.km[1])))
    if row.dates is not None:
        when.append(say("walk_text.dates", low=row.dates[0].isoformat(), high=row.dates[1].isoformat()))
    elif row.days is not None:
        when.append(say("walk_text.days", low=number_text(row.days[0]), high=number_text(row.days[1])))
    return say("walk_text.recheck", title=row.title, when=", ".join(when))


def job_text(bolts: tuple[Torque, ...], back: tuple[Recheck, ...]) -> str:
    """Both lists, "" where both are empty."""
    parts = []
    if bolts:
        parts.append("\n".join([say("walk_text.torques"), *map(torque_line, bolts)]))
    if back:
        parts.append("\n".join([say("walk_text.rechecks"), *map(recheck_line, back)]))
    return "\n\n".join(parts)
