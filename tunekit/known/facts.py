"""What is known: facts of the log and of the fit, which outrank every probability.

A fact begins with an entry (a reading past its limit, a bad answer, a throw of the chain) or with the bike itself (a
fit that fails). It ends when it is answered the other way or mended, never because rides were good.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Literal

from tunekit.bike import Bike
from tunekit.bike.conditions import conditions
from tunekit.fit import Finding, check_fit, size_chain
from tunekit.known.rows import Danger, FitRow, Row, rows
from tunekit.mechanics.wear import wear_limit_pct
from tunekit.session import Heard, LogEntry, Measured, Session
from tunekit.session.log import Fitted, Turned

GearPlace = tuple[int, int]
"""Ring and cog, by teeth."""
SERIOUS: tuple[Danger, ...] = ("stop", "first", "mind")
"""From worst to least."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One thing that puts a fact right. `kind` and `what` are the log's own words."""

    kind: str
    what: str
    sign: int = 0
    """Of a turn, by its effect; 0 where it has none."""
    cog: int | None = None
    ring: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One thing that is known to be wrong."""

    name: str
    """A row of data/known.toml, or "fit_" and the finding's name."""
    danger: Danger
    """"stop": nobody rides; "first": before anything else; "mind": before what is only likely."""
    remedy: Remedy
    """What to do next about it: the work, or the look that must follow the work."""
    source: Literal["log", "fit"]
    entry: int | None = None
    """Place of the entry in the log, from 0; None when the bike itself says so."""
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    ring: int | None = None
    cog: int | None = None
    gears: tuple[GearPlace, ...] = ()
    """Gears that it bars."""
    causes: tuple[str, ...] = ()
    worked: bool = False
    """True when its work is done and only the look that proves it is missing."""


@dataclass(slots=True)
class _Standing:
    """A fact while the log is replayed."""

    entry: int
    value: float
    limit: float | None
    ring: int | None
    cog: int | None
    worked: bool = False
    seen: set[int] = field(default_factory=set)


# --- what an entry says of a row ------------------------------------------------------------------------


def reading_of(row: Row, entry: Measured) -> float:
    """The figure that the row's limits are for: the reading itself, or the largest difference of four."""
    if isinstance(entry.value, tuple):
        top, front, bottom, back = entry.value
        return max(abs(top - bottom), abs(front - back))
    return entry.value


def limits_of(row: Row, bike: Bike) -> tuple[float | None, float | None]:
    """Least and most that the row allows on this bike."""
    base = {"gap_target": bike.rear.pulley_gap_mm, "wear_limit": wear_limit_pct(bike.chain.speeds)}
    start = base.get(row.of, 0.0)
    return (
        None if row.least is None else start + row.least,
        None if row.most is None else start + row.most,
    )


def _about(row: Row, entry: Measured, bike: Bike) -> bool:
    """Whether the entry is this row's look, where its limits mean something."""
    away = row.look == "pulley_gap_mm" and entry.cog not in (None, bike.cogs[-1])
    return entry.what == row.look and not away


def broken_limit(row: Row, entry: Measured, bike: Bike) -> float | None:
    """The limit that the entry breaks, the bad answer itself for a yes or no; None when it is good."""
    value = reading_of(row, entry)
    if row.bad is not None:
        return float(row.bad) if value == row.bad else None
    least, most = limits_of(row, bike)
    if least is not None and value < least:
        return least
    return most if most is not None and value > most else None


def is_good(entry: Measured, bike: Bike) -> bool:
    """Whether a look breaks no limit of any row."""
    return all(broken_limit(row, entry, bike) is None for row in rows().facts if _about(row, entry, bike))


def _begins(row: Row, entry: LogEntry, bike: Bike) -> tuple[float, float | None] | None:
    """Value and limit with which an entry begins the fact, or None."""
    if isinstance(entry, Heard):
        at = not row.moments or entry.moment in row.moments
        return (1.0, None) if entry.what in row.heard and at else None
    if isinstance(entry, Measured) and _about(row, entry, bike):
        limit = broken_limit(row, entry, bike)
        return None if limit is None else (reading_of(row, entry), limit)
    return None


def said(entry: LogEntry) -> str:
    """An entry as the tables name it: its kind and its word."""
    return f"{entry.kind}.{getattr(entry, 'what', '')}"


def _work(entry: LogEntry) -> str | None:
    return said(entry) if isinstance(entry, Turned | Fitted) else None


# --- the replay -----------------------------------------------------------------------------------------


def _after(row: Row, fact: _Standing | None, number: int, entry: LogEntry, bike: Bike) -> _Standing | None:
    """The row's fact after one more entry."""
    begun = _begins(row, entry, bike)
    if begun is not None:
        where = (getattr(entry, "ring", None), getattr(entry, "cog", None))
        return _Standing(number, *begun, *where)
    if fact is None:
        return None
    if isinstance(entry, Measured):
        return _looked(row, fact, entry, bike)
    if said(entry) in rows().holds.undone_by:
        fact = replace(fact, seen=set())
    if _work(entry) not in row.works:
        return fact
    if not row.seen:
        return None
    return replace(fact, worked=True, seen=set())


def _looked(row: Row, fact: _Standing, entry: Measured, bike: Bike) -> _Standing | None:
    """A look may answer the fact the other way, or be one of those that have to come out good."""
    if _about(row, entry, bike) and not row.seen:
        return None
    shown = {n for n, words in enumerate(row.seen) if entry.what in words and is_good(entry, bike)}
    if not shown:
        return fact
    seen = fact.seen | shown
    return None if len(seen) == len(row.seen) else replace(fact, seen=seen)


def _remedy(text: str) -> Remedy:
    kind, _, what = text.partition(".")
    sign = {"+": 1, "-": -1}.get(what[-1], 0)
    return Remedy(kind=kind, what=what.rstrip("+-"), sign=sign)


def _next_remedy(row: Row, fact: _Standing) -> Remedy:
    """The row's work, or the first look that has not come out good since it was done."""
    if row.remedy and not fact.worked:
        return _remedy(row.remedy[0])
    missing = next(words for n, words in enumerate(row.seen) if n not in fact.seen)
    return Remedy(kind="measured", what=missing[0])


def _from_log(session: Session) -> list[Fact]:
    bike, has = session.bike, conditions(session.bike)
    found = []
    for row in rows().facts:
        standing: _Standing | None = None
        if not set(row.needs) <= has:
            continue
        for number, entry in enumerate(session.log):
            standing = _after(row, standing, number, entry, bike)
        if standing is not None:
            found.append(_fact(row, standing))
    return found


def _fact(row: Row, standing: _Standing) -> Fact:
    return Fact(
        name=row.name,
        danger=row.danger,
        remedy=_next_remedy(row, standing),
        source="log",
        entry=standing.entry,
        value=standing.value,
        limit=standing.limit,
        unit=row.unit,
        ring=standing.ring,
        cog=standing.cog,
        causes=row.causes,
        worked=standing.worked,
    )


# --- the fit --------------------------------------------------------------------------------------------


@lru_cache(maxsize=64)
def _failures(bike: Bike, counted: bool) -> tuple[Fact, ...]:
    """Every failed finding of the fit as a fact; a chain that was counted and is not right is one as well."""
    found = []
    for finding in check_fit(bike).findings:
        row = rows().fit.get(finding.name)
        danger = None if row is None else _danger(row, finding, bike, counted)
        if row is not None and danger is not None:
            found.append(
                Fact(
                    name=f"fit_{finding.name}",
                    danger=danger,
                    remedy=_remedy(row.remedy),
                    source="fit",
                    value=finding.value,
                    limit=finding.limit,
                    unit=finding.unit,
                    gears=tuple(finding.gears),
                    causes=_blamed(finding.name, bike),
                )
            )
    return tuple(found)


def _danger(row: FitRow, finding: Finding, bike: Bike, counted: bool) -> Danger | None:
    """How bad a finding is, None when it is no fact."""
    if finding.status == "pass":
        return None
    if finding.status == "caution":
        return row.counted if counted else None
    short = row.too_short is not None and bool(size_chain(bike).too_short)
    return row.too_short if short else row.danger


def _blamed(name: str, bike: Bike) -> tuple[str, ...]:
    """Causes that a failed finding is."""
    if name == "chain_length":
        return ("chain_short",) if size_chain(bike).too_short else ("chain_long",)
    return ("pull_mismatch",) if name.startswith("pull") else ()


def _counted(session: Session) -> int | None:
    """Place of the entry that says how long the chain is."""
    for number in range(len(session.log) - 1, -1, -1):
        entry = session.log[number]
        counts = isinstance(entry, Measured) and entry.what == "chain_length_links"
        if counts or (isinstance(entry, Fitted) and entry.what == "chain"):
            return number
    return None


def _from_fit(session: Session) -> list[Fact]:
    """Failures of the bike as it is now, those left out whose part was changed since by the log."""
    fitted, counted = {_work(entry) for entry in session.log}, _counted(session)
    out = []
    for fact in _failures(session.bike_now, counted is not None):
        if fact.name == "fit_chain_length":
            out.append(replace(fact, entry=counted))
        elif f"{fact.remedy.kind}.{fact.remedy.what}" not in fitted:
            out.append(fact)
    return out


# --- what the rooms ask ---------------------------------------------------------------------------------


@lru_cache(maxsize=128)
def known(session: Session) -> tuple[Fact, ...]:
    """Everything that is known to be wrong with this bike now, the worst first.

    Facts of one danger stand in the order of data/known.toml, those of the log before those of the fit.
    """
    facts = [*_from_log(session), *_from_fit(session)]
    return tuple(sorted(facts, key=lambda fact: SERIOUS.index(fact.danger)))


def barred(session: Session) -> frozenset[GearPlace]:
    """Gears that the chain or the cage cannot take: nobody is sent into them."""
    return _barred(session.bike_now)


@lru_cache(maxsize=64)
def _barred(bike: Bike) -> frozenset[GearPlace]:
    chain = size_chain(bike)
    out = {*chain.too_short, *chain.too_long, *chain.leave_alone}
    if bike.cogs[-1] > bike.rear.largest_cog:
        out |= {(ring, cog) for ring in bike.rings for cog in bike.cogs if cog > bike.rear.largest_cog}
    return frozenset(out)


def low_stop_holds(session: Session) -> bool:
    """Whether the low stop was seen to hold since it, the wheel, the hanger or the derailleur last changed."""
    holds, seen = rows().holds, False
    for entry in session.log:
        if isinstance(entry, Measured) and entry.what in holds.looks:
            seen = is_good(entry, session.bike)
        elif said(entry) in holds.undone_by:
            seen = False
    return seen


def past_limit(session: Session) -> dict[int, tuple[str, ...]]:
    """Entries that broke a limit or gave a bad answer, mended since or not, and the causes that they speak for."""
    found: dict[int, tuple[str, ...]] = {}
    has = conditions(session.bike)
    for row in rows().facts:
        if set(row.needs) <= has:
            for number in _breaking(row, session.log, session.bike):
                found[number] = (*found.get(number, ()), *row.causes)
    for fact in _from_fit(session):
        if fact.entry is not None and isinstance(session.log[fact.entry], Measured):
            found[fact.entry] = fact.causes
    return found


def _breaking(row: Row, log: Iterable[LogEntry], bike: Bike) -> list[int]:
    return [
        number
        for number, entry in enumerate(log)
        if isinstance(entry, Measured) and _begins(row, entry, bike) is not None
    ]
