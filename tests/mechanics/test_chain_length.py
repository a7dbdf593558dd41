"""What must hold of every chain length, whoever printed what."""

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tunekit.mechanics import chain_length as cl
from tunekit.mechanics.chain_length import Rounding, rounded

CHAINSTAYS = st.floats(350, 500)
TEETH = st.integers(9, 60)
RULES = (cl.simple_links, cl.second_order_links, cl.engineering_links, cl.belt_links, cl.circle_belt_links)


@given(st.floats(0, 400), st.sampled_from(Rounding))
@example(111.0, Rounding.INCH_HALF_UP)
def test_every_rounding_gives_an_even_number_within_two_links(raw: float, rounding: Rounding) -> None:
    links = int(rounded(raw, rounding))
    assert links % 2 == 0
    assert abs(links - raw) <= (2 if rounding is Rounding.INCH_UP else 1) + 1e-6


def test_the_rounding_rules_part_at_half_an_inch_and_below_it() -> None:
    tie, below = 111.0, 110.2
    assert [int(rounded(tie, r)) for r in (Rounding.INCH_HALF_UP, Rounding.INCH_UP)] == [112, 112]
    assert int(rounded(tie, Rounding.EVEN_NEAREST)) == 110
    assert int(rounded(below, Rounding.INCH_HALF_UP)) == 110
    assert int(rounded(below, Rounding.INCH_UP)) == 112


def test_a_whole_inch_is_not_pushed_up_by_the_last_binary_digit() -> None:
    assert int(rounded(54 + 54 + 1e-12, Rounding.INCH_UP)) == 108


@given(CHAINSTAYS, TEETH, TEETH)
def test_engineering_formula_and_its_inverse_undo_each_other(chainstay: float, ring: int, cog: int) -> None:
    links = cl.engineering_links(chainstay, ring, cog)
    assert cl.engineering_centre_mm(links, ring, cog) == pytest.approx(chainstay, rel=1e-12)


@given(CHAINSTAYS, TEETH, st.integers(9, 52))
def test_a_tooth_or_a_millimetre_more_never_shortens_the_chain(chainstay: float, ring: int, cog: int) -> None:
    for rule in RULES:
        here = rule(chainstay, ring, cog)
        assert rule(chainstay, ring + 1, cog) > here
        assert rule(chainstay, ring, cog + 1) > here
        assert rule(chainstay + 1, ring, cog) > here


@given(st.floats(380, 480), st.integers(22, 54), st.integers(9, 52))
def test_engineering_formula_stays_within_a_hundredth_link_of_the_exact_belt(
    chainstay: float, ring: int, cog: int
) -> None:
    assert cl.engineering_links(chainstay, ring, cog) == pytest.approx(
        float(cl.belt_links(chainstay, ring, cog)), abs=0.01
    )


@given(CHAINSTAYS, TEETH)
def test_equal_wheels_have_no_slant(chainstay: float, teeth: int) -> None:
    exact = 2 * chainstay / 12.7 + teeth
    assert cl.belt_links(chainstay, teeth, teeth) == pytest.approx(exact, abs=1e-9)
    assert cl.simple_links(chainstay, teeth, teeth) - cl.DERAILLEUR_LINKS == pytest.approx(exact, abs=1e-9)


@given(CHAINSTAYS, TEETH, TEETH)
def test_the_belt_is_the_same_either_way_round(chainstay: float, ring: int, cog: int) -> None:
    assert cl.belt_links(chainstay, ring, cog) == pytest.approx(float(cl.belt_links(chainstay, cog, ring)))


@given(CHAINSTAYS, TEETH, TEETH)
def test_simple_formula_is_short_by_the_second_order_term(chainstay: float, ring: int, cog: int) -> None:
    missing = (ring - cog) ** 2 / (4 * np.pi**2 * chainstay / 12.7)
    short = cl.engineering_links(chainstay, ring, cog) - (cl.simple_links(chainstay, ring, cog) - 2)
    assert short == pytest.approx(missing, abs=1e-9)


@given(CHAINSTAYS, st.integers(20, 60), st.integers(20, 52), st.floats(0, 40))
def test_largest_pair_is_even_and_at_least_the_belt_and_an_inch(
    chainstay: float, ring: int, cog: int, growth: float
) -> None:
    links = cl.largest_pair_links(chainstay, ring, cog, growth)
    belt = cl.belt_links(chainstay + growth, ring, cog)
    assert links % 2 == 0
    assert belt + 2 - 1e-6 <= links < belt + 4


def test_arrays_give_what_scalars_give() -> None:
    chainstays, rings, cogs = (
        np.array([405.0, 435.0])[:, None, None],
        np.array([34, 50])[:, None],
        np.arange(11, 35),
    )
    for rule in RULES:
        table = rule(chainstays, rings, cogs)
        assert table.shape == (2, 2, 24)
        assert table[1, 0, 5] == pytest.approx(float(rule(435.0, 34, 16)))


def test_the_documented_trap_of_a_bare_round_up() -> None:
    """32 x 51 at 435 mm is 112.004 links: 0.03 mm of chainstay flips the whole inch."""
    assert int(rounded(cl.simple_links(435.0, 32, 51), Rounding.INCH_UP)) == 114
    assert int(rounded(cl.simple_links(434.97, 32, 51), Rounding.INCH_UP)) == 112
