"""Figures that no gauge can show are refused in one sentence, whatever else is asked."""

from typing import get_args

import pytest

from tunekit import SessionError
from tunekit.data import table
from tunekit.session import make_entry
from tunekit.session import vocabulary as words


@pytest.mark.parametrize(
    ("what", "value", "sentence"),
    [
        ("pulley_gap_mm", 1e308, r"takes −50 to 300 for pulley_gap_mm, and 1e\+308 cannot be; measure again"),
        ("chain_wear_pct", -5, "takes 0 to 10 for chain_wear_pct, and -5 cannot be"),
        ("chain_length_links", 106.5, "takes whole numbers for chain_length_links, and 106.5 is none; count"),
        ("hanger_rim_mm", (4000, 40, 39, 40), "and 4000 cannot be"),
        ("battery_pct", 101, "takes 0 to 100 for battery_pct"),
    ],
)
def test_it_is_refused_in_one_sentence(what, value, sentence):
    with pytest.raises(SessionError, match=sentence):
        make_entry("measured", what=what, value=value, sure=True)


def test_every_figure_of_the_log_has_its_bounds_round_what_is_plausible():
    possible = table("possible")
    assert set(possible) == {*get_args(words.MeasuredNumber), "hanger_rim_mm"}
    for what, row in table("plausible").items():
        low, high = possible[what]["within"]
        assert low <= row["least"] < row["most"] <= high, what
