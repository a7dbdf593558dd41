"""The wires page: frame, lengths, devices, lists, undo, and a plan that survives every wrong input."""

import pytest

from tunekit.runs import plan_from_text, plan_runs, starter_plan
from tunekit.show.runs_sheet import verdict

STEM = ("section", "stem", "head_tube")


@pytest.fixture
def wires(app):
    app.turn_to("wires")
    return app


def plan_of(app):
    return plan_from_text(app.at.session_state["wires_plan"])


def pick(app, *row):
    app.at.selectbox(key="wires_pick").set_value(row)
    app.run()


def take(app, kind, key, value):
    getattr(app.at, kind)(key=key).set_value(value)
    app.run()


def test_it_opens_without_a_session_on_a_road_frame_with_its_plan(wires):
    assert wires.title == "Wires and cables"
    assert plan_of(wires) == starter_plan("road")
    assert verdict(plan_runs(starter_plan("road"))) in wires.text


def test_a_session_on_cables_starts_with_cables(road):
    road.turn_to("wires")
    assert plan_of(road) == starter_plan("road", "cable")
    assert "2 cables to cut." in road.text


@pytest.mark.parametrize("name", ["time_trial", "gravel", "trail", "small"])
def test_another_frame_brings_its_own_plan(wires, name):
    take(wires, "button_group", "wires_frame", name)
    assert plan_of(wires) == starter_plan(name)
    assert verdict(plan_runs(starter_plan(name))) in wires.text


def test_a_corrected_length_changes_the_plan_at_once(wires):
    pick(wires, *STEM)
    take(wires, "number_input", "wires_mm_stem_head_tube", 260.0)
    section = plan_of(wires).section("stem", "head_tube")
    assert (section.mm, section.measured) == (260, True)
    assert "1 × Wire 1050 mm" in wires.text


def test_a_negative_length_is_one_sentence_and_the_plan_stays(wires):
    pick(wires, *STEM)
    take(wires, "number_input", "wires_mm_stem_head_tube", -4.0)
    assert "must be at least 0" in wires.at.error[0].value
    assert plan_of(wires) == starter_plan("road")
    assert wires.at.number_input(key="wires_mm_stem_head_tube").value == 110


def test_a_device_added_by_tapping_takes_a_larger_junction_and_undo_takes_it_back(wires):
    pick(wires, "point", "bars")
    wires.tap("wires_add_button")
    assert [d.name for d in plan_of(wires).devices][-1] == "button"
    assert "1 × Junction, 5 ports" in wires.text
    wires.tap("wires_undo")
    assert plan_of(wires) == starter_plan("road")
    assert "1 × Junction, 5 ports" not in wires.text


def test_two_batteries_are_one_sentence_and_the_plan_stays(wires):
    pick(wires, "point", "stem")
    wires.tap("wires_add_battery")
    assert "devices must hold one battery (got 2: battery, battery 2)" in wires.at.error[0].value
    wires.tap("wires_remove_battery 2")
    assert plan_of(wires) == starter_plan("road")
    assert not wires.at.error


def test_a_frame_without_room_for_a_junction_names_the_nearest_change(wires):
    pick(wires, "point", "stem")
    take(wires, "button_group", "wires_most_stem", 0)
    assert "a second junction at the stem" in wires.at.error[0].value
    take(wires, "button_group", "wires_most_stem", 1)
    assert not wires.at.error


def test_the_users_own_list_of_lengths_is_used(wires):
    take(wires, "text_input", "wires_lengths", "1000, 500, 400")
    assert "1 × Wire 1000 mm" in wires.text
    assert "put your supplier's in its place" not in wires.text
    take(wires, "text_input", "wires_lengths", "long ones")
    assert "stock.wires_mm must be numbers" in wires.at.error[0].value
    assert plan_of(wires).stock.wires_mm == (1000, 500, 400)


def test_what_answers_names_what_is_broken(wires):
    take(wires, "button_group", "wires_answering", ["front derailleur", "rear derailleur"])
    assert "junction J2 at the stem: any of these explains" in wires.text


def test_undo_of_a_frame_puts_the_choice_back_too(wires):
    take(wires, "button_group", "wires_frame", "gravel")
    wires.tap("wires_undo")
    assert wires.at.button_group(key="wires_frame").value == "road"
    assert plan_of(wires) == starter_plan("road")


def test_the_plan_outlives_a_turn_to_another_page(wires):
    pick(wires, *STEM)
    take(wires, "number_input", "wires_mm_stem_head_tube", 140.0)
    before = plan_of(wires)
    wires.turn_to("start")
    wires.turn_to("wires")
    assert plan_of(wires) == before
