"""How many links, by every published rule. One link is 12.7 mm; a chain has an even number of them.

Every rule gives its raw length in links; `Rounding` names how a raw length becomes even, since published
texts disagree about that more than about the length. Sources beside each rule; held against print and against
sampled outlines in tests/published/test_chain_length.py.
"""

from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from tunekit.bike.errors import TunekitError
from tunekit.mechanics.bounds import Floats, within
from tunekit.mechanics.sprocket import PITCH_MM, pitch_radius_mm

DERAILLEUR_LINKS = 2
"""Added for the derailleur: one inch."""
SINGLE_RING_LINKS = 4
"""Added with one ring and a wide cassette (a mountain-bike forum's correction, seen)."""


class Rounding(StrEnum):
    """How a raw length becomes an even number of links."""

    INCH_HALF_UP = "to the nearest whole inch, half an inch up"
    INCH_UP = "up to the next whole inch"
    EVEN_NEAREST = "to the nearest even number, halfway down"


_SLIP = 1e-9
"""A sum that lands on a whole inch but for the last binary digit is that whole inch."""


def rounded(raw_links: ArrayLike, rounding: Rounding) -> np.ndarray[tuple[int, ...], np.dtype[np.int64]]:
    """Even number of links from raw lengths of any shape, by the named rule."""
    inches = within("length", raw_links, 0, 1e6, "links") / 2
    if rounding is Rounding.INCH_UP:
        whole = np.ceil(inches - _SLIP)
    elif rounding is Rounding.INCH_HALF_UP:
        whole = np.floor(inches + 0.5 + _SLIP)
    else:
        whole = np.ceil(inches - 0.5 - _SLIP)
    return (2 * whole).astype(np.int64)


def _centre(centre_mm: ArrayLike, pitch_mm: float) -> Floats:
    return within("centre distance", centre_mm, 20, 5000, "mm") / within("pitch", pitch_mm, 1, 100, "mm")


def _teeth(field: str, teeth: ArrayLike) -> Floats:
    return within(field, teeth, 5, 200, "teeth")


def simple_links(chainstay_mm: ArrayLike, ring: ArrayLike, cog: ArrayLike) -> Floats:
    """Raw links by the workshop's first-order sum, 2C + F/4 + R/4 + 1 in inches (repair texts; seen)."""
    wrapped = (_teeth("ring", ring) + _teeth("cog", cog)) / 2
    return 2 * _centre(chainstay_mm, PITCH_MM) + wrapped + DERAILLEUR_LINKS


def second_order_links(chainstay_mm: ArrayLike, ring: ArrayLike, cog: ArrayLike) -> Floats:
    """Raw links by 2 √(C² + (0.0796 (F - R))²) + (F + R)/4 + 1 in inches (repair texts; memory).

    0.0796 is 1/4π, a tooth's share of a wheel's radius in inches.
    """
    front, rear = _teeth("ring", ring), _teeth("cog", cog)
    slant = (front - rear) / (2 * np.pi)
    return 2 * np.hypot(_centre(chainstay_mm, PITCH_MM), slant) + (front + rear) / 2 + DERAILLEUR_LINKS


def engineering_links(
    centre_mm: ArrayLike, ring: ArrayLike, cog: ArrayLike, pitch_mm: float = PITCH_MM
) -> Floats:
    """Raw links of a two-wheel drive, 2C + (N + n)/2 + ((N - n)/2π)²/C (Design of Machine Elements, ch. 14).

    No derailleur allowance is in it.
    """
    front, rear, centre = _teeth("ring", ring), _teeth("cog", cog), _centre(centre_mm, pitch_mm)
    return 2 * centre + (front + rear) / 2 + ((front - rear) / (2 * np.pi)) ** 2 / centre


def engineering_centre_mm(
    links: ArrayLike, ring: ArrayLike, cog: ArrayLike, pitch_mm: float = PITCH_MM
) -> Floats:
    """Centre distance at which the engineering formula gives `links` [mm]; its exact inverse (ibid.).

    Raises TunekitError, naming the fewest links possible, when the chain is too short for the two wheels.
    """
    front, rear = _teeth("ring", ring), _teeth("cog", cog)
    slack = within("links", links, 4, 1e6, "links") - (front + rear) / 2
    slant = ((front - rear) / (2 * np.pi)) ** 2
    root = slack**2 - 8 * slant
    if np.any((root < 0) | (slack <= 0)):
        fewest = float(np.max(np.ceil((front + rear) / 2 + np.sqrt(8 * slant))))
        raise TunekitError(
            f"links must reach round both wheels at some centre distance (got {float(np.min(links)):g}); "
            f"the fewest possible is {fewest:g}."
        )
    return (slack + np.sqrt(root)) / 4 * within("pitch", pitch_mm, 1, 100, "mm")


def _belt_angle(centre_mm: Floats, front_mm: Floats, rear_mm: Floats) -> Floats:
    """Angle of the straight runs against the line of centres [rad]; the wheels must not overlap."""
    if np.any(centre_mm <= front_mm + rear_mm):
        nearest = float(np.max(front_mm + rear_mm))
        raise TunekitError(
            f"centre distance (chainstay) must be more than the two wheels' pitch radii together, "
            f"{nearest:.1f} mm "
            f"(got {float(np.min(centre_mm)):g}); the nearest possible is {np.ceil(nearest + 0.05):g}."
        )
    return np.arcsin((front_mm - rear_mm) / centre_mm)


def belt_links(centre_mm: ArrayLike, ring: ArrayLike, cog: ArrayLike) -> Floats:
    """Raw links of the exact open belt, one link a tooth on each wrapped arc: what a taut chain does.

    2C cos α + N (π + 2α)/2π + n (π - 2α)/2π with sin α = (R - r)/C on pitch circles. No derailleur allowance.
    """
    front, rear = _teeth("ring", ring), _teeth("cog", cog)
    centre = np.asarray(_centre(centre_mm, PITCH_MM) * PITCH_MM)
    alpha = _belt_angle(centre, pitch_radius_mm(front), pitch_radius_mm(rear))
    arcs = front * (np.pi + 2 * alpha) + rear * (np.pi - 2 * alpha)
    return 2 * centre / PITCH_MM * np.cos(alpha) + arcs / (2 * np.pi)


def circle_belt_links(centre_mm: ArrayLike, ring: ArrayLike, cog: ArrayLike) -> Floats:
    """Raw links of the exact open belt on the pitch circles: what a belt does, 0.04 to 0.05 links more."""
    front, rear = pitch_radius_mm(_teeth("ring", ring)), pitch_radius_mm(_teeth("cog", cog))
    centre = np.asarray(_centre(centre_mm, PITCH_MM) * PITCH_MM)
    alpha = _belt_angle(centre, front, rear)
    return (2 * centre * np.cos(alpha) + front * (np.pi + 2 * alpha) + rear * (np.pi - 2 * alpha)) / PITCH_MM


def largest_pair_links(
    chainstay_mm: ArrayLike,
    ring: ArrayLike,
    cog: ArrayLike,
    growth_mm: ArrayLike = 0.0,
    extra: int = DERAILLEUR_LINKS,
) -> Floats:
    """Links by wrapping largest ring and largest cog, past the derailleur, and adding `extra`; always even.

    Two more is the common rule (question-and-answer post and forum posts; seen), four with one ring and a
    wide cassette; with rear suspension the wrap is made at the longest chainstay, so `growth_mm` is added.
    """
    longest = np.asarray(chainstay_mm, float) + within("chainstay growth", growth_mm, 0, 200, "mm")
    return np.asarray(rounded(belt_links(longest, ring, cog), Rounding.INCH_UP) + extra, dtype=float)
