"""A text check over every step of every walk on every starter bike: ASD-STE100's and ANSI Z535.6's rules."""

import re

import pytest

from tunekit import Session
from tunekit.bike.starters import starter, starter_names
from tunekit.data import table
from tunekit.setup import setup_steps, walks_for
from tunekit.setup.rows import rows

_DISTINCT = {
    (step.id, step.command, step.why, step.how): pytest.param(step, id=f"{name}-{walk}-{step.id}")
    for name in starter_names()
    for walk in walks_for(starter(name))
    for step in setup_steps(Session(bike=starter(name)), walk).steps
}
STEPS = list(_DISTINCT.values())
UNITS = r"\b(mm|turns?|eighth turns|steps?|degrees?|links|%|torque|middle)( |\.|,|\)|$)"
DIRECTION = r"clockwise|anticlockwise|inboard|outboard|up|down|above|under|toward|in the middle|clears"
VIEW = r"seen from (behind|above|the side|the gear side|its head|their heads|the housing end)"
TURNS = r"^(Turn|Unscrew|Screw|Tighten|Move|Slide the cage|Line up|Bend)\b"
PASSIVE = r"\b(is|are|be|been|was|were) (\w+ed|set|put|cut|held|done)\b"
SECOND_COMMAND = r"(, then | and (?:look|let|sight|knock|count|measure|set|turn|push)\b|; |\. [A-Z])"
VERBS = {
    "Seat", "Look", "Measure", "Push", "Wag", "Watch", "Tighten", "Turn", "Cut", "Trace", "Flex", "Thread",
    "Unscrew", "Pluck", "Screw", "Move", "Listen", "Shift", "Ride", "Charge", "Check", "Count", "Show", "Run",
    "Slide", "Rock", "Line", "Swing", "Pedal", "Knock", "Release", "Squeeze",
}  # fmt: skip


@pytest.mark.parametrize("step", STEPS)
def test_a_command_is_one_command_of_twenty_words_or_fewer(step):
    words = step.command.split()
    assert len(words) <= 20, step.command
    assert words[0] in VERBS, step.command
    assert not re.search(SECOND_COMMAND, step.command), step.command
    assert step.command.endswith(".")
    assert "{" not in step.command + step.why + step.how + step.title + step.direction


@pytest.mark.parametrize("step", STEPS)
def test_what_turns_names_its_unit_direction_and_view(step):
    if not re.match(TURNS, step.command):
        return
    assert re.search(VIEW, step.command), step.command
    assert re.search(UNITS, step.command), step.command
    assert re.search(DIRECTION, step.command + step.direction), step.command


@pytest.mark.parametrize("step", STEPS)
def test_active_voice(step):
    assert not re.search(PASSIVE, step.command), step.command


@pytest.mark.parametrize("step", STEPS)
def test_a_number_is_asked_for_with_its_unit_and_a_warning_is_whole(step):
    if step.asks.form in ("number", "rim"):
        assert step.asks.unit
    if step.caution:
        assert step.caution.signal in ("WARNING", "CAUTION", "NOTICE")
        assert all((step.caution.hazard, step.caution.consequence, step.caution.avoidance))
    assert all((step.why, step.how, step.asks.label, step.source, step.status))


def test_what_can_hurt_carries_a_warning():
    # Spinning wheel, spokes, chain joint, brakes, battery, motor, fall: ANSI Z535.6 wants the word WARNING.
    needs = {
        "low_stop": "spokes", "low_stop_again": "spokes", "last_low_stop": "spokes",
        "chain_joined": "chain_parts", "chain_length": "short_chain", "index_check": "fingers",
        "pulley_gap": "fingers", "battery": "battery", "last_ride": "ride",
        "step_edge_outboard": "motor", "frame_sound": "frame", "last_brakes": "brakes",
    }  # fmt: skip
    for id, name in needs.items():
        assert rows()[id].caution == name
        assert table("words/hazards")[name]["signal"] == "WARNING"


def test_a_notice_is_for_things_and_never_for_people():
    for name, caution in table("words/hazards").items():
        text = f"{caution['hazard']} {caution['consequence']}"
        hurts = re.search(r"finger|rider|hand|eye|fall|burn|wheel can|while riding", text)
        assert bool(hurts) == (caution["signal"] != "NOTICE"), name


CORRECTIONS = [
    ("rear_cable", "road-double-10", "high_stop", 2.4),
    ("rear_cable", "road-double-10", "high_stop", -1.0),
    ("rear_cable", "road-double-10", "low_stop", 2.0),
    ("rear_cable", "road-double-10", "low_stop", -2.0),
    ("rear_cable", "road-double-10", "pulley_gap", 3.0),
    ("rear_cable", "road-double-10", "pulley_gap", 9.0),
    ("rear_electronic", "road-electronic", "low_stop_motor", 1.0),
    ("front_cable", "road-double-10", "front_inner", 3.0),
    ("front_cable", "road-double-10", "front_outer", 0.0),
    ("front_cable", "road-double-10", "front_angle", 4.0),
    ("front_cable", "road-double-10", "front_height", 5.0),
    ("front_electronic", "road-electronic", "front_inner_motor", 2.0),
]


@pytest.mark.parametrize(("walk", "name", "step", "value"), CORRECTIONS)
def test_a_correction_is_a_command_too(bench, walk, name, step, value):
    says = bench(name, walk).say(step, value).verdict.correction.says
    assert len(says.split()) <= 20, says
    assert re.search(r"turns?|mm|steps?|°", says), says
    assert re.search(r"seen from|measured from", says), says
    assert re.search(DIRECTION + "|away|drops|rises|Lower|Raise", says), says


def test_every_step_has_words_and_every_word_a_step():
    assert set(table("setup")["steps"]) == set(table("words/setup")["steps"])
    assert set(table("setup")["walks"]) == set(table("words/setup")["walks"])
    used = {hazard for row in rows().values() for hazard in (row.caution, row.caution_motor) if hazard}
    assert used <= set(table("words/hazards"))


def test_every_value_that_can_be_out_of_range_has_its_question():
    for row in rows().values():
        if row.form in ("number", "rim") and row.what in table("plausible").get(row.kind, {}):
            assert "?" in table("words/setup")["steps"][row.id].get("question", ""), row.id
