"""Pass, adjust or redo; corrections in turns, steps or mm, signed by their effect and worded for the hand."""

import pytest

from tunekit import SessionError
from tunekit.setup import answer
from tunekit.setup.screws import mm_per_unit


class TestStops:
    @pytest.mark.parametrize(
        ("step", "value", "sign"),
        [
            ("high_stop", 2.4, 1),  # beyond the edge: the stop must close in
            ("high_stop", -0.9, -1),  # short of it: the stop must open
            ("low_stop", 1.5, 1),  # toward the spokes: close in
            ("low_stop", -1.5, -1),
        ],
    )
    def test_the_sign_is_the_effect(self, cable, step, value, sign):
        verdict = cable.say(step, value).verdict
        assert verdict.name == "adjust"
        assert (verdict.correction.amount > 0) == (sign > 0)
        assert verdict.correction.what == ("high_limit" if step == "high_stop" else "low_limit")
        assert ("Screw" in verdict.correction.says) == (sign > 0)

    def test_a_long_way_is_a_run_of_small_turns_to_a_mark(self, cable):
        # Common practice, no source: half a turn between two looks, a quarter where the spokes are behind it.
        far, near = (
            cable.say("high_stop", 2.4).verdict.correction,
            cable.say("low_stop", -3.0).verdict.correction,
        )
        assert (far.amount, far.until.watch, far.until.value) == (0.5, "high_limit_offset_mm", 0.8)
        assert (near.amount, near.until.watch, near.until.value) == (-0.25, "low_limit_offset_mm", 0.0)

    def test_turning_by_the_correction_lands_on_the_target(self, cable):
        # What the screw moves, times the amount, takes out the error to a sixteenth of a turn.
        step = cable.say("pulley_gap", 9.0)
        moved = step.verdict.correction.amount * mm_per_unit("b_screw", cable.session.bike)
        error = step.target.value - 9.0
        assert moved == pytest.approx(error, abs=mm_per_unit("b_screw", cable.session.bike) / 16)

    def test_after_the_turn_the_step_asks_again(self, cable):
        step = cable.say("high_stop", 2.4)
        cable.write(step.verdict.correction.fields())
        after = cable.step("high_stop")
        assert (after.state, after.value, after.verdict) == ("open", None, None)
        assert cable.say("high_stop", 0.8).state == "done"

    @pytest.mark.parametrize(("value", "amount"), [(0.75, 0.5), (0.0, -0.25), (0.25, None)])
    def test_a_motor_stop_is_backed_off_a_quarter_turn(self, electronic, value, amount):
        verdict = electronic.say("low_stop_motor", value).verdict
        assert (verdict.correction.amount if verdict.correction else None) == amount


class TestGap:
    @pytest.mark.parametrize(("value", "sign"), [(3.0, 1), (9.0, -1)])
    def test_too_near_widens_and_too_far_narrows(self, cable, value, sign):
        correction = cable.say("pulley_gap", value).verdict.correction
        assert correction.what == "b_screw"
        assert (correction.amount > 0) == (sign > 0)


class TestHanger:
    @pytest.mark.parametrize(
        ("readings", "words"),
        [
            # Smaller at 6 than at 12: the lower end leans inboard, so it goes outboard (the log's sign rule).
            ((40, 40, 34, 40), "lower end a little outboard"),
            ((34, 40, 40, 40), "lower end a little inboard"),
            ((40, 34, 40, 40), "front edge a little outboard"),
            ((40, 40, 40, 34), "front edge a little inboard"),
        ],
    )
    def test_it_says_which_way_to_bend(self, cable, readings, words):
        verdict = cable.say("hanger_gauge", readings).verdict
        assert verdict.name == "adjust"
        assert "6 mm" in verdict.says
        assert words in verdict.correction.says

    def test_a_rim_out_of_true_does_not_matter(self, cable):
        # All four read at the same rim point: equal readings pass, whatever they are.
        assert cable.say("hanger_gauge", (71.0, 71.5, 72.0, 71.0)).state == "done"


class TestChain:
    @pytest.mark.parametrize(("links", "words"), [(114, "too long"), (100, "too short")])
    def test_off_by_so_many_links(self, cable, links, words):
        correction = cable.say("chain_length", float(links)).verdict.correction
        assert words in correction.says
        assert correction.fields() == {"kind": "fitted", "what": "chain", "links": 106}

    def test_an_odd_count_is_questioned(self, cable):
        verdict = cable.say("chain_length", 107.0).verdict
        assert verdict.name == "redo"
        assert "107 links?" in verdict.says


class TestQuestions:
    @pytest.mark.parametrize(
        ("step", "value", "words"),
        [
            ("pulley_gap", 60.0, "A gap of 60 mm? Millimetres, pulley teeth to cog teeth."),
            ("high_stop", 80.0, "A pulley 80 mm off the cog's centre?"),
            ("rear_bolt", 80.0, "A torque of 80 N m?"),
            ("barrel_out", 20.0, "20 turns out?"),
            ("hanger_gauge", (40, 400, 40, 40), "A distance of 400 mm?"),
        ],
    )
    def test_a_value_out_of_any_sensible_range_is_questioned_and_kept_as_it_is(
        self, cable, step, value, words
    ):
        after = cable.say(step, value)
        assert after.verdict.name == "redo"
        assert after.verdict.says.startswith(words)
        assert after.state == "open"
        assert after.value == value

    def test_it_can_be_corrected(self, cable):
        cable.say("pulley_gap", 60.0)
        assert cable.say("pulley_gap", 6.0).state == "done"

    def test_entered_once_more_it_stands_and_is_never_clamped(self, cable):
        cable.say("pulley_gap", 60.0)
        after = cable.say("pulley_gap", 60.0)
        assert after.verdict.name == "adjust"
        # 54 mm too much at a millimetre or so a turn: dozens of turns, not a clamp's few.
        assert after.verdict.correction.amount < -20

    @pytest.mark.parametrize(
        ("step", "given", "words"),
        [
            ("pulley_gap", "six", "Pulley gap must be a number in mm (got six); enter digits only."),
            ("pulley_gap", None, "Pulley gap must be a number in mm (got None); enter digits only."),
            ("pulley_gap", True, "Pulley gap must be a number in mm (got True); enter digits only."),
            (
                "wheel_seated",
                "perhaps",
                "Wheel seated must be answered with yes or no (got perhaps); choose one of these.",
            ),
            (
                "hanger_gauge",
                (1, 2),
                "Hanger straight must be four numbers in mm, at 12, 3, 6 and 9 o'clock "
                "(got 1, 2); enter all four.",
            ),
        ],
    )
    def test_an_answer_that_is_none_is_refused_in_one_sentence(self, cable, step, given, words):
        with pytest.raises(SessionError) as error:
            answer(cable.step(step), given)
        assert str(error.value) == words

    @pytest.mark.parametrize("value", [float("nan"), float("inf")])
    def test_nan_never_reaches_the_log(self, cable, value):
        with pytest.raises(SessionError, match="must be a finite number"):
            cable.say("pulley_gap", value)


class TestWords:
    @pytest.mark.parametrize(
        ("step", "word", "what", "amount"),
        [
            # Quarter turns: blog "How to adjust a rear bike derailleur" (seen).
            ("high_stop_again", "refused", "high_limit", -0.25),
            ("high_stop_again", "fell_outside", "high_limit", 0.25),
            ("low_stop_again", "refused", "low_limit", -0.25),
            ("low_stop_again", "fell_inside", "low_limit", 0.25),
        ],
    )
    def test_stops_under_way(self, cable, step, word, what, amount):
        correction = cable.say(step, word).verdict.correction
        assert (correction.what, correction.amount) == (what, amount)

    @pytest.mark.parametrize(
        ("word", "amount"),
        [("rubs_inner_plate", -0.25), ("rubs_outer_plate", 0.25)],
    )
    def test_more_tension_moves_the_front_cage_out(self, bench, word, amount):
        # Japanese bicycle glossary: more tension moves the cage out (seen); the plate that rubs must go away.
        correction = bench("road-double-10", "front_cable").say("front_rub_large", word).verdict.correction
        assert (correction.what, correction.amount) == ("front_barrel", amount)

    def test_a_poor_gear_is_sent_to_the_diagnosis(self, cable):
        correction = cable.say("gears_larger", "poor").verdict.correction
        assert "diagnosis" in correction.says
        assert correction.kind is None

    def test_no_on_the_last_list_keeps_the_bike(self, cable):
        cable.follow()
        cable.say("last_brakes", "no")
        assert not cable.walk.handed_over
        assert "before anybody rides" in cable.step("last_brakes").verdict.correction.says


class TestFront:
    @pytest.mark.parametrize(
        ("name", "walk", "step", "value", "what", "sign"),
        [
            ("road-double-10", "front_cable", "front_inner", 2.0, "front_low_limit", 1),
            ("road-double-10", "front_cable", "front_inner", 0.0, "front_low_limit", -1),
            ("road-double-10", "front_cable", "front_outer", 2.0, "front_high_limit", 1),
            ("road-electronic", "front_electronic", "front_inner_motor", 2.0, "front_micro_adjust", 1),
            ("road-double-10", "front_cable", "front_height", 5.0, "front_height_mm", -1),
            ("road-double-10", "front_cable", "front_angle", 3.0, "front_angle_deg", -1),
        ],
    )
    def test_the_cage_goes_toward_its_target(self, bench, name, walk, step, value, what, sign):
        correction = bench(name, walk).say(step, value).verdict.correction
        assert correction.what == what
        assert (correction.amount > 0) == (sign > 0)
