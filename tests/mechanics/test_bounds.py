"""A number that cannot be used is answered with its field, its rule, its value and the nearest possible."""

import numpy as np
import pytest

from tunekit.bike import TunekitError
from tunekit.mechanics import capacity, chain_length, gears, sprocket, wear
from tunekit.mechanics.bounds import within


def test_good_numbers_pass_through_in_any_shape() -> None:
    np.testing.assert_array_equal(within("teeth", [[11, 12]], 5, 200), [[11.0, 12.0]])
    assert within("teeth", 11, 5, 200) == 11.0


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (
            lambda: sprocket.pitch_diameter_mm(3),
            "teeth must be from 5 to 200 (got 3); the nearest possible is 5.",
        ),
        (
            lambda: sprocket.pitch_diameter_mm([11, 900]),
            "teeth must be from 5 to 200 (got 900); the nearest possible is 200.",
        ),
        (
            lambda: sprocket.pitch_diameter_mm(float("nan")),
            "teeth must be a number (got NaN); measure it again.",
        ),
        (
            lambda: gears.gear_inches(50, 11, -1),
            "circumference must be from 100 to 5000 mm (got -1); the nearest possible is 100.",
        ),
        (
            lambda: chain_length.simple_links(-410, 50, 28),
            "centre distance must be from 20 to 5000 mm (got -410); the nearest possible is 20.",
        ),
        (
            lambda: chain_length.engineering_centre_mm(30, 50, 28),
            "links must reach round both wheels at some centre distance (got 30); the fewest possible is 49.",
        ),
        (
            lambda: chain_length.belt_links(100, 50, 28),
            "centre distance (chainstay) must be more than the two wheels' pitch radii together, 157.8 mm "
            "(got 100); the nearest possible is 158.",
        ),
        (
            lambda: wear.wear_pct(3048),
            "measured length against the span must be from 0.98 to 1.1 times new (got 10); "
            "the nearest possible is 1.1.",
        ),
        (
            lambda: chain_length.largest_pair_links(410, 50, 28, growth_mm=float("inf")),
            "chainstay growth must be from 0 to 200 mm (got inf); the nearest possible is 200.",
        ),
    ],
    ids=["few", "many", "nan", "negative", "negative-chainstay", "short", "overlap", "slip", "infinite"],
)
def test_the_sentence_names_the_nearest_possible(call: object, sentence: str) -> None:
    with pytest.raises(TunekitError) as caught:
        call()  # type: ignore[operator]
    assert str(caught.value) == sentence


def test_the_nearest_possible_is_possible() -> None:
    assert np.isfinite(chain_length.belt_links(158, 50, 28))
    assert chain_length.engineering_centre_mm(49, 50, 28) > 0


def test_capacity_remedies_hit_the_capacity_exactly() -> None:
    rings, cogs = (34, 50), (11, 34)
    cog = capacity.largest_cog_for(rings, cogs, 33)
    assert capacity.total_capacity(rings, (11, cog)) == 33
    ring = capacity.smallest_ring_for(rings, cogs, 33)
    assert capacity.total_capacity((ring, 50), cogs) == 33
