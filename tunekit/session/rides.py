"""Reading the log back: a ride is what was heard between two changes of the bike."""

from collections.abc import Sequence

from tunekit.session.log import Fitted, Heard, LogEntry, Noted, Told, Turned

Place = tuple[int | None, int | None, str]
"""Ring, cog and moment."""


def is_change(entry: LogEntry) -> bool:
    """Whether the entry changed the bike: a turn or a part."""
    return isinstance(entry, Turned | Fitted)


def last_ride(log: Sequence[LogEntry]) -> tuple[Heard, ...]:
    """What was heard since the last change."""
    changes = [number for number, entry in enumerate(log) if is_change(entry)]
    start = changes[-1] + 1 if changes else 0
    return tuple(entry for entry in log[start:] if isinstance(entry, Heard))


def last_words(heard: Sequence[Heard]) -> dict[Place, Heard]:
    """The last word at each place; a later word replaces an earlier one."""
    return {(entry.ring, entry.cog, entry.moment): entry for entry in heard}


def open_troubles(log: Sequence[LogEntry]) -> tuple[Heard, ...]:
    """Every place whose last word is not "clean", whenever that was."""
    words = last_words([entry for entry in log if isinstance(entry, Heard)])
    return tuple(entry for entry in words.values() if entry.what != "clean")


def awaits_ride(log: Sequence[LogEntry]) -> bool:
    """Whether the bike was changed and nothing was heard or measured since."""
    doings = [entry for entry in log if not isinstance(entry, Noted | Told)]
    return bool(doings) and is_change(doings[-1])


def not_sure_since_change(log: Sequence[LogEntry]) -> tuple[str, ...]:
    """The looks and steps answered "not sure" since the last change of the bike."""
    changes = [number for number, entry in enumerate(log) if is_change(entry)]
    start = changes[-1] + 1 if changes else 0
    return tuple(entry.step for entry in log[start:] if isinstance(entry, Noted) and entry.step)
