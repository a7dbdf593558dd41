"""Starter bikes as text."""

from collections.abc import Sequence
from dataclasses import dataclass

from tunekit.bike.starters import StarterRow, starter_rows, starter_title
from tunekit.show.text.columns import columns, paragraphs, wrapped

LEAFLET = "Figures are typical for the class until measured; the part's own leaflet outranks them."


@dataclass(frozen=True, slots=True, kw_only=True)
class Starter:
    """A starter bike with every figure's status."""

    name: str
    title: str
    rows: tuple[StarterRow, ...]


def starter_sheet(name: str) -> Starter:
    """One starter bike; raises SessionError naming the choices when there is none of that name."""
    return Starter(name=name, title=starter_title(name), rows=starter_rows(name))


def _value(value: object) -> str:
    return " ".join(map(str, value)) if isinstance(value, tuple) else str(value)


def starters_text(starters: Sequence[Starter]) -> str:
    """Names and titles; of a single starter, every figure with its status and source."""
    if len(starters) > 1:
        table = columns(("Name", "Bike"), [(starter.name, starter.title) for starter in starters])
        return paragraphs(table, wrapped(LEAFLET))
    (one,) = starters
    rows = [(row.field, _value(row.value), row.status) for row in one.rows]
    sources = [wrapped(f"{row.field}: {row.source}", "  ") for row in one.rows if row.source]
    return paragraphs(
        one.title,
        columns(("Field", "Value", "Status"), rows),
        "\n".join(["Sources", *sources]),
        wrapped(LEAFLET),
    )
