"""Starter bikes by class, so that a form begins with plausible figures; each figure keeps its status.

The part's own leaflet outranks every figure here.
"""

from dataclasses import dataclass
from typing import Any

from tunekit.bike.errors import SessionError, one_of, shown
from tunekit.bike.model import Bike, Part
from tunekit.data import table


@dataclass(frozen=True, slots=True, kw_only=True)
class StarterRow:
    """One figure of a starter bike."""

    field: str
    """The session file's own name, such as rear.cage_mm."""
    value: object
    status: str
    """typical, common practice, published or worked out."""
    source: str
    """Empty when it is typical: nobody printed it."""


def _starters() -> dict[str, dict[str, Any]]:
    return {row["name"]: row for row in table("starters")["starter"]}


def _named(name: str) -> dict[str, Any]:
    """The table of one starter; raises SessionError naming the choices."""
    starters = _starters()
    if name not in starters:
        raise SessionError(f"starter must be {one_of(starters)} (got {shown(name)}); choose one of these.")
    return starters[name]


def starter_names() -> tuple[str, ...]:
    """All starters, road first."""
    return tuple(_starters())


def starter_title(name: str) -> str:
    """What the class is, in a line."""
    return str(_named(name)["title"])


def _listed(name: str) -> tuple[StarterRow, ...]:
    """The figures that the starter's own table gives."""
    return tuple(
        StarterRow(
            field=field,
            value=tuple(value) if isinstance(value, list) else value,
            status=status,
            source=source,
        )
        for field, value, status, source in _named(name)["rows"]
    )


def _figures(bike: Bike) -> dict[str, object]:
    """Every figure of a bike by its field name, such as rear.cage_mm; what is null is left out."""
    figures: dict[str, object] = {"rings": bike.rings, "cogs": bike.cogs}
    for part, held in bike:
        if isinstance(held, Part):
            figures |= {f"{part}.{key}": value for key, value in held if value is not None}
    return figures


def starter_rows(name: str) -> tuple[StarterRow, ...]:
    """Every figure of the starter, with its status and source; what its table leaves out is typical."""
    listed = _listed(name)
    named = {row.field for row in listed}
    rest = (
        StarterRow(field=field, value=value, status="typical", source="")
        for field, value in _figures(starter(name)).items()
        if field not in named
    )
    return (*listed, *rest)


def starter(name: str) -> Bike:
    """The starter bike; raises SessionError naming the choices when there is none of that name."""
    fields: dict[str, Any] = {}
    for row in _listed(name):
        part, _, key = row.field.partition(".")
        if key:
            fields.setdefault(part, {})[key] = row.value
        else:
            fields[part] = row.value
    if fields["rear"].get("actuation") == "electronic":
        fields["rear"] |= {"cable_ratio": None, "lever_pull_mm": None}
    return Bike.build(**fields)
