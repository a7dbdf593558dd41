"""The one sentence a formula answers with when a number cannot be used."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tunekit.bike.errors import TunekitError, shown

Floats = NDArray[np.float64]


def _numbers(field: str, values: ArrayLike) -> Floats:
    try:
        return np.asarray(values, dtype=float)
    except (TypeError, ValueError):
        raise TunekitError(f"{field} must be a number (got {shown(values)}); enter digits only.") from None


def within(field: str, values: ArrayLike, low: float, high: float, unit: str = "") -> Floats:
    """`values` as floats, any shape.

    Raises TunekitError naming the nearest possible value when one is outside or not a number.
    """
    numbers = _numbers(field, values)
    bad = ~((numbers >= low) & (numbers <= high))
    if not bad.any():
        return numbers
    first = float(numbers[bad].flat[0])
    spaced = f" {unit}" if unit else ""
    if np.isnan(first):
        raise TunekitError(f"{field} must be a number (got NaN); measure it again.")
    nearest = low if first < low else high
    raise TunekitError(
        f"{field} must be from {low:g} to {high:g}{spaced} (got {first:g}); "
        f"the nearest possible is {nearest:g}."
    )
