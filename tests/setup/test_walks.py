"""Which walks there are, their order, and that the log alone carries them."""

from itertools import pairwise

import pytest

from tunekit import Session, SessionError
from tunekit.bike.starters import starter, starter_names
from tunekit.session import make_entry, session_from_text, session_to_text
from tunekit.setup import begin, not_sure, setup_steps, step_for, walks_for
from tunekit.setup.rows import rows, rows_for

EVERY_WALK = [(name, walk) for name in starter_names() for walk in walks_for(starter(name))]


def before(walk, first: str, second: str) -> bool:
    ids = [step.id for step in walk.steps]
    return ids.index(first) < ids.index(second)


class TestKinds:
    def test_all_ten_kinds_exist_on_some_bike(self):
        assert {walk for _, walk in EVERY_WALK} == {
            "rear_cable",
            "rear_electronic",
            "front_cable",
            "front_electronic",
            "single_ring",
            "cassette_swap",
            "new_chain",
            "new_cable",
            "wheel_swap",
            "after_fall",
        }

    def test_a_bike_is_not_offered_what_it_lacks(self):
        assert "front_cable" not in walks_for(starter("gravel-single"))
        assert "new_cable" not in walks_for(starter("road-electronic"))
        assert "single_ring" not in walks_for(starter("road-double-10"))

    def test_asking_for_one_all_the_same_is_answered_in_words(self):
        with pytest.raises(SessionError, match=r"^walk must be rear_cable, .* or after_fall for this bike "):
            setup_steps(Session(bike=starter("gravel-single")), "front_cable")

    @pytest.mark.parametrize(("name", "walk"), EVERY_WALK)
    def test_every_walk_can_be_followed_to_its_end(self, bench, name, walk):
        mechanic = bench(name, walk)
        mechanic.follow()
        end = mechanic.walk
        assert end.done == end.total
        assert end.handed_over
        assert end.current is None

    @pytest.mark.parametrize(("name", "walk"), EVERY_WALK)
    def test_needs_come_before_what_needs_them(self, name, walk):
        ids = [row.id for row in rows_for(walk, starter(name))]
        for place, id in enumerate(ids):
            assert [need for need in rows()[id].needs if need in ids[place:]] == [], id

    @pytest.mark.parametrize(("name", "walk"), EVERY_WALK)
    def test_the_last_checks_are_five_to_nine_and_critical_ones_come_first(self, name, walk):
        steps = setup_steps(Session(bike=starter(name)), walk).steps
        checks = [step.id for step in steps if step.confirm]
        assert 5 <= len(checks) <= 9
        assert [step.id for step in steps][-len(checks) :] == checks
        assert checks[0] in ("last_low_stop", "last_front_stops", "last_chain_joined")
        assert checks[-1] == "last_ride"


class TestOrder:
    def test_rear_on_cable_follows_the_bike(self, cable):
        # Garage files: stops with a slack cable, then cable, index, gap, stops again (seen).
        walk = cable.walk
        order = [
            "wheel_seated",
            "hanger_gauge",
            "high_stop",
            "low_stop",
            "chain_length",
            "barrel_out",
            "clamp_cable",
            "barrel_middle",
            "pulley_gap",
            "low_stop_again",
            "last_brakes",
            "last_ride",
        ]
        assert all(before(walk, a, b) for a, b in pairwise(order))

    def test_electronic_sets_the_micro_adjust_before_the_stops(self, electronic):
        walk = electronic.walk
        order = ["battery", "plugs", "wires_clear", "step_middle", "low_stop_motor", "steps_left_inboard"]
        assert all(before(walk, a, b) for a, b in pairwise(order))

    def test_front_sets_height_and_angle_before_stops_and_cable(self, bench):
        # Front derailleur articles: position must be right before cable or stops (seen).
        walk = bench("touring-triple-9", "front_cable").walk
        order = [
            "front_height",
            "front_angle",
            "front_inner",
            "front_clamp_cable",
            "front_middle",
            "front_outer",
        ]
        assert all(before(walk, a, b) for a, b in pairwise(order))

    @pytest.mark.parametrize("id", ["low_stop", "pulley_gap", "high_stop", "high_stop_again"])
    def test_where_published_orders_differ_the_reason_stands_in_the_step(self, cable, id):
        assert cable.step(id).order_reason

    def test_a_suspended_bike_has_one_gap_to_set_the_one_at_sag(self, bench):
        # Mountain Bike Action, garage files: measure at 30 % sag (seen). At rest the pulley only has to clear.
        ids = [step.id for step in bench("trail-single-12", "rear_cable").walk.steps]
        assert "gap_at_sag" in ids
        assert "pulley_gap" not in ids
        rigid = [step.id for step in bench("gravel-single", "rear_cable").walk.steps]
        assert "gap_at_sag" not in rigid
        assert "pulley_gap" in rigid

    def test_the_middle_ring_only_where_there_are_three(self, bench):
        assert bench("touring-triple-9", "front_cable").walk.step("front_middle")
        assert bench("road-double-10", "front_cable").walk.step("front_middle") is None


class TestOptional:
    def test_a_barrel_that_the_bike_lacks_does_not_hold_up_the_cable_bolt(self):
        session = Session(bike=starter("road-double-10"))
        step = setup_steps(session, "front_cable").step("front_barrel_out")
        after = session.with_entry(make_entry(**not_sure(step)))
        assert "front_barrel_out" not in setup_steps(after, "front_cable").step("front_clamp_cable").waits_for


class TestLog:
    def test_a_value_in_the_log_makes_the_step_done_wherever_it_came_from(self, cable):
        cable.log("measured", what="low_limit_offset_mm", value=0.1)
        assert cable.step("low_stop").state == "done"
        assert cable.walk.current == "wheel_seated"

    def test_a_counted_chain_is_the_chain_step(self, cable):
        cable.log("fitted", what="chain", links=106)
        assert cable.step("chain_length").state == "done"

    def test_the_same_file_shows_the_same_walk(self, cable):
        cable.follow("pulley_gap")
        cable.say("pulley_gap", 4.0)
        again = session_from_text(session_to_text(cable.session))
        assert setup_steps(again, "rear_cable") == cable.walk

    def test_not_sure_moves_on_and_stays_open(self, cable):
        cable.write(not_sure(cable.step("wheel_seated")))
        assert cable.step("wheel_seated").state == "not_sure"
        assert cable.walk.current == "hanger_gauge"
        assert cable.walk.left_open == ("wheel_seated",)
        assert cable.step("hanger_gauge").waits_for == ("wheel_seated",)
        cable.say("wheel_seated", "yes")
        assert cable.walk.left_open == ()

    def test_left_open_comes_back_at_the_end(self, cable):
        cable.write(not_sure(cable.step("housing")))
        cable.follow("housing")
        assert cable.walk.current == "housing"

    def test_undo_takes_the_last_answer_back(self, cable):
        cable.say("wheel_seated", "yes")
        cable.session = cable.session.undone()
        assert cable.step("wheel_seated").state == "open"


class TestUpset:
    @pytest.mark.parametrize(
        ("event", "reopened", "kept"),
        [
            (
                {"kind": "fitted", "what": "cassette"},
                {"high_stop", "barrel_middle", "pulley_gap"},
                {"housing"},
            ),
            (
                {"kind": "told", "what": "fall"},
                {"hanger_gauge", "low_stop", "last_low_stop"},
                {"chain_length"},
            ),
            (
                {"kind": "turned", "what": "hanger"},
                {"high_stop", "barrel_middle", "hanger_gauge"},
                {"wheel_seated"},
            ),
            (
                {"kind": "turned", "what": "low_limit", "amount": 0.25},
                {"low_stop", "last_low_stop"},
                {"high_stop"},
            ),
            (
                {"kind": "turned", "what": "b_screw", "amount": 1.0},
                {"pulley_gap", "index_check"},
                {"low_stop"},
            ),
            ({"kind": "fitted", "what": "rear_cable"}, {"clamp_cable", "barrel_middle"}, {"low_stop"}),
            ({"kind": "told", "what": "wheel_swapped"}, {"wheel_seated", "high_stop"}, {"housing"}),
        ],
    )
    def test_a_later_entry_reopens_what_it_upsets_and_nothing_else(self, cable, event, reopened, kept):
        cable.follow()
        cable.write(event)
        still = {step.id for step in cable.walk.steps if step.state == "open"}
        assert reopened <= still
        assert not kept & still
        assert not cable.walk.handed_over

    def test_a_turn_of_the_barrel_by_diagnosis_leaves_the_middle_set(self, cable):
        cable.follow()
        cable.log("turned", what="rear_barrel", amount=0.25)
        assert cable.step("barrel_middle").state == "done"
        assert cable.step("index_check").state == "open"

    def test_starting_again_tells_the_log_why(self, cable):
        cable.follow()
        for fields in begin(cable.session, "rear_cable", afresh=True):
            cable.write(fields)
        assert cable.step("high_stop").state == "open"
        assert cable.walk.begun


class TestChoice:
    @pytest.mark.parametrize(
        ("entry", "walk"),
        [
            ({"kind": "told", "what": "fall"}, "after_fall"),
            ({"kind": "told", "what": "new_cassette"}, "cassette_swap"),
            ({"kind": "told", "what": "new_chain"}, "new_chain"),
            ({"kind": "told", "what": "new_cable"}, "new_cable"),
            ({"kind": "told", "what": "wheel_swapped"}, "wheel_swap"),
            ({"kind": "noted", "text": "x", "walk": "front_cable"}, "front_cable"),
            ({"kind": "noted", "text": "x", "walk": "front_electronic"}, "rear_cable"),
        ],
    )
    def test_the_log_chooses(self, entry, walk):
        session = Session(bike=starter("road-double-10")).with_entry(make_entry(**entry))
        assert setup_steps(session).name == walk

    @pytest.mark.parametrize(
        ("name", "what", "place"),
        [
            ("road-double-10", "low_limit", ("rear_cable", "low_stop")),
            ("road-electronic", "low_limit", ("rear_electronic", "low_stop_motor")),
            ("road-double-10", "b_screw", ("rear_cable", "pulley_gap")),
            ("road-double-10", "rear_barrel", ("rear_cable", "barrel_middle")),
            ("road-double-10", "front_high_limit", ("front_cable", "front_outer")),
            ("road-electronic", "connectors", ("rear_electronic", "plugs")),
            ("road-double-10", "hanger", ("rear_cable", "hanger_gauge")),
            ("gravel-single", "front_high_limit", None),
        ],
    )
    def test_diagnosis_finds_the_step_of_a_screw(self, name, what, place):
        assert step_for(Session(bike=starter(name)), what) == place
