"""What no bike and no gauge can show: the bounds (data/plausible.toml) inside which a log takes a figure at all."""

from collections.abc import Sequence
from typing import Any

from tunekit.data import phrase, table
from tunekit.data.amounts import number_text


def row(kind: str, what: str) -> dict[str, Any]:
    """The table's row for a word of the log, {} when it has none (yes and no, parts)."""
    found: dict[str, Any] = table("plausible").get(kind, {}).get(what, {})
    return found


def check_possible(kind: str, what: str, figures: Sequence[float]) -> None:
    """Raise ValueError "RULE; REMEDY" when a figure cannot be, whatever the bike."""
    bounds = row(kind, what)
    if not bounds:
        return
    least, most = bounds["never"]
    for figure in figures:
        if not least <= figure <= most:
            raise ValueError(
                _told(
                    "never", what=what, value=f"{figure:g}", least=number_text(least), most=number_text(most)
                )
            )
        if bounds.get("whole") and figure % 1:
            raise ValueError(_told("whole", what=what, value=f"{figure:g}"))


def _told(key: str, **values: str) -> str:
    return f"{phrase('plausible', key, **values)}; {phrase('plausible', f'{key}_remedy')}"
