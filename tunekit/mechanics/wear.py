"""Chain wear, as a percentage or as a reading on a ruler, over any span.

Formula: (M - S P) / (S P) (Wikipedia, Roller chain). Readings and limits: Chain wear by ruler (2020),
Measuring chain wear, shop notes on gauges. A gauge that pushes two rollers apart adds roller play to its
reading; a ruler from pin to pin does not (common practice, no source).
"""

from numpy.typing import ArrayLike

from tunekit.data import table
from tunekit.mechanics.bounds import Floats, within
from tunekit.mechanics.sprocket import PITCH_MM

RULER_LINKS = 24
"""Twelve inches, the usual span."""
_MOST_PCT = 10.0
"""Past this it is a slip of the ruler, not wear."""


def _span_mm(links: ArrayLike, pitch_mm: float) -> Floats:
    return within("span", links, 2, 400, "links") * within("pitch", pitch_mm, 1, 100, "mm")


def wear_pct(measured_mm: ArrayLike, links: ArrayLike = RULER_LINKS, pitch_mm: float = PITCH_MM) -> Floats:
    """Wear from the pin-to-pin length of a span [%]; negative when shorter than new (measure again)."""
    new = _span_mm(links, pitch_mm)
    lengths = within("measured length", measured_mm, 1, 6000, "mm")
    within("measured length against the span", lengths / new, 0.98, 1 + _MOST_PCT / 100, "times new")
    return 100 * (lengths - new) / new


def span_mm(pct: ArrayLike, links: ArrayLike = RULER_LINKS, pitch_mm: float = PITCH_MM) -> Floats:
    """Pin-to-pin length of a span worn by `pct` [mm]; the inverse of `wear_pct`."""
    return _span_mm(links, pitch_mm) * (1 + within("wear", pct, -2, _MOST_PCT, "%") / 100)


def past_mark_mm(pct: ArrayLike, links: ArrayLike = RULER_LINKS, pitch_mm: float = PITCH_MM) -> Floats:
    """How far the last pin stands past the ruler's mark [mm]."""
    return span_mm(pct, links, pitch_mm) - _span_mm(links, pitch_mm)


def chain_row(speeds: int) -> dict[str, object]:
    """The row of data/chains.toml for a chain of this many speeds, with its source."""
    rows: list[dict[str, object]] = table("chains")["chain"]
    within("speeds", speeds, 1, 14)
    return next(row for row in rows if speeds in row["speeds"])  # type: ignore[operator]


def wear_limit_pct(speeds: int) -> float:
    """Wear at which a chain of this class is changed, to spare the cogs [%] (common practice, no source)."""
    return float(chain_row(speeds)["wear_pct"])  # type: ignore[arg-type]


def outer_width_mm(speeds: int) -> float:
    """Width over the pins [mm]."""
    return float(chain_row(speeds)["outer_mm"])  # type: ignore[arg-type]


def inner_width_mm(speeds: int) -> float:
    """Width between the inner plates [mm]."""
    return float(chain_row(speeds)["inner_mm"])  # type: ignore[arg-type]


def side_gap_mm(pitch_mm: float, cog_mm: float, speeds: int) -> float:
    """Room between a centred chain and the neighbouring cog [mm].

    Pitch less half a cog less half the chain's width, worked out from the tables of cog spacing and chain
    width; below zero the chain cannot run.
    """
    pitch, cog = within("pitch_mm", pitch_mm, 1, 10, "mm"), within("cog_mm", cog_mm, 0.5, 10, "mm")
    return float(pitch - cog / 2 - outer_width_mm(speeds) / 2)
