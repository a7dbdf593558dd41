"""Where each reading of a gauge, ruler or eye should stand on this bike, and how far off it may stay.

One place for walk, fit, facts and diagnosis: data/targets.toml has the figures, this the ones that a bike decides.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from tunekit.bike import Bike
from tunekit.data import table
from tunekit.mechanics.hanger import good_mm
from tunekit.mechanics.wear import wear_limit_pct
from tunekit.targets.chain import chain_lengths

Stand = tuple[float | None, float | None, float | None]
"""Value, low and high; None where it has none of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """Where one reading should stand."""

    watch: str
    """The log's word of the reading."""
    value: float | None
    """In `unit`; None where it has no one value (even all round) or where only the leaflet knows it."""
    low: float | None
    """The band in which it may stay; None where that end is open."""
    high: float | None
    unit: str
    source: str
    status: str
    band: str
    """Whose the band is; "" where there is none."""


def _chain_links(bike: Bike) -> Stand:
    lengths = chain_lengths(bike)
    low, high = lengths.window or (lengths.best, lengths.best)
    return float(lengths.best), float(low), float(high)


FROM_BIKE: dict[str, Callable[[Bike], Stand]] = {
    "outer_edge": lambda bike: (bike.cassette.cog_mm / 2, None, None),
    "pulley_gap": lambda bike: (bike.rear.pulley_gap_mm, None, None),
    "leaflet_turns": lambda bike: (bike.rear.high_stop_turns, None, None),
    "ring_line": lambda bike: (bike.crank.chainline_mm, None, None),
    "rim_spread": lambda bike: (None, None, good_mm(len(bike.cogs))),
    "wear_limit": lambda bike: (0.0, None, wear_limit_pct(bike.chain.speeds)),
    "chain_links": _chain_links,
}
"""Targets that are worked out for the bike."""


def _stand(row: dict[str, Any], bike: Bike) -> Stand:
    """Value and band of one row on this bike."""
    if "from" in row:
        value, low, high = FROM_BIKE[row["from"]](bike)
    else:
        value, low, high = row["value"], row.get("low"), row.get("high")
    way = row.get("either_way", row.get("either_way_cogs", 0) * bike.cassette.cog_mm)
    if way and value is not None:
        return value, round(value - way, 6), round(value + way, 6)
    return value, low, high


@lru_cache(maxsize=512)
def target(watch: str, bike: Bike) -> Target | None:
    """Where the reading `watch` should stand on this bike; None for a word that has no target."""
    row = table("targets")["readings"].get(watch)
    if row is None:
        return None
    value, low, high = _stand(row, bike)
    return Target(
        watch=watch,
        value=value,
        low=low,
        high=high,
        unit=row["unit"],
        source=row["source"],
        status=row["status"],
        band=row.get("band", ""),
    )


def class_line(bike: Bike) -> tuple[float, float]:
    """Chainline of a single ring by the class of its hub, and what a leaflet allows beside it [mm]."""
    rows: list[dict[str, Any]] = table("targets")["single_ring"]["classes"]
    row = min(rows, key=lambda row: abs(row["hub_mm"] - bike.frame.hub_spacing_mm))
    return float(row["mm"]), float(row["within_mm"])
