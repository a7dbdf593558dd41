"""Whether a figure can have been read at all on this bike: the question "did you mean 6, or really 60?"."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf, log10
from typing import Any

from tunekit.bike.model import Bike
from tunekit.data import phrase, table
from tunekit.data.amounts import number_text
from tunekit.mechanics.chain_length import simple_links
from tunekit.session.log import LogEntry, Measured, Turned
from tunekit.session.possible import row

Figures = tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """What a hand could read of one word on one bike."""

    least: float
    most: float
    usual: float
    unit: str
    spread: float | None = None
    """Largest difference between the readings of one gauge."""
    even: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """A reading that asks to be said again: the sentence, and both readings of it."""

    says: str
    typed: Measured | Turned
    """The entry as it came in."""
    meant: Measured | Turned | None
    """The same entry with the likeliest slip taken back, or None when no slip explains it."""

    @property
    def readings(self) -> tuple[Measured | Turned, ...]:
        """What the hand may have meant, likeliest first."""
        return (self.typed,) if self.meant is None else (self.meant, self.typed)


def bounds(bike: Bike, kind: str, what: str) -> Bounds | None:
    """The table's row for this bike, or None for a word without figures."""
    found = row(kind, what)
    if not found:
        return None
    unit = "steps" if bike.rear.actuation == "electronic" else "turns"
    if unit in found:
        found = found[unit]
    return _chain(bike, found) if found.get("of") == "chain" else _as_bounds(found)


def _as_bounds(found: dict[str, Any]) -> Bounds:
    return Bounds(**{key: found[key] for key in Bounds.__dataclass_fields__ if key in found})


def _chain(bike: Bike, found: dict[str, Any]) -> Bounds:
    """Links from round the smallest pair to round the largest, and the table's margins."""
    stay = bike.frame.chainstay_mm
    short = float(simple_links(stay, bike.rings[0], bike.cogs[0])) + found["least"]
    long = float(simple_links(stay, bike.rings[-1], bike.cogs[-1])) + found["most"]
    least, most = 2.0 * round(short / 2), 2.0 * round(long / 2)
    return _as_bounds({**found, "least": least, "most": most, "usual": (least + most) / 2})


def doubt(bike: Bike, entry: LogEntry) -> Doubt | None:
    """The question that a figure outside what a hand can read gets; None without doubt, or for a sure one."""
    if not isinstance(entry, Measured | Turned) or entry.sure:
        return None
    figures, limits = _figures(entry), bounds(bike, entry.kind, entry.what)
    if limits is None or not figures:
        return None
    key, meant = _asked(figures, limits)
    if key is None:
        return None
    says = phrase(
        "plausible",
        key,
        name=table("words/vocabulary")[entry.kind][entry.what]["label"],
        typed=_text(figures, limits.unit),
        meant="" if meant is None else _text(meant, limits.unit),
        least=number_text(limits.least),
        most=_text((limits.most,), limits.unit),
        spread=_text((limits.spread or 0.0,), limits.unit),
    )
    return Doubt(says=says, typed=entry, meant=None if meant is None else _with(entry, meant))


def doubts(bike: Bike, entries: Sequence[LogEntry]) -> tuple[tuple[int, Doubt], ...]:
    """The doubted entries of a log by their index.

    A later reading at the same place ends an earlier one's doubt; the same reading twice running stands.
    """
    said: dict[tuple[object, ...], Figures] = {}
    found: dict[tuple[object, ...], tuple[int, Doubt] | None] = {}
    for number, entry in enumerate(entries):
        if not isinstance(entry, Measured | Turned):
            continue
        figures = _figures(entry)
        place = (entry.what, entry.ring, entry.cog) if isinstance(entry, Measured) else (number,)
        asked = None if said.get(place) == figures else doubt(bike, entry)
        found[place] = None if asked is None else (number, asked)
        said[place] = figures
    return tuple(sorted((each for each in found.values() if each), key=lambda each: each[0]))


def taken_again(bike: Bike, entries: Sequence[LogEntry]) -> frozenset[int]:
    """Indexes of doubtful readings that a later, plausible one of the same thing has put right."""
    waiting: dict[tuple[object, ...], int] = {}
    out = set()
    for number, entry in enumerate(entries):
        if isinstance(entry, Measured):
            place = (entry.what, entry.ring, entry.cog)
            if doubt(bike, entry) is not None:
                waiting[place] = number
            elif place in waiting:
                out.add(waiting.pop(place))
    return frozenset(out)


def reading_text(entry: Measured | Turned) -> str:
    """The entry's figure, or figures with commas, as one types them."""
    return ",".join(f"{figure:g}" for figure in _figures(entry))


def _figures(entry: Measured | Turned) -> Figures:
    if isinstance(entry, Turned):
        return () if entry.amount is None else (entry.amount,)
    return entry.value if isinstance(entry.value, tuple) else (entry.value,)


def _with(entry: Measured | Turned, figures: Figures) -> Measured | Turned:
    field = "amount" if isinstance(entry, Turned) else "value"
    return entry.model_copy(update={field: figures if len(figures) > 1 else figures[0]})


def _text(figures: Figures, unit: str) -> str:
    told = ", ".join(number_text(figure) for figure in figures)
    return f"{told}{unit}" if unit == "°" else f"{told} {unit}"


def _asked(figures: Figures, limits: Bounds) -> tuple[str | None, Figures | None]:
    """The key of the sentence and what was likely meant; (None, None) for a reading without doubt."""
    if any(not limits.least <= figure <= limits.most for figure in figures):
        meant = _all_meant(figures, limits)
        return ("none", None) if meant is None else ("doubt", meant)
    if limits.even and any(figure % 2 for figure in figures):
        return "even", tuple(figure - figure % 2 for figure in figures)
    if limits.spread is not None and max(figures) - min(figures) > limits.spread:
        return "spread", _drawn_in(figures, limits)
    return None, None


def _all_meant(figures: Figures, limits: Bounds) -> Figures | None:
    """Each figure outside replaced by its likeliest slip; None when one has none."""
    others = [figure for figure in figures if limits.least <= figure <= limits.most]
    near = abs(sorted(others)[len(others) // 2]) if others else limits.usual
    meant = [
        figure if limits.least <= figure <= limits.most else _meant(figure, limits, near)
        for figure in figures
    ]
    whole = tuple(figure for figure in meant if figure is not None)
    return whole if len(whole) == len(figures) else None


def _meant(typed: float, limits: Bounds, near: float) -> float | None:
    """The figure within bounds that the likeliest slip of the hand turns into the typed one, or None."""
    found = [(abs(log10(slip)), round(typed / slip, 6)) for slip in table("plausible")["slips"]]
    inside = [
        (places + table("plausible")["nearness"] * _apart(abs(figure), near), figure)
        for places, figure in found
        if limits.least <= figure <= limits.most and not (limits.even and figure % 2)
    ]
    return min(inside)[1] if inside else None


def _apart(figure: float, near: float) -> float:
    """How many decimal places lie between two figures."""
    return abs(log10(figure / near)) if figure > 0 and near > 0 else inf


def _drawn_in(figures: Figures, limits: Bounds) -> Figures:
    """The readings with the one that stands apart replaced by its likeliest slip, or as they are."""
    ranked = sorted(range(len(figures)), key=lambda at: figures[at])
    gaps = [figures[after] - figures[before] for before, after in pairwise(ranked)]
    odd = ranked[0] if gaps[0] >= gaps[-1] else ranked[-1]
    meant = _meant(figures[odd], limits, abs(sorted(figures)[len(figures) // 2]))
    return tuple(meant if at == odd and meant is not None else figure for at, figure in enumerate(figures))
