"""Ticks once per turn of something."""

import pytest

from tunekit.bike import TunekitError
from tunekit.mechanics.ticks import PERIODS, crank_turns_per_tick


def test_each_part_comes_round_after_its_own_teeth() -> None:
    """Follow the chain link by link: one crank turn brings as many links as the ring has teeth."""
    found = {per: crank_turns_per_tick(per, ring=50, cog=25, links=108) for per in PERIODS}
    assert found == pytest.approx({"chain": 2.16, "crank": 1, "wheel": 0.5, "cog": 0.5, "pulley": 0.22})


def test_other_words_are_refused_with_the_choices() -> None:
    with pytest.raises(TunekitError, match="per must be chain, crank, wheel, cog or pulley"):
        crank_turns_per_tick("pedal", ring=50, cog=25, links=108)
