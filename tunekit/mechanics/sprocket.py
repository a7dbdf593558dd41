"""Circles of a ring, cog or pulley, and what its corners do to the chain.

A chain lies on a wheel as a polygon: its pins sit on the pitch circle, one pitch apart along the chord.
Sources: Analysis and Design of Machine Elements (2019), ch. 7; table "Pitch diameter of roller chain wheels";
drawing practice for tip and root. Held against print in tests/published/test_sprocket.py.
"""

import numpy as np
from numpy.typing import ArrayLike

from tunekit.bike.model import LINK_MM
from tunekit.mechanics.bounds import Floats, within

PITCH_MM = LINK_MM
"""Half an inch: one link of every modern cycle chain (Wikibooks, Chain sizes; seen)."""
ROLLER_MM = 7.75
"""Roller diameter of a cycle chain (ISO 9633 / ISO 606; from memory)."""


def _teeth(teeth: ArrayLike) -> Floats:
    return within("teeth", teeth, 5, 200)


def pitch_diameter_mm(teeth: ArrayLike, pitch_mm: ArrayLike = PITCH_MM) -> Floats:
    """Diameter of the circle on which the pins sit [mm]; p / sin(180°/N); arrays broadcast."""
    return within("pitch", pitch_mm, 1, 100, "mm") / np.sin(np.pi / _teeth(teeth))


def pitch_radius_mm(teeth: ArrayLike, pitch_mm: ArrayLike = PITCH_MM) -> Floats:
    """Half the pitch diameter [mm]."""
    return pitch_diameter_mm(teeth, pitch_mm) / 2


def tip_diameter_mm(teeth: ArrayLike, pitch_mm: ArrayLike = PITCH_MM, addendum: float = 0.6) -> Floats:
    """Diameter over the tooth tips [mm]; p (a + cot(180°/N)).

    `addendum` 0.6 is the usual drawing approximation, 0.54 metric practice. Shaped derailleur cogs are
    commonly 1 to 2 mm smaller (common practice, no source).
    """
    height = within("addendum", addendum, 0, 2, "pitches")
    return within("pitch", pitch_mm, 1, 100, "mm") * (height + 1 / np.tan(np.pi / _teeth(teeth)))


def root_diameter_mm(
    teeth: ArrayLike, pitch_mm: ArrayLike = PITCH_MM, roller_mm: ArrayLike = ROLLER_MM
) -> Floats:
    """Diameter at the bottom of the tooth gaps [mm]; pitch diameter less one roller."""
    return pitch_diameter_mm(teeth, pitch_mm) - within("roller", roller_mm, 0.1, 100, "mm")


def chordal_rise_mm(teeth: ArrayLike, pitch_mm: ArrayLike = PITCH_MM) -> Floats:
    """How far the chain rises and falls as each tooth comes on [mm]; R (1 - cos(180°/N)) (ibid., 7.10)."""
    return np.asarray(pitch_radius_mm(teeth, pitch_mm) * (1 - np.cos(np.pi / _teeth(teeth))))


def speed_variation(teeth: ArrayLike) -> Floats:
    """(max - min) / mean of the chain's speed at steady turning, a fraction (ibid., eq. 7.13)."""
    half = np.pi / _teeth(teeth)
    return half * (1 / np.sin(half) - 1 / np.tan(half))


def speed_variation_of_max(teeth: ArrayLike) -> Floats:
    """(max - min) / max of the same speed, a fraction; 1 - cos(180°/N) (ibid., eq. 7.11 and 7.12)."""
    return 1 - np.cos(np.pi / _teeth(teeth))
