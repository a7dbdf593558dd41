"""Readings that no hand could have read: what is asked, what is refused."""

from typing import get_args

import pytest
from hypothesis import given, settings
from session_strategies import BIKES, entries

from tunekit import Bike, SessionError
from tunekit.bike import starter, starter_names
from tunekit.data import table
from tunekit.fit import size_chain
from tunekit.session import make_entry
from tunekit.session import vocabulary as words
from tunekit.session.plausible import doubt, doubts

ROAD = starter("road-double-10")


def measured(what, value, **where):
    return make_entry("measured", what=what, value=value, **where)


class TestDidYouMean:
    # Expected by hand: the slip that a hand makes (a decimal point, a digit too many), each reading's usual size
    # from the sources of data/plausible.toml.
    @pytest.mark.parametrize(
        ("what", "typed", "meant"),
        [
            ("pulley_gap_mm", 60, 6),
            ("pulley_gap_mm", 55, 5.5),
            ("chain_wear_pct", 5, 0.5),
            ("chain_length_links", 107, 106),
            ("hanger_rim_mm", (40, 400, 40, 41), (40, 40, 40, 41)),
            ("hanger_rim_mm", (40, 4, 140, 41), (40, 4, 14, 41)),
            ("rear_bolt_nm", 80, 8),
            ("lockring_nm", 4, 40),
            ("chainline_front_mm", 4.35, 43.5),
            ("low_limit_offset_mm", 25, 2.5),
            ("front_height_mm", 20, 2),
            ("low_stop_backoff_turns", 25, 0.25),
        ],
    )
    def test_both_readings_are_offered(self, what, typed, meant):
        asked = doubt(ROAD, measured(what, typed))
        assert [entry.value for entry in asked.readings] == [meant, typed]
        assert "did you mean" in asked.says
        assert asked.says.endswith("?")

    def test_the_sentence_names_word_figure_and_unit(self):
        says = doubt(ROAD, measured("pulley_gap_mm", 60, cog=28)).says
        assert says == (
            "Pulley gap 60 mm is outside what a hand reads there, 0 to 30 mm: did you mean 6 mm, or really 60 mm?"
        )

    def test_where_no_slip_explains_it_the_figure_alone_is_asked(self):
        asked = doubt(ROAD, measured("front_inner_gap_mm", -4))
        assert [entry.value for entry in asked.readings] == [-0.4, -4]
        alone = doubt(ROAD, measured("rear_bolt_nm", 0))
        assert alone.readings == (alone.typed,)
        assert "did you mean" not in alone.says

    def test_a_turn_is_asked_too(self):
        asked = doubt(ROAD, make_entry("turned", what="rear_barrel", amount=25))
        assert [entry.amount for entry in asked.readings] == [2.5, 25]

    def test_turns_or_steps_by_the_bike(self):
        edge = measured("quiet_edge_inboard", 8)
        assert doubt(ROAD, edge)
        assert doubt(starter("road-electronic"), edge) is None

    @pytest.mark.parametrize("name", starter_names())
    def test_a_chain_round_the_largest_pair_is_no_question(self, name):
        bike = starter(name)
        assert doubt(bike, measured("chain_length_links", size_chain(bike).links)) is None

    def test_a_sure_figure_is_not_asked_again(self):
        assert doubt(ROAD, measured("pulley_gap_mm", 60, sure=True)) is None


class TestInALog:
    def test_each_doubted_entry_by_its_place(self):
        log = [
            make_entry("told", what="fall"),
            measured("pulley_gap_mm", 60),
            measured("chain_wear_pct", 0.3),
        ]
        assert [(at, asked.meant.value) for at, asked in doubts(ROAD, log)] == [(1, 6)]

    def test_a_later_reading_at_the_place_ends_it(self):
        assert doubts(ROAD, [measured("pulley_gap_mm", 60), measured("pulley_gap_mm", 6)]) == ()

    def test_twice_running_stands(self):
        assert doubts(ROAD, [measured("pulley_gap_mm", 60), measured("pulley_gap_mm", 60)]) == ()

    def test_every_turn_asks_for_itself(self):
        turns = [make_entry("turned", what="rear_barrel", amount=amount) for amount in (25, 0.25)]
        assert [at for at, _ in doubts(ROAD, turns)] == [0]


class TestImpossible:
    @pytest.mark.parametrize(
        ("what", "value", "sentence"),
        [
            (
                "pulley_gap_mm",
                1e308,
                r"takes −50 to 300 for pulley_gap_mm, and 1e\+308 cannot be; measure again",
            ),
            ("chain_wear_pct", -5, "takes 0 to 10 for chain_wear_pct, and -5 cannot be"),
            (
                "chain_length_links",
                106.5,
                "takes whole numbers for chain_length_links, and 106.5 is none; count",
            ),
            ("hanger_rim_mm", (4000, 40, 39, 40), "and 4000 cannot be"),
            ("battery_pct", 101, "takes 0 to 100 for battery_pct"),
        ],
    )
    def test_it_is_refused_in_one_sentence(self, what, value, sentence):
        with pytest.raises(SessionError, match=sentence):
            measured(what, value)

    @given(entries(Bike(rings=(34, 50), cogs=(11, 13, 17, 21, 28))))
    def test_whatever_is_taken_can_be_asked_about(self, entry):
        asked = doubt(ROAD, entry)
        if asked is not None:
            assert asked.readings[-1] == entry
            assert asked.meant is None or asked.meant.what == entry.what


class TestTable:
    def test_every_figure_of_the_log_has_its_row(self):
        rows = table("plausible")
        numbers = {*get_args(words.MeasuredNumber), "hanger_rim_mm"}
        assert set(rows["measured"]) == numbers
        assert set(rows["turned"]) == set(get_args(words.Turned)) - {"hanger"}

    def test_every_row_has_its_status_and_source_and_bounds_inside_what_can_be(self):
        for what, row in table("plausible")["measured"].items():
            for found in [row.get("turns"), row.get("steps")] if "turns" in row else [row]:
                assert found["status"], what
                assert found["source"], what
                if "of" not in found:
                    low, high = row["never"]
                    assert low <= found["least"] < found["most"] <= high, what
                    assert found["least"] <= found["usual"] <= found["most"], what


@settings(max_examples=40)
@given(BIKES)
def test_any_bike_has_bounds_for_its_chain(bike):
    assert doubt(bike, measured("chain_length_links", 600)) is not None
