"""The picture of every step: whole, worded, and turning the way the correction says."""

from xml.etree import ElementTree

import pytest

from tunekit import Session
from tunekit.bike.starters import starter, starter_names
from tunekit.diagnosis.advice import Move
from tunekit.session import make_entry
from tunekit.session.vocabulary import WHAT_BY_KIND
from tunekit.setup import setup_steps, walks_for
from tunekit.show.figures_setup import DRAWINGS, MOVES, move_picture, step_picture
from tunekit.show.svg import ANTICLOCKWISE, CLOCKWISE

SVG = "{http://www.w3.org/2000/svg}"


def words(drawing: str) -> list[str]:
    return [text.text or "" for text in ElementTree.fromstring(drawing).iter(f"{SVG}text")]


@pytest.mark.parametrize("name", starter_names())
def test_every_step_has_a_picture_that_is_whole_and_worded(name):
    bike, shown = starter(name), set()
    for walk in walks_for(bike):
        for step in setup_steps(Session(bike=bike), walk).steps:
            picture = step_picture(step, bike)
            shown.add(step.picture)
            assert words(picture.svg), step.id
            assert picture.alt.endswith((".", "links")), step.id
            assert "{" not in picture.alt
    assert shown <= set(DRAWINGS)


@pytest.mark.parametrize(
    ("walk", "step", "entry", "rotation"),
    [
        # Right-hand threads: screwing in is clockwise seen from the head; a barrel unscrews anticlockwise.
        ("rear_cable", "high_stop", {"what": "high_limit_offset_mm", "value": 2.4}, CLOCKWISE),
        ("rear_cable", "high_stop", {"what": "high_limit_offset_mm", "value": -2.0}, ANTICLOCKWISE),
        ("rear_cable", "low_stop", {"what": "low_limit_offset_mm", "value": 2.0}, CLOCKWISE),
        ("rear_cable", "pulley_gap", {"what": "pulley_gap_mm", "cog": 25, "value": 9.0}, ANTICLOCKWISE),
        ("front_cable", "front_inner", {"what": "front_inner_gap_mm", "value": 3.0}, CLOCKWISE),
    ],
)
def test_the_picture_turns_as_the_correction_says(walk, step, entry, rotation):
    bike = starter("road-double-10")
    session = Session(bike=bike).with_entry(make_entry("measured", **entry))
    found = setup_steps(session, walk).step(step)
    picture = step_picture(found, bike)
    drawn = " ".join(words(picture.svg))
    assert rotation in drawn.replace(",", " ").split()
    assert f"turns {rotation}" in picture.alt


def test_the_middle_of_the_window_turns_back_from_the_second_edge():
    bike = starter("road-double-10")
    session = Session(bike=bike)
    for what, value in (("quiet_edge_outboard", -0.25), ("quiet_edge_inboard", 0.5)):
        session = session.with_entry(make_entry("measured", what=what, cog=17, value=value))
    step = setup_steps(session, "rear_cable").step("barrel_middle")
    assert CLOCKWISE in words(step_picture(step, bike).svg)


def test_the_hangers_readings_stand_at_their_place_on_the_rim():
    bike = starter("road-double-10")
    rim = make_entry("measured", what="hanger_rim_mm", value=[40, 41, 42, 43])
    step = setup_steps(Session(bike=bike).with_entry(rim), "rear_cable").step("hanger_gauge")
    assert {"12: 40 mm", "3: 41 mm", "6: 42 mm", "9: 43 mm"} <= set(words(step_picture(step, bike).svg))


@pytest.mark.parametrize(
    ("what", "amount", "rotation", "amount_said"),
    [
        ("rear_barrel", 0.25, ANTICLOCKWISE, "a quarter turn"),
        ("rear_barrel", -0.5, CLOCKWISE, "a half turn"),
        ("high_limit", 0.25, CLOCKWISE, "a quarter turn"),
        ("low_limit", -0.25, ANTICLOCKWISE, "a quarter turn"),
    ],
)
def test_the_diagnosis_s_turn_is_drawn_with_its_way_and_amount(what, amount, rotation, amount_said):
    """Right-hand threads, as in the walk."""
    move = Move(kind="turned", what=what, amount=amount, minutes=1.0, why="")
    picture = move_picture(move, starter("road-double-11"))
    assert {rotation, amount_said} <= set(words(picture.svg))
    assert picture.alt.endswith(f"turns {rotation}.")


def test_every_move_with_a_picture_is_a_word_of_the_log_and_the_others_have_none():
    bike = starter("road-double-11")
    for name, drawing in MOVES.items():
        kind, what = name.split(".")
        assert what in WHAT_BY_KIND[kind]
        picture = move_picture(Move(kind=kind, what=what, amount=1.0, minutes=1.0, why=""), bike)
        assert words(picture.svg), drawing
        assert "{" not in picture.alt
    assert move_picture(Move(kind="fitted", what="freehub", minutes=1.0, why=""), bike) is None
