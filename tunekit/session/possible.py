"""What no bike and no gauge can show: the bounds (data/possible.toml) inside which a log takes a figure at all."""

from collections.abc import Sequence

from tunekit.data import phrase, table
from tunekit.data.amounts import number_text


def check_possible(what: str, figures: Sequence[float]) -> None:
    """Raise ValueError "RULE; REMEDY" when a figure cannot be, whatever the bike."""
    bounds = table("possible").get(what)
    if bounds is None:
        return
    least, most = bounds["within"]
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
    return f"{phrase('possible', key, **values)}; {phrase('possible', f'{key}_remedy')}"
