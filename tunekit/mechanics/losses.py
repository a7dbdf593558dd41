"""Which of two gears loses less, as far as that is published: by tension, size and angle. No percentages.

The factors, their direction and their sources stand in data/losses.toml.
"""

import math
from dataclasses import dataclass
from typing import Literal

from numpy.typing import ArrayLike

from tunekit.data import table
from tunekit.mechanics.bounds import Floats, within
from tunekit.mechanics.sprocket import PITCH_MM

Verdict = Literal["first", "second", "same", "unknown"]
"""Which one loses less; unknown when the factors disagree, since nothing published weighs them."""

_SAME = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One gear under the rider."""

    ring: float
    cog: float
    power_w: float
    cadence_rpm: float
    angle_deg: float = 0.0


def bending(ring: ArrayLike, cog: ArrayLike) -> Floats:
    """1/ring + 1/cog: how much each link bends on its way round, to scale; less is better."""
    return 1 / within("ring", ring, 5, 200) + 1 / within("cog", cog, 5, 200)


def tension_n(power_w: ArrayLike, cadence_rpm: ArrayLike, ring: ArrayLike) -> Floats:
    """Mean pull of the upper run [N]: power / (ring teeth × pitch × turns a second)."""
    turns = within("cadence", cadence_rpm, 1, 300, "rpm") / 60
    speed = within("ring", ring, 5, 200) * PITCH_MM / 1000 * turns
    return within("power", power_w, 0, 3000, "W") / speed


def _smaller(first: float, second: float) -> Verdict:
    """Which figure is smaller."""
    if math.isclose(first, second, rel_tol=_SAME, abs_tol=_SAME):
        return "same"
    return "first" if first < second else "second"


def by_factor(first: Load, second: Load) -> dict[str, Verdict]:
    """What each published factor says of two gears: tension, size and angle."""
    pull = [float(tension_n(load.power_w, load.cadence_rpm, load.ring)) for load in (first, second)]
    bend = [float(bending(load.ring, load.cog)) for load in (first, second)]
    return {
        "tension": _smaller(-pull[0], -pull[1]),
        "size": _smaller(bend[0], bend[1]),
        "angle": _smaller(
            *(abs(float(within("angle_deg", load.angle_deg, -45, 45))) for load in (first, second))
        ),
    }


def loses_less(first: Load, second: Load) -> Verdict:
    """The gear that every factor prefers or leaves open; unknown when they disagree."""
    verdicts = set(by_factor(first, second).values()) - {"same"}
    if not verdicts:
        return "same"
    return verdicts.pop() if len(verdicts) == 1 else "unknown"


def ordering(factor: str) -> dict[str, str]:
    """A factor's row of data/losses.toml: better, rule, source, status."""
    return dict(table("losses")[factor])
