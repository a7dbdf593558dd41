"""No walk may hurt anybody: invariants over the walks of every starter bike.

Common practice, no source, unless a test says otherwise.
"""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tunekit import Session, size_chain
from tunekit.bike import Bike
from tunekit.bike.starters import starter, starter_names
from tunekit.data import table
from tunekit.session import make_entry
from tunekit.setup import setup_steps, walks_for
from tunekit.setup.records import Step, Walk
from tunekit.setup.rows import rows

pytestmark = pytest.mark.danger
README = Path(__file__).parents[2] / "README.md"
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
                said = f"{step.command} {step.how} {step.first or ''}"
                assert step.id == "cage_springs_back" or not PUSHES.search(said), (walk, step.id, said)
                assert "lever once more" not in said


def test_no_motor_is_told_of_a_cable() -> None:
    for name, walk in WALKS:
        bike = starter(name)
        if "electronic" in walk or (bike.rear.actuation == "electronic" and not walk.startswith("front")):
            for step in steps(name, walk).steps:
                warned = f"{step.caution.hazard} {step.caution.avoidance}" if step.caution else ""
                assert "cable" not in f"{step.command} {step.how} {warned}".lower(), (walk, step.id)


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
    """Nobody writes a signal word of their own: advice, run plan and start page name a row of the one table."""
    hazards = table("words/hazards")
    assert {row["signal"] for row in hazards.values()} <= {"WARNING", "CAUTION", "NOTICE"}
    for key, row in table("words/diagnosis")["caution"].items():
        assert row["hazard"] in hazards, key
    for words in ("setup", "diagnosis", "runs", "pages"):
        said = [
            text for text in sentences(table(f"words/{words}")) if re.match(r"(WARNING|CAUTION)\b[:|]", text)
        ]
        assert said == [], words


def sentences(words: object) -> Iterator[str]:
    """Every text of a table of words."""
    if isinstance(words, dict):
        for inner in words.values():
            yield from sentences(inner)
    elif isinstance(words, str):
        yield words


README_SAYS = {"falls past the largest cog": "spokes", "cut too short": "short_chain", "Moving chain": "fingers",
               "Too much torque": "thread"}  # fmt: skip


def test_the_readme_says_each_hazard_with_its_signal_word() -> None:
    lines = [line for line in README.read_text(encoding="utf-8").splitlines() if line.startswith("- **")]
    for text, hazard in README_SAYS.items():
        (line,) = [line for line in lines if text in line]
        assert f"{table('words/hazards')[hazard]['signal']}**" in line


def test_the_words_for_the_low_stop_name_the_danger_and_not_its_opposite() -> None:
    hazard = table("words/hazards")["spokes"]["hazard"]
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


# ---- before the ride, and in the largest cog ---------------------------------------------------------------

BEFORE_RIDE = {"last_low_stop", "last_chain_joined", "last_bolts", "last_wheel", "last_brakes"}


@pytest.mark.parametrize(("name", "walk"), WALKS)
def test_the_ride_waits_for_stop_joint_bolts_wheel_and_brakes(name: str, walk: str) -> None:
    ride = steps(name, walk).step("last_ride")
    assert ride is not None
    assert set(ride.waits_for) >= BEFORE_RIDE


def in_largest(name: str, step: Step) -> bool:
    """Whether the command or the way to do it puts the chain on the largest cog, or looks at it there."""
    largest = starter(name).cogs[-1]
    words = f"{step.command} {step.how}"
    return bool(re.search(rf"(shift|pedal|turn[^.]*\bon|measure|move)[^.]*\bcog {largest}\b", words, re.I))


BY_HAND = {"low_stop", "gap_clears", "gap_clears_motor", "last_low_stop", "chain_length", "cogs_move"}
"""With a hand at the cage and the wheel still, or with no chain on the cogs: these are looks themselves."""


def test_no_chain_goes_to_the_largest_cog_before_the_low_stop_was_seen_to_hold() -> None:
    blind = [
        (name, walk, step.id)
        for name, walk in WALKS
        for step in steps(name, walk).steps
        if step.id not in BY_HAND and in_largest(name, step) and not step.first
    ]
    assert blind == []


def test_the_look_before_a_step_toward_the_spokes_goes_once_it_came_out_good() -> None:
    good = {"kind": "measured", "what": "checked_low_stop", "value": 1.0}
    for name, walk in WALKS:
        assert [step.id for step in steps(name, walk, good).steps if step.first] == []


def test_a_motor_with_open_stops_begins_with_the_air_to_the_spokes_and_not_with_its_stop() -> None:
    # The stops were opened two steps before, so that nobody can answer yes to "hardly any air between body and stop".
    for walk in ("rear_electronic", "cassette_swap", "wheel_swap", "after_fall"):
        for id in ("step_edge_inboard", "step_middle", "low_stop_motor"):
            step = steps("road-electronic", walk).step(id)
            assert step is not None
            assert step.first_what == "gap_clears"
            assert "air between cage and spokes" in (step.first or "")
            assert "stop" not in (step.first or "")


def test_air_to_the_spokes_seen_with_open_stops_is_no_proof_of_the_stop() -> None:
    seen = {"kind": "measured", "what": "gap_clears", "value": 1.0, "cog": 34}
    walk = steps("road-electronic", "rear_electronic", seen)
    firsts = {step.id: bool(step.first) for step in walk.steps}
    assert not firsts["step_edge_inboard"]
    assert firsts["steps_left_inboard"]
    assert firsts["low_stop_again"]
    check = walk.step("last_low_stop")
    assert check is not None
    assert check.state == "open"


def test_the_count_of_steps_left_names_its_cog_and_keeps_the_cranks_still() -> None:
    bike = starter("road-electronic")
    middle = bike.cogs[len(bike.cogs) // 2]
    for id in ("steps_left_inboard", "steps_left_outboard"):
        step = steps("road-electronic", "rear_electronic").step(id)
        assert step is not None
        assert f"cog {middle}" in f"{step.command} {step.how}"
        assert "cranks still" in step.how


def test_a_reset_after_a_knock_shifts_nothing() -> None:
    # The stops are open and the gap is unseen until the steps after it.
    step = steps("road-electronic", "after_fall").step("knock_reset")
    assert step is not None
    assert "shift once through" not in step.how


# ---- barred gears ------------------------------------------------------------------------------------------


def short_chain() -> tuple[Bike, set[tuple[int, int]]]:
    """A chain that tears in the largest ring and the largest cogs."""
    bike = starter("road-double-11")
    short = bike.model_copy(update={"chain": bike.chain.model_copy(update={"links": 104})})
    return short, set(size_chain(short).too_short)


def test_a_step_in_a_cog_that_one_ring_cannot_take_names_the_other_ring() -> None:
    bike, torn = short_chain()
    assert (50, 28) in torn
    assert (34, 28) not in torn
    for walk in ("rear_cable", "cassette_swap", "new_chain", "front_cable"):
        for step in setup_steps(Session(bike=bike), walk).steps:
            if step.id not in BY_HAND and re.search(r"\bcog 28\b", f"{step.command} {step.how}"):
                assert re.search(r"\bring 34\b|\(34\)", f"{step.command} {step.how}", re.I), (walk, step.id)


def test_a_cog_that_no_ring_may_use_is_shifted_to_by_no_step() -> None:
    # A derailleur for 30 with a 36 on the wheel: geometry bars every gear on that cog.
    bike = starter("road-double-11")
    big = bike.model_copy(update={"cogs": (*bike.cogs[:-1], 36)})
    assert big.cogs[-1] > big.rear.largest_cog
    for walk in walks_for(big):
        for step in setup_steps(Session(bike=big), walk).steps:
            named = re.search(
                r"(shift|pedal|listen|measure|ride)[^.]*\bcog 36\b", f"{step.command} {step.how}", re.I
            )
            assert step.id in BY_HAND or not named, (walk, step.id, step.command, step.how)


# ---- turns, slack, gap -------------------------------------------------------------------------------------


def test_a_motor_s_stop_that_opens_by_more_than_half_a_turn_opens_by_halves() -> None:
    bike = starter("road-electronic")
    own = bike.model_copy(update={"rear": bike.rear.model_copy(update={"high_stop_turns": 1.0})})
    step = setup_steps(Session(bike=own), "rear_electronic").step("high_stop_motor")
    assert step is not None
    assert "half a turn" in step.how


def test_every_turn_that_a_word_asks_for_is_within_its_bound() -> None:
    for row in rows().values():
        for what, amount in row.turns.values():
            if what in STOPS:
                opens = what == "low_limit" and amount < 0
                assert abs(amount) <= (0.25 if opens else 0.5), (row.id, what, amount)


@pytest.mark.parametrize("id", ["high_stop", "low_stop", "front_inner"])
def test_a_stop_that_wants_a_slack_cable_says_how_it_becomes_slack(id: str) -> None:
    found = [step for _, step in all_steps() if step.id == id]
    assert found
    assert all("bolt open" in step.how for step in found)


def test_after_a_fall_the_derailleur_goes_back_on_and_the_gap_is_measured_again() -> None:
    for name in starter_names():
        ids = [step.id for step in steps(name, "after_fall").steps]
        assert ids.index("derailleur_off") < ids.index("hanger_gauge") < ids.index("rear_bolt")
        assert {"pulley_gap", "gap_at_sag"} & set(ids)
        back = steps(name, "after_fall").step("rear_bolt")
        assert back is not None
        assert "hanger" in back.command.lower() or "put" in back.how.lower()


def test_one_cog_is_not_shifted_to_itself() -> None:
    bike = starter("city-8").model_copy(update={"cogs": (18,)})
    for walk in walks_for(bike):
        for step in setup_steps(Session(bike=bike), walk).steps:
            assert "from 18 to 18" not in step.command, walk
