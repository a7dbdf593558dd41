"""A walk in blocks: skipped or taken as done, minutes to go; what can throw the rider is never taken unlooked."""

import pytest

from tunekit import Session
from tunekit.bike.starters import starter, starter_names
from tunekit.data import table
from tunekit.session import make_entry, session_from_text, session_to_text
from tunekit.setup import setup_steps, skip, walks_for
from tunekit.setup.rows import rows

WALKS = [(name, walk) for name in starter_names() for walk in walks_for(starter(name))]
SAFETY = {
    "wheel_seated",
    "frame_sound",
    "chain_length",
    "chain_joined",
    "low_stop",
    "low_stop_motor",
    "low_stop_again",
}
"""What can throw the rider (common practice, no source)."""


def test_every_step_belongs_to_one_block():
    named = [step for steps in table("setup")["blocks"].values() for step in steps]
    assert sorted(named) == sorted(rows())


def taken(bench, block: str):
    for fields in skip(bench.walk, block, taken=True):
        bench.write(fields)
    return bench.walk


@pytest.mark.parametrize(("name", "walk"), WALKS)
def test_taking_all_blocks_as_done_leaves_safety_open_and_the_sheet_unfinished(bench, name, walk):
    mechanic = bench(name, walk)
    for block in mechanic.walk.blocks:
        end = taken(mechanic, block.name)
    states = {step.id: step.state for step in end.steps}
    assert {state for id, state in states.items() if id in SAFETY} <= {"not_sure"}
    assert {step.state for step in end.steps if step.confirm} == {"open"}
    assert "taken" in states.values()
    assert not end.handed_over


def test_a_file_cannot_take_a_safety_step_as_done(cable):
    cable.log("noted", text="x", step="low_stop", taken=True)
    cable.log("noted", text="x", step="last_low_stop", taken=True)
    assert cable.step("low_stop").state == "not_sure"
    assert cable.step("last_low_stop").state == "not_sure"


def test_a_block_that_is_skipped_comes_back_at_the_end(cable):
    for fields in skip(cable.walk, "straight"):
        cable.write(fields)
    walk = cable.walk
    assert walk.step(walk.current).block != "straight"
    assert set(walk.left_open) == set(walk.blocks[0].steps)


def test_a_taken_step_no_longer_holds_up_what_needs_it(cable):
    taken(cable, "straight")
    assert "hanger_gauge" not in cable.step("high_stop").waits_for


def test_a_look_counts_again_after_a_step_was_taken(cable):
    taken(cable, "straight")
    cable.log("measured", what="hanger_rim_mm", value=(40.0, 40.0, 40.0, 40.0))
    assert cable.step("hanger_gauge").state == "done"


def test_taken_survives_the_file(cable):
    taken(cable, "straight")
    again = session_from_text(session_to_text(cable.session))
    assert setup_steps(again, "rear_cable") == cable.walk


def test_minutes_fall_to_nothing_as_the_walk_is_done(cable):
    before = cable.walk.minutes
    cable.say("wheel_seated", "yes")
    assert 0 < before - cable.walk.minutes < 5
    cable.follow()
    assert cable.walk.minutes == 0


def test_a_whole_rear_walk_takes_as_long_as_the_trade_says():
    # A beginner's first full set-up takes 90 min, a touring bike's full service 72 (facts-conversion 9, seen).
    for name in starter_names():
        for walk in ("rear_cable", "rear_electronic"):
            if walk in walks_for(starter(name)):
                assert 30 <= setup_steps(Session(bike=starter(name)), walk).minutes <= 90, name


def test_a_note_without_a_step_takes_nothing():
    session = Session(bike=starter("road-double-10"), log=(make_entry("noted", text="x", taken=True),))
    assert all(step.state == "open" for step in setup_steps(session, "rear_cable").steps)


class TestAnswers:
    def test_an_answer_names_what_is_seen_and_the_good_one_stands_first(self):
        for name, walk in WALKS:
            for step in setup_steps(Session(bike=starter(name)), walk).steps:
                if step.asks.form == "yes_no" and not step.confirm:
                    (good, seen), (_, worse) = step.asks.seen
                    assert good == ("yes" if rows()[step.id].good == 1 else "no"), step.id
                    assert seen != worse
                    assert not {seen.lower(), worse.lower()} & {"yes", "no"}

    def test_a_hazard_is_told_whole_where_it_is_new_and_once_only(self):
        for name, walk in WALKS:
            steps = [s for s in setup_steps(Session(bike=starter(name)), walk).steps if s.caution]
            new = [step.caution for step in steps if step.caution_new]
            assert sorted(c.hazard for c in new) == sorted({step.caution.hazard for step in steps})
