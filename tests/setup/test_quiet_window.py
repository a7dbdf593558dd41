"""The quiet window: middle of the two edges (blog "Advanced rear derailleur fine tuning", 2012; seen)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tunekit import Session
from tunekit.bike.starters import starter
from tunekit.setup.replay import Search
from tunekit.setup.rows import rows
from tunekit.setup.window import quiet_window

ROW = rows()["barrel_middle"]
BIKE = starter("road-double-10")


def window(outboard: float, inboard: float):
    return quiet_window(ROW, Search(outboard=outboard, inboard=inboard), BIKE)


class TestMiddle:
    def test_it_is_half_way(self):
        assert window(-0.5, 0.75).middle == 0.125

    @given(st.integers(-16, 16), st.integers(1, 16))
    def test_it_is_never_further_than_a_sixteenth_from_half_way(self, start, width):
        found = window(start / 8, (start + width) / 8)
        assert abs(found.middle - (found.outboard + found.inboard) / 2) <= 1 / 16 + 1e-9

    @given(st.floats(-1, 1), st.floats(0.3, 1))
    def test_how_sure_it_says_it_is_holds_for_any_true_edges(self, low, width):
        # Simulated search, independent of the formula: eighth turns from the start until the first rub.
        high = low + width
        outboard = next(-k / 8 for k in range(-40, 80) if -k / 8 <= low)
        inboard = next(k / 8 for k in range(-40, 80) if k / 8 >= high)
        found = window(outboard, inboard)
        true_middle, exact = (low + high) / 2, (outboard + inboard) / 2
        assert abs(exact - true_middle) <= found.sure + 1e-9

    @pytest.mark.parametrize(("outboard", "inboard"), [(0.5, 0.25), (0.25, 0.25)])
    def test_edges_the_wrong_way_round_give_none(self, outboard, inboard):
        assert window(outboard, inboard) is None


class TestWalk:
    def test_the_command_counts_from_the_second_edge_and_the_log_from_the_start(self, cable):
        cable.say("barrel_edge_outboard", 0.5)
        cable.say("barrel_edge_inboard", 0.75)
        step = cable.step("barrel_middle")
        assert step.target.value == 0.125
        # From +0.75 to +0.125: five eighths in.
        assert step.move.amount == -0.625
        assert "five-eighths" in step.command
        assert "clockwise" in step.command
        after = cable.say("barrel_middle", 0.125)
        assert after.state == "done"
        assert cable.session.log[-1].amount == 0.125
        assert "Sure to about 0.06 turn" in after.verdict.says

    def test_standing_elsewhere_is_corrected_by_the_rest(self, cable):
        cable.say("barrel_edge_outboard", 0.5)
        cable.say("barrel_edge_inboard", 0.5)
        after = cable.say("barrel_middle", 0.5)
        assert after.verdict.name == "adjust"
        assert after.verdict.correction.amount == -0.5
        cable.write(after.verdict.correction.fields())
        assert cable.step("barrel_middle").state == "done"

    def test_crossed_edges_are_asked_for_again(self, cable):
        cable.say("barrel_edge_outboard", -0.5)
        after = cable.say("barrel_edge_inboard", 0.25)
        assert after.verdict.name == "redo"
        assert "Find both edges again" in after.verdict.says

    def test_a_window_wider_than_the_cogs_stand_apart_is_doubted(self, cable):
        # 3.95 mm apart; 1.36 mm a turn (0.8 x 1.7, calc): 3 turns are 4.1 mm.
        cable.say("barrel_edge_outboard", 1.5)
        after = cable.say("barrel_edge_inboard", 1.5)
        assert after.verdict.name == "redo"
        assert "3.95" in after.verdict.says

    def test_an_edge_after_the_middle_begins_a_new_search(self, cable):
        cable.follow("index_check")
        cable.say("barrel_edge_outboard", 0.25)
        assert cable.step("barrel_edge_inboard").value is None
        assert cable.step("barrel_middle").state == "open"

    def test_steps_in_place_of_turns(self, electronic):
        electronic.say("step_edge_outboard", 3.0)
        electronic.say("step_edge_inboard", 5.0)
        step = electronic.step("step_middle")
        assert (step.target.value, step.move.amount) == (1.0, -4.0)
        assert "4 steps outboard" in step.command
        # Half of the window of 8 steps must be left either way.
        assert electronic.step("steps_left_inboard").target.low == 4.0

    def test_without_both_edges_there_is_no_middle(self):
        assert quiet_window(ROW, Search(outboard=-0.5), Session(bike=BIKE).bike) is None
