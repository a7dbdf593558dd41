"""What the job leaves on paper, the second best without a tool, growth, and a motor's first minutes."""

from datetime import date

import pytest

from tunekit import Session
from tunekit.bike.starters import starter, starter_names
from tunekit.data import table
from tunekit.setup import rechecks, setup_steps, torques, walks_for

WALKS = [(name, walk) for name in starter_names() for walk in walks_for(starter(name))]


class TestTorques:
    @pytest.mark.parametrize(("name", "walk"), WALKS)
    def test_every_bolt_that_a_step_tightens_is_on_the_list(self, name, walk):
        session = Session(bike=starter(name))
        found = setup_steps(session, walk)
        tightened = {step.id for step in found.steps if step.beside}
        listed = {table("torque")["bolts"][row.bolt].get("step") for row in torques(session, found)}
        assert tightened <= listed

    def test_a_bolt_is_ticked_by_its_step_with_the_part_s_own_figure(self, cable):
        cable.say("rear_bolt", 8.0)
        row = next(row for row in torques(cable.session, cable.walk) if row.bolt == "rear_derailleur")
        assert (row.typed, row.ticked) == (8.0, True)

    def test_a_bolt_without_a_step_is_ticked_by_the_last_check(self, bench):
        mechanic = bench("road-double-10", "after_fall")
        row = {row.bolt: row for row in torques(mechanic.session, mechanic.walk)}["hanger"]
        assert not row.ticked
        mechanic.follow()
        row = {row.bolt: row for row in torques(mechanic.session, mechanic.walk)}["hanger"]
        assert row.ticked

    @pytest.mark.parametrize(
        ("bolt", "printed"),
        [
            ("rear_derailleur", (8, 10, 7.9, 9.6, 6, 8, 5)),
            ("rear_anchor", (4, 5, 4.0, 5.9, 5, 7)),
            ("front_clamp", (2.8, 4, 4.9, 6.8, 5, 7)),
            ("lockring", (40, 30, 50, 45, 29, 49)),
            ("ring_bolts", (8, 9, 12, 14)),
            ("through_axle", (12, 18)),
            ("quick_release", (5, 7.5, 5, 8)),
        ],
    )
    def test_every_printed_figure_lies_in_the_range(self, bolt, printed):
        # Torque tables of two repair articles, a data sheet, an owner's manual, a club page (all seen).
        row = table("torque")["bolts"][bolt]
        assert row["low"] == min(printed)
        assert row["high"] == max(printed)


class TestRechecks:
    def test_a_new_cable_comes_back_after_one_to_six_weeks(self, bench):
        # A shop's custom of 1 to 2 weeks, another's six-week check (seen).
        mechanic = bench("road-double-10", "new_cable")
        mechanic.log("told", what="new_cable", at="2026-11-01T10:00:00Z")
        mechanic.log("fitted", what="rear_cable", at="2026-11-02T10:00:00Z")
        found = {row.name: row for row in rechecks(mechanic.session, mechanic.walk)}
        assert found["cable"].dates == (date(2026, 11, 9), date(2026, 12, 14))
        assert found["bolts_first"].km == (100, 300)
        assert "charge" not in found

    def test_a_motor_is_charged_and_has_no_cable(self, electronic):
        electronic.follow()
        names = [row.name for row in rechecks(electronic.session, electronic.walk)]
        assert "charge" in names
        assert "cable" not in names

    def test_without_work_only_the_wear_is_named(self, cable):
        assert [row.name for row in rechecks(cable.session, cable.walk)] == ["wear"]


class TestWithout:
    @pytest.mark.parametrize(("name", "walk"), WALKS)
    def test_gauge_and_torque_wrench_have_a_second_best_that_says_what_stays_unsure(self, name, walk):
        for step in setup_steps(Session(bike=starter(name)), walk).steps:
            if {"hanger gauge", "torque wrench"} & set(step.tools) and not step.confirm:
                assert step.without is not None, step.id
                assert step.without.do != step.without.unsure


class TestGrowth:
    def test_only_a_frame_that_moves_is_asked_and_before_the_chain_is_cut(self, bench):
        ids = [step.id for step in bench("trail-single-12", "new_chain").walk.steps]
        assert ids.index("chain_growth") < ids.index("chain_length")
        assert bench("gravel-single", "new_chain").walk.step("chain_growth") is None

    @pytest.mark.parametrize(("read", "good"), [(12.0, True), (14.0, True), (20.0, False)])
    def test_a_reading_unlike_the_card_is_told_to_be_typed(self, bench, read, good):
        step = bench("trail-single-12", "rear_cable").say("chain_growth", read)
        assert (step.state == "done") is good
        assert good or "20 mm" in step.verdict.correction.says


class TestCommissioning:
    def test_a_motor_s_first_minutes_come_before_anything_is_set(self, electronic):
        ids = [step.id for step in electronic.walk.steps]
        order = ["battery", "plugs", "branches_tried", "versions_noted", "buttons_tried", "stops_open",
                 "adjust_entered", "step_edge_outboard", "adjust_left", "low_stop_motor", "pulley_gap"]  # fmt: skip
        places = [ids.index(id) for id in order]
        assert places == sorted(places)

    def test_a_button_is_tried_no_further_than_the_next_cog(self, electronic):
        # The stops stand as they came: the largest cog waits.
        assert "neighbours" in electronic.step("buttons_tried").how

    def test_a_wired_bike_is_paired_with_nothing(self, electronic):
        assert electronic.walk.step("parts_paired") is None

    def test_a_wireless_bike_is_paired_and_has_no_branches(self):
        bike = starter("road-electronic").model_copy(update={"control": "wireless"})
        ids = [step.id for step in setup_steps(Session(bike=bike), "rear_electronic").steps]
        assert "parts_paired" in ids
        assert "branches_tried" not in ids
