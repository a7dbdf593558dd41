"""The limits of data/fit_limits.toml, and this room's sentences."""

from tunekit.data import phrase, table
from tunekit.fit.report import Gear, Status


def limit(row: str, key: str) -> float:
    """A number of data/fit_limits.toml; its source and status stand beside it there."""
    return float(table("fit_limits")[row][key])


def status_of(value: float, passes: float, fails: float) -> Status:
    """pass up to `passes`, caution up to `fails`, then fail; a hair of rounding is forgiven."""
    hair = 1e-9
    return "pass" if value <= passes + hair else "caution" if value <= fails + hair else "fail"


def words(key: str, **values: object) -> str:
    """A sentence of data/words/fit.toml."""
    return phrase("fit", key, **values)


def named(gears: tuple[Gear, ...], most: int = 4) -> str:
    """34 × 11, 34 × 12 and 5 more"""
    listed = [f"{ring} × {cog}" for ring, cog in gears]
    if len(listed) > most:
        listed = [*listed[: most - 1], f"{len(listed) - most + 1} more"]
    return listed[0] if len(listed) == 1 else f"{', '.join(listed[:-1])} and {listed[-1]}"


def links_text(links: int) -> str:
    """2 links"""
    return f"{abs(links)} links"
