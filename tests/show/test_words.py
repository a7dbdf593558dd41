"""Plain words for everything: every word of the log, every cause, every move in at most 20 words."""

import re
import tomllib
from dataclasses import replace
from importlib.resources import files
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tunekit import Bike, Session
from tunekit.bike.starters import starter
from tunekit.data import table
from tunekit.diagnosis import advise
from tunekit.diagnosis.advice import Cause, Gear, Move
from tunekit.session import make_entry
from tunekit.session import vocabulary as words
from tunekit.show.words import (
    amount_text,
    cause_label,
    entry_text,
    gear_text,
    help_text,
    label,
    move_help,
    move_name,
    move_text,
    nearly_clear_text,
    number_text,
    say,
    session_line,
    unit,
    whole_minutes,
)

BIKE = Bike(rings=(34, 50), cogs=(11, 13, 17, 21, 28))
TURNS = [what for what in get_args(words.Turned) if unit("turned", what) == "turns"]

# The causes as the design lists them (regression: the list is ours).
CAUSES = """
index_outboard index_inboard cable_drag cable_damaged cable_slipping housing_short lever_worn pull_mismatch
cog_spacing_wrong high_limit_tight high_limit_loose low_limit_tight low_limit_loose pulley_gap_small
pulley_gap_large hanger_bent_inboard hanger_bent_outboard derailleur_sticky derailleur_worn
guide_pulley_worn pulley_seized cage_pivot_seized wheel_not_seated wheel_swapped cassette_loose
cog_misfitted freehub_faulty chain_worn cog_worn new_chain_on_worn_cogs stiff_link bent_link joining_link
chain_long chain_short chain_misrouted crossed_gear front_high front_low front_rotated front_loose
front_inner_limit_tight front_inner_limit_loose front_outer_limit_tight front_outer_limit_loose
front_cable_slack front_cable_tight front_cable_drag front_pull_mismatch front_worn front_trim
ring_bent_or_loose electronic_index motor_uncoupled battery_low battery_failed lever_cell_dead
connector_loose wire_damaged nothing something_else
"""


def move(kind: str, what: str, amount: float | None = None, **more) -> Move:
    return Move(kind=kind, what=what, amount=amount, minutes=1.0, why="", **more)


def word_count(sentence: str) -> int:
    return len(sentence.split())


@pytest.mark.parametrize("kind", [*words.WHAT_BY_KIND, "moment"])
def test_every_word_of_the_log_has_a_label_and_no_label_is_left_over(kind):
    expected = get_args(words.Moment) if kind == "moment" else words.WHAT_BY_KIND[kind]
    assert set(table("words/vocabulary")[kind]) == set(expected)
    labels = [label(kind, what) for what in expected]
    assert all(labels)
    assert len(set(labels)) == len(labels), "one word per thing"


@pytest.mark.parametrize("name", CAUSES.split())
def test_every_cause_has_a_label_and_a_line_of_help(name):
    assert cause_label(name)
    assert help_text("cause", name).endswith(".")


def test_no_cause_is_worded_that_diagnosis_does_not_know():
    assert set(table("words/vocabulary")["cause"]) == set(CAUSES.split())


def test_every_heard_word_is_offered_on_the_log_page_and_nothing_else():
    offered = table("offered")
    lists = ("first", "more", "front", "electronic")
    rows = [what for row in offered.values() for name in lists for what in row.get(name, [])]
    assert set(rows) == set(get_args(words.Heard))
    assert set(offered) == set(get_args(words.Moment))


class TestMoves:
    @pytest.mark.parametrize("what", get_args(words.Turned))
    @pytest.mark.parametrize("sign", [1, -1])
    def test_a_turn_is_one_command_of_20_words_with_amount_direction_and_view(self, what, sign):
        """At most 20 words: simplified technical English (ASD-STE100), procedural sentences."""
        amounts = [0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875, 1.0, 1.25, 2.0, 3.125]
        for size in amounts if what in TURNS else [1, 2, 7]:
            sentence = move_text(move("turned", what, None if what == "hanger" else sign * size), BIKE)
            assert word_count(sentence) <= 20, sentence
            assert re.match(r"[A-Z].+\.$", sentence)
            if what != "hanger":
                assert amount_text(what, size) in sentence
                assert "seen from" in sentence or "measured from" in sentence

    def test_the_wording_of_a_quarter_turn_of_the_barrel(self):
        sentence = move_text(move("turned", "rear_barrel", 0.25), BIKE)
        expected = (
            "Unscrew the rear barrel adjuster a quarter turn (anticlockwise, seen from the housing end)."
        )
        assert sentence == expected

    @pytest.mark.parametrize("what", ["rear_barrel", "front_barrel"])
    def test_a_barrel_out_is_anticlockwise_and_in_is_clockwise(self, what):
        """Out, anticlockwise seen from the housing end, tightens (road handbooks)."""
        assert "(anticlockwise, seen from the housing end)" in move_text(move("turned", what, 0.25), BIKE)
        assert "(clockwise, seen from the housing end)" in move_text(move("turned", what, -0.25), BIKE)

    @pytest.mark.parametrize(
        ("what", "sign", "cage"),
        [
            ("high_limit", 1, "inboard"),
            ("high_limit", -1, "outboard"),
            ("low_limit", 1, "outboard"),
            ("low_limit", -1, "inboard"),
            ("front_high_limit", 1, "inboard"),
            ("front_low_limit", 1, "outboard"),
        ],
    )
    def test_a_stop_says_what_the_cage_does_since_screws_differ(self, what, sign, cage):
        """+ closes the stop in: the high one inboard, the low one outboard (the log's sign rule)."""
        turn = move("turned", what, sign * 0.25)
        assert f"stops farther {cage}" in move_text(turn, BIKE)
        assert "clockwise" not in move_text(turn, BIKE)
        assert "the cage" in move_help(turn)

    @pytest.mark.parametrize("what", words.WHAT_BY_KIND["measured"])
    def test_a_look_is_a_question_or_a_reading_in_20_words(self, what):
        sentence = move_text(move("measured", what, cog=17, ring=50), BIKE)
        last = sentence.split(". ")[-1]
        assert all(word_count(part) <= 20 for part in sentence.split(". "))
        assert last.endswith("?") == (what in words.YES_NO)
        assert "{" not in sentence

    @pytest.mark.parametrize("what", words.WHAT_BY_KIND["fitted"])
    def test_a_part_is_one_command_in_20_words(self, what):
        sentence = move_text(move("fitted", what, cog=17), BIKE)
        assert word_count(sentence) <= 20
        assert sentence.endswith(".")
        assert "{" not in sentence

    def test_a_ride_names_its_gears_or_all(self):
        gears = (Gear(ring=50, cog=17, moment="pedalling"),)
        assert "these gears" in move_text(move("heard", "ride", gears=gears), BIKE)
        assert "every gear" in move_text(move("heard", "ride"), BIKE)

    @pytest.mark.parametrize("what", get_args(words.Turned))
    def test_every_turn_has_a_short_name_both_ways(self, what):
        assert move_name(move("turned", what, 0.5)) != "" != move_name(move("turned", what, -0.5))


class TestAmounts:
    @pytest.mark.parametrize(
        ("what", "amount", "text"),
        [
            ("rear_barrel", 0.125, "an eighth turn"),
            ("rear_barrel", -0.25, "a quarter turn"),
            ("low_limit", 0.5, "a half turn"),
            ("b_screw", 1.0, "one turn"),
            ("b_screw", 1.25, "1¼ turns"),
            ("b_screw", 2.0, "2 turns"),
            ("rear_micro_adjust", 1, "1 step"),
            ("rear_micro_adjust", -3, "3 steps"),
            ("front_height_mm", 1.5, "1.5 mm"),
            ("front_angle_deg", -2, "2°"),
        ],
    )
    def test_amounts_are_what_a_hand_can_do(self, what, amount, text):
        assert amount_text(what, amount) == text

    @given(st.floats(0.0, 100.0))
    def test_no_turn_is_ever_nothing(self, turns):
        assert not amount_text("rear_barrel", turns).startswith("0")

    @pytest.mark.parametrize(
        ("value", "text"),
        [(1.0, "1"), (10.0, "10"), (-0.25, "−0.25"), (0.001, "0"), (-0.001, "0"), (1 / 3, "0.33")],
    )
    def test_figures_lose_their_empty_digits(self, value, text):
        assert number_text(value) == text


class TestEntries:
    @pytest.mark.parametrize(
        ("kind", "fields", "text"),
        [
            (
                "heard",
                {"ring": 50, "cog": 17, "moment": "to_larger_cog", "what": "slow"},
                "50 × 17, shifting from a smaller cog: slow",
            ),
            (
                "heard",
                {"cog": 17, "moment": "pedalling", "what": "rattle", "side": "inboard"},
                "cog 17, pedalling: rattles, inboard",
            ),
            ("heard", {"moment": "pedalling", "what": "grinds"}, "every gear, pedalling: grinds"),
            ("measured", {"what": "pulley_gap_mm", "cog": 28, "value": 4.5}, "Pulley gap (cog 28): 4.5 mm"),
            ("measured", {"what": "cable_drag", "value": 1}, "Rear cable drags: Yes"),
            (
                "measured",
                {"what": "hanger_rim_mm", "value": (3.0, 4.0, 5.0, 4.0)},
                "Hanger gauge: 3, 4, 5, 4 mm",
            ),
            ("turned", {"what": "rear_barrel", "amount": -0.25}, "Rear barrel adjuster: a quarter turn in"),
            ("turned", {"what": "hanger"}, "Hanger straightened"),
            ("fitted", {"what": "chain", "links": 108}, "Chain, 108 links"),
            ("told", {"what": "fall"}, "A fall or a knock"),
            ("noted", {"text": "Lunch"}, "Lunch"),
        ],
    )
    def test_an_entry_is_one_line(self, kind, fields, text):
        assert entry_text(make_entry(kind, **fields)) == text

    def test_a_session_is_one_line(self):
        assert (
            session_line(Session(title="Red tourer", bike=BIKE))
            == "Red tourer · 34/50 × 11 to 28 · 0 entries"
        )
        one = Session(bike=BIKE, log=(make_entry("noted", text="x"),))
        assert session_line(one).endswith("· 1 entry")

    @pytest.mark.parametrize(
        ("ring", "cog", "text"),
        [(50, 17, "50 × 17"), (None, 17, "cog 17"), (50, None, "ring 50"), (None, None, "every gear")],
    )
    def test_a_gear(self, ring, cog, text):
        assert gear_text(ring, cog) == text


def said_in_pages() -> set[str]:
    """Every literal key asked of `say` in the files that import it from `tunekit.show.words`."""
    imported = re.compile(r"from tunekit\.show\.words import (\([^)]*|[^(\n]*)\bsay\b")
    sources = [*files("tunekit.pages").iterdir(), *files("tunekit.show").iterdir()]
    texts = [source.read_text(encoding="utf-8") for source in sources if source.name.endswith(".py")]
    asked = re.compile(r'\bsay\(\s*"([a-z_.]+)"')
    return {key for text in texts if imported.search(text) for key in asked.findall(text)}


def test_every_sentence_that_a_page_asks_for_is_there():
    pages = tomllib.loads((files("tunekit.data") / "words/pages.toml").read_text(encoding="utf-8"))
    for key in said_in_pages():
        room, _, name = key.partition(".")
        assert name in pages[room], key
    assert len(said_in_pages()) > 80
    assert say("answer.yes") == "Yes"


@pytest.mark.parametrize(
    ("cause", "clear", "trouble", "said"),
    [
        ("front_inner_limit_loose", 0.55, True, None),
        ("front_inner_limit_loose", 0.9, True, "mostly_clear"),
        ("crossed_gear", 0.55, True, "harmless"),
        ("front_inner_limit_loose", 0.55, False, "nearly_clear"),
        ("front_inner_limit_loose", 0.4, False, None),
    ],
)
def test_who_hears_a_trouble_is_not_calmed_by_an_even_chance(
    cause: str, clear: float, trouble: bool, said: str | None
) -> None:
    likely = (Cause(name="nothing", probability=clear), Cause(name=cause, probability=1 - clear))
    advice = replace(advise(Session(bike=starter("road-double-11"))), causes=likely, clear=clear)
    heard = [make_entry("heard", moment="to_smaller_ring", what="fell_inside")] if trouble else []
    text = nearly_clear_text(advice, Move(kind="heard", what="ride", minutes=5.0, why=""), heard)
    assert text == (said and say(f"advice.{said}", chance=f"{100 * clear:.0f} %"))


@pytest.mark.parametrize(("minutes", "said"), [(0.2, 1), (0.5, 1), (1.4, 1), (2.6, 3)])
def test_nothing_is_done_in_no_minutes(minutes: float, said: int) -> None:
    assert whole_minutes(minutes) == said
