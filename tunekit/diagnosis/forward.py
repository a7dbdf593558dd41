"""The forward model: from an amount that is off to the rate of every word.

Rates ("hazards", see hearing.hazard) of independent mechanisms add up, so each function here speaks of one mechanism
alone. All take arrays of any shape and return the rate of each true word they can cause, by name.
"""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from tunekit.diagnosis.hearing import hazard

Floats = NDArray[np.floating[Any]]
Rates = dict[str, Floats]


class Window(NamedTuple):
    """How far off this bike may be [mm]: still quiet in gear, still prompt in a shift."""

    quiet_mm: float
    prompt_mm: float

    @property
    def audible_mm(self) -> float:
        """From here on something is heard."""
        return min(self.quiet_mm, self.prompt_mm)


def step(value: Floats, at: float, width: float) -> Floats:
    """A soft threshold, 0 to 1."""
    return np.asarray(0.5 + 0.5 * np.tanh((value - at) * (0.5 / width)))


def rise(value: Floats, at: float, width: float) -> Floats:
    """A soft threshold that is 0 up to 0: what is sound brings forth nothing."""
    sound = step(np.zeros(()), at, width)
    return np.asarray(np.clip((step(value, at, width) - sound) / (1 - sound), 0, None))


def late(short_mm: Floats, window: Window) -> Rates:
    """A shift for which the pulley stops short of the cog by `short_mm`."""
    some = 0.97 * step(short_mm, 1.1 * window.prompt_mm, 0.14 * window.prompt_mm)
    far = step(short_mm, 1.1 * window.prompt_mm + 0.85, 0.3)
    return {
        "slow": hazard(some) * (0.75 - 0.6 * far),
        "refused": hazard(some) * (0.08 + 0.72 * far),
        "double_click": hazard(some) * (0.17 - 0.05 * far),
    }


def overshot(beyond_mm: Floats, window: Window) -> Rates:
    """A shift for which the pulley runs beyond the cog by `beyond_mm`."""
    return {"too_far": hazard(0.8 * step(beyond_mm, 1.9 * window.prompt_mm + 0.65, 0.4))}


def off_centre(offset_mm: Floats, window: Window) -> Rates:
    """Pedalling with the pulley `offset_mm` inboard (+) of the cog: far off it wanders more than it rattles."""
    size = np.abs(offset_mm)
    far = step(size, 2.1 * window.quiet_mm + 0.65, 0.25)
    noise = hazard(0.88 * step(size, 1.1 * window.quiet_mm, 0.15 * window.quiet_mm)) * (1 - 0.6 * far)
    inboard = offset_mm > 0
    return {
        "rattle_inboard": noise * inboard,
        "rattle_outboard": noise * ~inboard,
        "wanders": hazard(0.8 * far),
    }


def shift_rates(offset_mm: Floats, window: Window, inboard: bool) -> Rates:
    """A shift to a larger (`inboard`) or smaller cog that leaves the pulley `offset_mm` inboard (+) of it."""
    along = offset_mm if inboard else -offset_mm
    rough = hazard(0.3 * step(np.abs(offset_mm), 1.7 * window.quiet_mm, 0.25 * window.quiet_mm))
    return {**late(-along, window), **overshot(along, window), "poor": rough}


def beyond_stop(stop_mm: Floats, inboard: bool) -> Rates:
    """A shift to the end cog whose stop lets the pulley stand `stop_mm` beyond it."""
    chance = 0.65 * step(stop_mm, 1.7, 0.3)
    return {"fell_inside" if inboard else "fell_outside": hazard(chance)}


def held_by_stop(stop_mm: Floats, inboard: bool) -> Rates:
    """The lever meets the stop when it holds the pulley short of the largest cog."""
    return {"lever_wall": hazard(0.25 * step(-stop_mm, 0.3, 0.2))} if inboard else {}


def near_spokes(stop_mm: Floats) -> Rates:
    """Pedalling on the largest cog with a stop that lets the cage reach the spokes."""
    return {"touches_spokes": hazard(0.25 * step(stop_mm, 2.2, 0.4))}


def close_pulley(gap_mm: Floats) -> Rates:
    """Pedalling or backpedalling with this gap between guide pulley and the cog in use."""
    return {
        "rumble": hazard(0.88 * step(-gap_mm, -2.4, 0.45)),
        "grinds": hazard(0.15 * step(-gap_mm, -2.0, 0.45)),
    }


def crowded_shift(gap_mm: Floats) -> Rates:
    """A shift to a larger cog with this gap between it and the guide pulley: the cog's teeth meet the pulley's."""
    close = step(-gap_mm, -2.4, 0.45)
    return {"slow": hazard(0.3 * close), "refused": hazard(0.1 * close)}


def distant_pulley(over_mm: Floats) -> Rates:
    """A shift with the pulley `over_mm` too far from the cogs: the chain's free length steers badly."""
    much = rise(over_mm, 4.2, 1.2)
    return {"slow": hazard(0.55 * much), "double_click": hazard(0.15 * much), "refused": hazard(0.1 * much)}


def distant_skip(over_mm: Floats) -> Rates:
    """Pedalling on a small cog with little chain wrapped round it because the pulley is `over_mm` too far."""
    much = rise(over_mm, 9.0, 2.0)
    return {"skip": hazard(0.3 * much), "rattle": hazard(0.1 * much)}


# The front cage. `large` is 0 on the smallest cog and 1 on the largest; `ring` 0 on the smallest ring and 1 on the
# largest; moments are told apart by the caller.


def cage_rubs(outward_mm: Floats, large: Floats) -> Rates:
    """Pedalling with the cage `outward_mm` outboard (+) of its right place for the ring."""
    free = 1.2
    return {
        "rubs_inner_plate": hazard(0.9 * step(outward_mm + 1.6 * (large - 0.7), free, 0.3)),
        "rubs_outer_plate": hazard(0.9 * step(-outward_mm + 1.6 * (0.3 - large), free, 0.3)),
    }


def cage_hits_crank(beyond_mm: Floats) -> Rates:
    """Pedalling on the largest ring with a cage whose stop lets it stand too far out."""
    return {"hits_crank": hazard(0.3 * step(beyond_mm, 1.8, 0.4))}


def cage_short(short_mm: Floats, walled: float) -> Rates:
    """A ring shift for which the cage stops `short_mm` short; `walled` = chance that the lever feels a stop."""
    some = 0.93 * step(short_mm, 0.8, 0.22)
    far = step(short_mm, 1.6, 0.35)
    rate = hazard(some)
    return {
        "slow": rate * (0.55 - 0.35 * far),
        "refused": rate * (0.4 + 0.35 * far - 0.6 * walled),
        "lever_wall": rate * walled,
    }


def cage_beyond(beyond_mm: Floats, word: str) -> Rates:
    """A ring shift that throws the chain past the ring."""
    return {word: hazard(0.7 * rise(beyond_mm, 1.5, 0.3))}


def cage_height(over_mm: Floats, ring: Floats, moment: str) -> Rates:
    """Cage `over_mm` above (+) or below its right height."""
    high, low = step(over_mm, 2.0, 0.5), step(-over_mm, 1.5, 0.3)
    if moment == "to_larger_ring":
        return {
            "slow": hazard(0.4 * high),
            "refused": hazard(0.25 * high),
            "fell_outside": hazard(0.15 * high),
            "scrapes": hazard(0.4 * low),
            "jams": hazard(0.12 * low),
        }
    if moment == "to_smaller_ring":
        return {"slow": hazard(0.12 * high), "fell_inside": hazard(0.12 * high)}
    if moment in ("pedalling", "pedalling_hard"):
        return {"scrapes": hazard(0.8 * low * ring), "comes_off": hazard(0.08 * high)}
    return {}


def cage_angle(out_deg: Floats, large: Floats, moment: str) -> Rates:
    """Cage whose tail stands `out_deg` outboard (+) or inboard.

    Outboard, the inner plate's tail stands where the chain runs to the large cogs; inboard, the outer plate's where it
    runs to the small ones.
    """
    much = step(np.abs(out_deg), 1.9, 0.4)
    out = out_deg > 0
    if moment == "to_larger_ring":
        return {
            "refused": hazard(0.25 * much),
            "slow": hazard(0.25 * much),
            "fell_outside": hazard(much * np.where(out, 0.12, 0.2)),
            "lever_wall": hazard(0.06 * much),
        }
    if moment == "to_smaller_ring":
        return {"fell_inside": hazard(much * np.where(out, 0.3, 0.12)), "slow": hazard(0.2 * much)}
    if moment in ("pedalling", "pedalling_hard"):
        return {
            "rubs_inner_plate": hazard(much * np.where(out, 0.05 + 0.55 * large, 0.05)),
            "rubs_outer_plate": hazard(much * np.where(out, 0.05, 0.05 + 0.55 * (1 - large))),
            "hits_crank": hazard(0.15 * much * out),
        }
    return {}
