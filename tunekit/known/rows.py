"""The table of facts (data/known.toml) as checked, frozen rows: a slip in the table fails at start, with its place."""

from functools import cache
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from tunekit.bike.model import Part
from tunekit.data import table

Danger = Literal["stop", "first", "mind"]
Base = Literal["", "gap_target", "wear_limit", "rim_spread"]
Work = Annotated[str, Field(pattern=r"^(turned|fitted|measured|told|heard)\.[a-z_]+[+-]?$")]
Words = Annotated[tuple[str, ...], Field(strict=False)]
Works = Annotated[tuple[Work, ...], Field(strict=False)]


class Row(Part):
    """One kind of fact that an entry of the log can be."""

    name: str
    danger: Danger
    look: str | None = None
    bad: int | None = None
    least: float | None = None
    most: float | None = None
    of: Base = ""
    unit: str = ""
    heard: Words = ()
    moments: Words = ()
    causes: Words = ()
    remedy: Works = ()
    mends: Works = ()
    seen: Annotated[tuple[Words, ...], Field(strict=False)] = ()
    needs: Words = ()
    status: str

    @model_validator(mode="after")
    def _one_kind(self) -> Self:
        limits = [self.bad, self.least, self.most]
        if bool(self.heard) == (self.look is not None) or bool(self.heard) != all(x is None for x in limits):
            raise ValueError("needs either words that are heard, or a look with its bad answer or a limit")
        if not (self.remedy or self.seen):
            raise ValueError("needs a remedy or a look that ends it")
        return self

    @property
    def works(self) -> frozenset[str]:
        """Work that puts it right ("turned.low_limit"), signs left out."""
        done = (work.rstrip("+-") for work in (*self.remedy, *self.mends))
        return frozenset(work for work in done if not work.startswith("measured."))


class FitRow(Part):
    """What a failed finding of the fit calls for."""

    danger: Danger
    too_short: Danger | None = None
    counted: Danger | None = None
    """How bad a mere caution is once the log itself has counted the links."""
    remedy: Work
    status: str


class Holds(Part):
    """Which looks show that the low stop holds, and what makes them worthless."""

    looks: Words
    undone_by: Works
    status: str


class Sure(Part):
    """Readings outside which no slip of the hand explains a figure."""

    least: float = float("-1e9")
    most: float = float("1e9")


class Table(Part):
    """The whole table, in its order."""

    slip: float
    slip_status: str
    facts: Annotated[tuple[Row, ...], Field(strict=False)]
    fit: dict[str, FitRow]
    sure: dict[str, Sure]
    holds: Holds


@cache
def rows() -> Table:
    """The table, read and checked once."""
    raw = dict(table("known"))
    raw["facts"] = tuple({"name": name, **fields} for name, fields in raw["facts"].items())
    return Table.model_validate(raw)
