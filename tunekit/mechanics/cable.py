"""What the bends of a cable run do: friction, the drag left at the pulley, and when that spoils indexing.

Friction: the capstan (Euler-Eytelwein) equation, T_out = T_in exp(mu x total bend). Drag: the wire is pulled
tighter along the run on the way in than on the way out, so wire and housing stretch by different amounts and
the pulley stops short both ways. With the spring's force F at the derailleur and theta counted from there,
the tension is F exp(+mu theta) when pulling and F exp(-mu theta) when releasing; the stretch is its integral
over the run divided by the stiffness. Typical values and their status: data/cable.toml.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import exp, hypot, inf, radians, sinh

from tunekit.bike.errors import TunekitError
from tunekit.data import table
from tunekit.mechanics.bounds import within


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    """A stretch of the run, in order from the derailleur to the lever."""

    length_mm: float
    bend_deg: float = 0.0
    """Sum of its bends, whichever way they go."""
    housing: bool = True
    """False for bare wire."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drag:
    """What a run does to the wire that goes through it."""

    bend_deg: float
    """Sum of all bends."""
    force_ratio: float
    """Force at the lever over force at the derailleur, when pulling."""
    lever_n: float
    """Force at the lever, before its own lever arm."""
    drag_mm: float
    """How far the pulley stops short, either way."""
    sd_mm: float
    most_bend_deg: float
    """Bends scaled to this sum would just spoil the indexing; infinite when none would."""
    clean: bool
    """False when `drag_mm` is more than the quiet window's half width: clean indexing is unlikely."""


def typical(name: str) -> tuple[float, float]:
    """A value of `data/cable.toml` and its relative standard deviation."""
    row = table("cable")[name]
    return float(row["value"]), float(row["relative_sd"])


def capstan_ratio(mu: float, bend_deg: float) -> float:
    """Force out over force in for a wire pulled round bends of `bend_deg` in all; exp(mu x bend in rad)."""
    return exp(float(within("mu", mu, 0, 2)) * radians(float(within("bend_deg", bend_deg, 0, 7200, "deg"))))


def _check(run: Sequence[Segment]) -> None:
    if not run:
        raise TunekitError(
            "run must have at least one segment; give each stretch its length_mm and bend_deg."
        )
    within("length_mm", [segment.length_mm for segment in run], 1, 10_000, "mm")
    within("bend_deg", [segment.bend_deg for segment in run], 0, 3600, "deg")


def _mean_sinh(start: float, more: float) -> float:
    """Mean of sinh over the stretch from `start` to `start` + `more`, by the sum-to-product identity."""
    half = more / 2
    return sinh(start + half) * (sinh(half) / half if half else 1.0)


def _lag_mm(run: Sequence[Segment], mu: float, spring_n: float, wire_n: float, housing_n: float) -> float:
    """Half the difference in stretch between pulling and releasing [mm of wire]."""
    theta, lag = 0.0, 0.0
    for segment in run:
        bend = radians(segment.bend_deg)
        spread = _mean_sinh(mu * theta, mu * bend)
        give = segment.length_mm * (1 / wire_n + (1 / housing_n if segment.housing else 0))
        lag += spring_n * spread * give
        theta += bend
    return lag


def _scaled(run: Sequence[Segment], share: float) -> list[Segment]:
    return [Segment(length_mm=s.length_mm, bend_deg=s.bend_deg * share, housing=s.housing) for s in run]


def cable_drag(
    run: Sequence[Segment], *, cable_ratio: float, quiet_mm: float, mu: float | None = None
) -> Drag:
    """Drag that a run leaves at the pulley.

    Parameters
    ----------
    cable_ratio : millimetres at the pulley for one of cable
    quiet_mm : half width of the quiet window [mm], how far off the pulley may be and still run quietly
    mu : friction coefficient; a clean lined housing when None

    Raises
    ------
    TunekitError : an empty run, or a length, bend, ratio or coefficient outside its range.
    """
    _check(run)
    clean_mu, mu_spread = typical("mu_clean")
    friction = clean_mu if mu is None else float(within("mu", mu, 0, 2))
    ratio = float(within("cable_ratio", cable_ratio, 0.3, 4))
    quiet = float(within("quiet_mm", quiet_mm, 0.01, 5, "mm"))
    (spring, spring_spread), (wire, wire_spread), (housing, housing_spread) = (
        typical(name) for name in ("spring_n", "wire_n", "housing_n")
    )
    bend = sum(segment.bend_deg for segment in run)

    def drag(share: float = 1.0, factor: float = 1.0) -> float:
        return ratio * _lag_mm(_scaled(run, share), friction * factor, spring, wire, housing)

    here = drag()
    spread = hypot(
        drag(factor=1 + mu_spread) - here, here * hypot(spring_spread, wire_spread, housing_spread)
    )
    return Drag(
        bend_deg=bend,
        force_ratio=capstan_ratio(friction, bend),
        lever_n=spring * capstan_ratio(friction, bend),
        drag_mm=here,
        sd_mm=spread,
        most_bend_deg=_most_bend(drag, quiet) * bend if bend * friction > 0 else inf,
        clean=here <= quiet,
    )


def _most_bend(drag: Callable[[float], float], quiet_mm: float) -> float:
    """Share of the run's bends at which its drag equals the quiet window, by bisection."""
    low, high = 0.0, 1.0
    while drag(high) < quiet_mm:
        low, high = high, 2 * high
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if drag(middle) < quiet_mm else (low, middle)
    return high
