"""Readings that no bicycle gives: asked about before they count, with what was likely meant beside them."""

from collections.abc import Sequence
from dataclasses import dataclass

from tunekit.data import phrase, table
from tunekit.session.log import LogEntry, Measured

SLIPS = (0.1, 0.01, 10.0, -1.0, 0.001)
"""Slips of a digit or of the sign, the commonest first: what was typed times this was meant."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """A reading outside what a hand could read, and the other reading of it."""

    what: str
    given: float | tuple[float, ...]
    meant: float | tuple[float, ...]
    """What was likely meant: inside the range, or the nearest figure that is."""
    says: str
    """One sentence with both."""


def doubt(entry: LogEntry) -> Doubt | None:
    """Whether a reading must be asked about before it is used; None for all that is plausible."""
    row = table("plausible").get(getattr(entry, "what", ""))
    if row is None or not isinstance(entry, Measured) or entry.sure:
        return None
    figures = entry.value if isinstance(entry.value, tuple) else (entry.value,)
    if all(_inside(figure, row) for figure in figures):
        return None
    meant = tuple(figure if _inside(figure, row) else _meant(figure, row, figures) for figure in figures)
    other = meant if isinstance(entry.value, tuple) else meant[0]
    says = phrase(
        "known",
        "doubt",
        given=reading_text(entry.value),
        meant=reading_text(other),
        least=f"{row['least']:g}",
        most=f"{row['most']:g}",
        unit=row["unit"],
    )
    return Doubt(what=entry.what, given=entry.value, meant=other, says=says)


def reading_text(value: float | Sequence[float]) -> str:
    """A figure, or several with commas, as one types them."""
    return ",".join(f"{figure:g}" for figure in ([value] if isinstance(value, float | int) else value))


def open_doubt(log: Sequence[LogEntry]) -> tuple[int, Doubt] | None:
    """The last reading that nobody asked about yet: place in the log, and the doubt.

    A reading taken again, whatever it came to, has been asked about.
    """
    latest: dict[str, int] = {}
    for number, entry in enumerate(log):
        if isinstance(entry, Measured):
            again = latest.pop(entry.what, None) is not None
            if doubt(entry) is not None and not again:
                latest[entry.what] = number
    if not latest:
        return None
    number = max(latest.values())
    found = doubt(log[number])
    return None if found is None else (number, found)


def superseded(log: Sequence[LogEntry]) -> frozenset[int]:
    """Implausible readings that a later, plausible one of the same thing has put right."""
    out, waiting = set(), dict[str, int]()
    for number, entry in enumerate(log):
        if isinstance(entry, Measured):
            if doubt(entry) is not None:
                waiting[entry.what] = number
            elif entry.what in waiting:
                out.add(waiting.pop(entry.what))
    return frozenset(out)


def _inside(figure: float, row: dict[str, float]) -> bool:
    return row["least"] <= figure <= row["most"] and not (row.get("even") and figure % 2)


def _meant(figure: float, row: dict[str, float], figures: Sequence[float]) -> float:
    """The likeliest slip that leaves a possible figure; of several readings the one nearest to the others."""
    found = [round(figure * slip, 6) for slip in SLIPS if _inside(round(figure * slip, 6), row)]
    if found:
        others = [other for other in figures if _inside(other, row)]
        return min(found, key=lambda f: min(abs(f - other) for other in others)) if others else found[0]
    if row.get("even") and row["least"] <= figure <= row["most"]:
        return float(2 * round(figure / 2))
    return min(max(figure, row["least"]), row["most"])
