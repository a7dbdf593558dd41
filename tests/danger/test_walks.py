"""No walk may hurt anybody: invariants over the walks of every starter bike.

Common practice, no source, unless a test says otherwise.
"""

import re
from collections.abc import Iterator

import pytest

from tunekit import Session, size_chain
from tunekit.bike.starters import starter, starter_names
from tunekit.data import phrase, table
from tunekit.session import make_entry
from tunekit.setup import setup_steps, walks_for
from tunekit.setup.records import Step, Walk

pytestmark = pytest.mark.danger
WALKS = [(name, walk) for name in starter_names() for walk in walks_for(starter(name))]
INBOARD = {"barrel_edge_inboard", "barrel_middle", "barrel_out", "step_edge_inboard", "step_middle",
           "steps_left_inboard", "low_stop_motor"}  # fmt: skip
PUSHES = re.compile(r"\b(push|swing|move|wag)\b[^.]*\b(derailleur|cage)\b[^.]*\bby hand", re.I)
STOPS = {"low_limit", "high_limit", "front_low_limit", "front_high_limit"}


def steps(name: str, walk: str, *entries: dict[str, object]) -> Walk:
    log = tuple(make_entry(**entry) for entry in entries)  # type: ignore[arg-type]
    return setup_steps(Session(bike=starter(name), log=log), walk)


def all_steps() -> Iterator[tuple[str, Step]]:
    for name, walk in WALKS:
        yield from ((f"{name} {walk} {step.id}", step) for step in steps(name, walk).steps)


def test_no_step_moves_the_pulley_inboard_before_the_low_stop_was_seen_to_hold() -> None:
    assert [at for at, step in all_steps() if step.id in INBOARD and not step.first] == []


def test_a_look_that_found_the_stop_bad_does_not_count() -> None:
    bad = {"kind": "measured", "what": "low_limit_offset_mm", "value": 3.0}
    good = {"kind": "measured", "what": "low_limit_offset_mm", "value": 0.1}
    moved = {"kind": "turned", "what": "low_limit", "amount": -0.25}
    for log, first in (([bad], True), ([good], False), ([good, moved], True)):
        step = steps("road-double-11", "rear_cable", *log).step("barrel_middle")
        assert step is not None
        assert bool(step.first) is first


def test_every_step_toward_the_spokes_carries_the_warning() -> None:
    mute = [
        at
        for at, s in all_steps()
        if s.id in INBOARD - {"barrel_out"} and (not s.caution or s.caution.signal != "WARNING")
    ]
    assert mute == []


def test_nobody_pushes_a_motor() -> None:
    motors = [name for name in starter_names() if starter(name).rear.actuation == "electronic"]
    assert motors
    for name, walk in WALKS:
        if name in motors:
            for step in steps(name, walk).steps:
                said = f"{step.command} {step.how}"
                assert step.id in ("cage_wags", "cage_springs_back") or not PUSHES.search(said), (
                    walk,
                    step.id,
                    said,
                )
                assert "lever once more" not in said


def test_a_ride_comes_after_every_other_check() -> None:
    for name, walk in WALKS:
        ids = [step.id for step in steps(name, walk).steps]
        rides = [id for id in ids if "under load" in (setup_command(name, walk, id))]
        assert rides == ["last_ride"]
        assert ids[-1] == "last_ride"


def setup_command(name: str, walk: str, id: str) -> str:
    step = steps(name, walk).step(id)
    return step.command.lower() if step else ""


def test_a_sweep_names_the_gears_that_the_chain_cannot_take() -> None:
    bike = starter("road-double-11")
    short = bike.model_copy(update={"chain": bike.chain.model_copy(update={"links": 100})})
    torn = size_chain(short).too_short
    assert torn
    for walk in ("rear_cable", "front_cable"):
        for step in setup_steps(Session(bike=short), walk).steps:
            if step.id in (
                "gears_larger",
                "gears_smaller",
                "front_to_larger",
                "front_to_smaller",
                "last_ride",
            ):
                assert all(f"{ring} × {cog}" in step.how for ring, cog in torn), step.id


@pytest.mark.parametrize("value", [-5.0, -2.0, 2.0, 5.0])
def test_a_stop_is_turned_a_little_and_to_a_mark(value: float) -> None:
    for name, walk in WALKS:
        for what in (
            "low_limit_offset_mm",
            "high_limit_offset_mm",
            "front_inner_gap_mm",
            "front_outer_gap_mm",
        ):
            for step in steps(name, walk, {"kind": "measured", "what": what, "value": value}).steps:
                todo = step.verdict.correction if step.verdict else None
                if todo is not None and todo.what in STOPS and todo.amount is not None:
                    opens = todo.what == "low_limit" and todo.amount < 0
                    assert abs(todo.amount) <= (0.25 if opens else 0.5), (name, walk, step.id)
                    assert todo.until is not None


def test_one_hazard_has_one_signal_word_everywhere() -> None:
    walk = {name: row["signal"] for name, row in table("words/setup")["cautions"].items()}
    advice = {
        key: phrase("diagnosis", f"caution.{key}").split(":")[0]
        for key in table("words/diagnosis")["caution"]
    }
    same = {"fingers": "moving", "spokes": "inboard", "battery": "battery", "hanger": "hanger", "tube": "clamp",
            "wheel": "axle", "chain_parts": "joint", "brakes": "oil"}  # fmt: skip
    assert {a: walk[a] for a in same} == {a: advice[b] for a, b in same.items()}


def test_the_words_for_the_low_stop_name_the_danger_and_not_its_opposite() -> None:
    hazard = table("words/setup")["cautions"]["spokes"]["hazard"]
    assert "too far out" in hazard
    assert "too far in " not in hazard


@pytest.mark.parametrize(
    ("name", "walk"), [(n, w) for n, w in WALKS if w in ("rear_cable", "new_cable", "front_cable")]
)
def test_every_cable_walk_cuts_and_caps_the_wire(name: str, walk: str) -> None:
    assert any(step.id.endswith("end_capped") for step in steps(name, walk).steps)


def test_what_a_motor_s_leaflet_says_is_the_target() -> None:
    bike = starter("road-electronic")
    for typed, good in ((None, True), (1.0, True), (0.25, False)):
        own = bike.model_copy(update={"rear": bike.rear.model_copy(update={"high_stop_turns": typed})})
        log = (make_entry("measured", what="high_stop_backoff_turns", value=1.0),)
        step = setup_steps(Session(bike=own, log=log), "rear_electronic").step("high_stop_motor")
        assert step is not None
        assert (step.state == "done") is good
