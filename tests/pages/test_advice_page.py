"""The advice page, with the belief's answer given by the test; and once with the real one."""

from dataclasses import replace

import pytest
import streamlit as st

from tunekit.diagnosis.advice import Advice, Cause, Evidence, Gear, Move, SetAside, Tie
from tunekit.session import make_entry
from tunekit.session.store import Store

TURN = Move(kind="turned", what="rear_barrel", amount=0.25, minutes=1.0, why="Slow to larger cogs.")
LOOK = Move(kind="measured", what="cable_drag", minutes=2.0, why="Drag is slow both ways.")
PLAIN = Advice(
    causes=(Cause(name="index_outboard", probability=0.7),),
    next=TURN,
    runners_up=(),
    offsets=(),
    quiet_mm=0.3,
    clear=0.1,
    minutes_left=5.0,
    minutes_left_without_look=8.0,
    evidence=(),
    set_aside=(),
    ties=(),
    caution=None,
    sure=True,
)


@pytest.fixture
def advised(monkeypatch):
    """Let the belief answer what the test says, so that the page alone is under test."""

    def answer(move: Move | None, *runners_up: Move, **more: object) -> None:
        advice = replace(PLAIN, next=move, runners_up=runners_up, **more)
        monkeypatch.setattr("tunekit.diagnosis.advise", lambda session, seed=0: advice)
        st.cache_data.clear()

    yield answer
    st.cache_data.clear()


class TestAdvice:
    def test_from_start_to_first_advice_in_five_taps(self, app):
        """At most 6 taps (the bench's own demand)."""
        taps = [
            "main_noisy",
            "starter_road-double-11",
            "gear_50_17",
            "word_to_larger_cog_slow",
            "main_to_advice",
        ]
        for key in taps:
            app.tap(key)
        assert len(taps) <= 6
        assert app.title == "What to do now"
        assert "Why:" in app.text
        assert len(app.at.get("plotly_chart")) == 2

    def test_an_empty_log_is_answered_with_gears_to_ride(self, road):
        road.tap("main_to_advice")
        assert "Ride" in app_order(road)

    def test_a_turn_takes_two_taps_and_no_typing(self, road, advised):
        log_slow_everywhere(road)
        advised(TURN)
        road.turn_to("advice")
        assert app_order(road).startswith("**Unscrew the rear barrel adjuster a quarter turn")
        road.tap("main_did")
        assert (road.session.log[-1].what, road.session.log[-1].amount) == ("rear_barrel", 0.25)
        road.tap("main_ride_good")
        assert [(entry.cog, entry.what) for entry in road.session.log[4:]] == [
            (15, "clean"),
            (19, "clean"),
            (23, "clean"),
        ]

    def test_same_as_before_repeats_the_open_troubles(self, road, advised):
        log_slow_everywhere(road)
        advised(TURN)
        road.turn_to("advice")
        road.tap("main_did")
        road.tap("main_ride_same")
        assert [entry.what for entry in road.session.log] == ["slow"] * 3 + ["rear_barrel"] + ["slow"] * 3

    def test_all_good_answers_for_the_gears_on_the_screen_and_no_others(self, road, advised):
        log_slow_everywhere(road)
        gears = (Gear(ring=50, cog=28, moment="to_larger_cog"), Gear(ring=50, cog=11, moment="pedalling"))
        advised(Move(kind="heard", what="ride", minutes=2.0, why="Why.", gears=gears))
        road.turn_to("log")
        Store().add(Store().load(road.at.session_state["session"]), make_entry(kind="fitted", what="chain"))
        road.turn_to("advice")
        assert "50 × 15, 19, 23, shifting from a smaller cog (before: slow)" in road.text
        assert "50 × 28, shifting from a smaller cog" in road.text
        assert "50 × 11, pedalling" in road.text
        road.tap("main_ride_good")
        assert {entry.cog for entry in road.session.log[4:]} == {15, 19, 23, 28, 11}

    def test_a_ride_through_every_gear_is_answered_with_one_tap(self, road, advised):
        advised(Move(kind="heard", what="ride", minutes=2.0, why="Why."), clear=0.9)
        road.turn_to("advice")
        assert "One more ride makes sure." in road.text
        road.tap("main_ride_good")
        assert [(entry.ring, entry.cog, entry.what) for entry in road.session.log] == [
            (None, None, "clean")
        ] * 3

    def test_another_amount_is_one_tap(self, road, advised):
        advised(TURN)
        road.turn_to("advice")
        road.tap("amount_minus_0.5")
        assert road.session.log[-1].amount == -0.5

    def test_the_next_advice_can_be_had_without_a_ride(self, road, advised):
        advised(TURN)
        road.turn_to("advice")
        road.tap("main_did")
        assert "Ride, then say what you hear" in app_order(road)
        road.tap("ride_later_button")
        assert "Unscrew" in app_order(road)

    @pytest.mark.parametrize(("key", "value"), [("main_yes", 1), ("main_no", 0)])
    def test_a_question_is_answered_with_one_tap(self, road, advised, key, value):
        advised(LOOK)
        road.turn_to("advice")
        road.tap(key)
        assert (road.session.log[-1].what, road.session.log[-1].value) == ("cable_drag", value)

    def test_not_sure_is_noted_and_the_next_best_thing_asked(self, road, advised):
        advised(LOOK, TURN)
        road.turn_to("advice")
        road.tap("main_not_sure")
        assert (road.session.log[-1].kind, road.session.log[-1].step) == ("noted", "cable_drag")
        assert "Unscrew" in app_order(road)

    def test_when_nothing_is_sure_it_can_be_asked_again(self, road, advised):
        advised(LOOK)
        road.turn_to("advice")
        road.tap("main_not_sure")
        assert "You were not sure about: Rear cable drags." in road.text
        road.tap("main_ask_again")
        assert "pluck" in app_order(road)

    def test_a_gauge_s_four_readings_are_one_entry(self, road, advised):
        advised(Move(kind="measured", what="hanger_rim_mm", minutes=4.0, why="Why."))
        road.turn_to("advice")
        for clock, value in (("12", 3.0), ("3", 4.0), ("6", 5.0), ("9", 4.0)):
            road.at.number_input(key=f"reading_hanger_rim_mm_{clock}").set_value(value)
        road.tap("main_write")
        assert road.session.log[-1].value == (3.0, 4.0, 5.0, 4.0)

    def test_a_reading_left_empty_is_one_sentence_and_writes_nothing(self, road, advised):
        advised(Move(kind="measured", what="chain_wear_pct", minutes=1.0, why="Why."))
        road.turn_to("advice")
        road.tap("main_write")
        assert road.at.error[0].value.startswith("Reading must be a number in %")
        assert road.session.log == ()

    def test_a_ride_is_answered_gear_by_gear_or_at_once(self, road, advised):
        gears = (Gear(ring=50, cog=17, moment="pedalling"), Gear(ring=50, cog=21, moment="to_larger_cog"))
        advised(Move(kind="heard", what="ride", minutes=3.0, why="Why.", gears=gears))
        road.turn_to("advice")
        road.tap("ride_good_1")
        assert (road.session.log[-1].cog, road.session.log[-1].what) == (21, "clean")
        road.tap("main_ride_good")
        assert len(road.session.log) == 3
        road.tap("ride_bad_0")
        assert road.title == "50 × 17: what does it do?"

    def test_a_warning_stands_before_the_action(self, road, advised):
        advised(replace(TURN, caution="WARNING: keep fingers away."))
        road.turn_to("advice")
        texts = [element.value for element in road.at.main if getattr(element, "value", None)]
        warning = next(place for place, text in enumerate(texts) if text == "WARNING: keep fingers away.")
        command = next(place for place, text in enumerate(texts) if "Unscrew" in str(text))
        assert warning < command

    def test_another_move_has_its_own_warning_even_when_the_first_has_none(self, road, advised):
        advised(LOOK, replace(TURN, caution="WARNING: keep fingers away."))
        road.turn_to("advice")
        warned = ["WARNING: keep fingers away."]
        assert [warning.value for warning in road.at.warning] == warned
        road.tap("main_not_sure")
        assert app_order(road).startswith("**Unscrew")
        assert [warning.value for warning in road.at.warning] == warned

    def test_what_is_set_aside_and_what_cannot_be_told_apart_is_said(self, road, advised):
        log_slow_everywhere(road)
        advised(
            TURN,
            ties=(Tie(first="index_outboard", second="cable_drag", check=LOOK),),
            set_aside=(SetAside(entry=0, why="It contradicts the bike."),),
            evidence=(Evidence(entry=1, cause="index_outboard", factor=3.0),),
            sure=False,
        )
        road.turn_to("advice")
        assert (
            "I cannot tell these two apart yet: Too little cable tension and Rear cable drags." in road.text
        )
        assert "It contradicts the bike." in road.text
        assert 'It made "Too little cable tension" 3 times likelier.' in road.text
        assert "more explanations than I could weigh" in road.text

    def test_when_nothing_is_left_it_says_so_and_points_to_the_sheet(self, road, advised):
        advised(None, clear=0.97, end="right")
        road.turn_to("advice")
        assert "nothing left to do" in road.text
        road.tap("main_to_sheet")
        assert road.title == "The sheet to hand over"

    def test_the_same_session_gives_the_same_page(self, road):
        log_slow_everywhere(road)
        road.turn_to("advice")
        first = road.text
        road.turn_to("log")
        road.turn_to("advice")
        assert road.text == first


def app_order(app) -> str:
    """The instruction, big on the page."""
    return next(element.value for element in app.at.markdown if element.value.startswith("**"))


def log_slow_everywhere(app) -> None:
    for cog in (15, 19, 23):
        app.tap(f"gear_50_{cog}")
        app.tap("word_to_larger_cog_slow")
