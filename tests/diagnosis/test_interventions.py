"""What work does to the belief: a repair ends its cause, work that fails twice is not repeated for ever, and no advice
sends the chain toward the spokes unless the low stop was looked at.
"""

import numpy as np
import pytest

from tunekit.bike.starters import starter, starter_names
from tunekit.diagnosis import Advice, advise
from tunekit.diagnosis.virtual import VirtualBike
from tunekit.session import LogEntry, Session, make_entry

BIKE = starter("road-double-11")
RING, COGS = BIKE.rings[-1], BIKE.cogs


def chance(found: Advice, name: str) -> float:
    return next((cause.probability for cause in found.causes if cause.name == name), 0.0)


def everywhere(moment: str, what: str) -> LogEntry:
    return make_entry("heard", moment=moment, what=what)


STIFF = (
    everywhere("backpedalling", "skip"),
    make_entry("heard", cog=COGS[0], moment="pedalling", what="tick", per="chain"),
    make_entry("measured", what="stiff_link", value=1),
)
DRY = (everywhere("to_smaller_cog", "slow"), make_entry("measured", what="cable_drag", value=1))


@pytest.mark.parametrize(
    ("log", "cause", "part"),
    [
        (STIFF, "stiff_link", "stiff_link"),
        (DRY, "cable_drag", "rear_cable"),
        (
            (everywhere("pedalling_hard", "skip"), make_entry("measured", what="chain_wear_pct", value=1.1)),
            "chain_worn",
            "chain",
        ),
    ],
)
def test_the_right_part_ends_the_cause(log: tuple[LogEntry, ...], cause: str, part: str) -> None:
    before = chance(advise(Session(bike=BIKE, log=log)), cause)
    mended = (
        *log,
        make_entry("fitted", what=part),
        everywhere("pedalling", "clean"),
        everywhere("to_smaller_cog", "clean"),
    )
    after = chance(advise(Session(bike=BIKE, log=mended)), cause)
    assert before > 0.5
    assert after < 0.1


def test_a_turn_moves_the_offset_that_is_told() -> None:
    slow = make_entry("heard", ring=RING, cog=COGS[5], moment="to_larger_cog", what="slow")
    log = (
        slow,
        everywhere("to_larger_cog", "slow"),
        make_entry("turned", what="rear_barrel", amount=0.5),
        slow,
    )
    before, after = (advise(Session(bike=BIKE, log=log[:n])).offsets[5].mm for n in (2, 3))
    assert after > before + 0.2


def test_work_that_keeps_failing_is_not_advised_for_ever() -> None:
    trouble = (everywhere("to_smaller_cog", "slow"), everywhere("to_larger_cog", "slow"))
    session, steps = Session(bike=BIKE, log=trouble), []
    for _ in range(6):
        move = advise(session).next
        assert move is not None
        steps.append((move.kind, move.what))
        session = session.with_entry(done(move.kind, move.what, move.amount, move.cog))
        session = session.model_copy(update={"log": (*session.log, *trouble)})
    assert all(len(set(steps[n : n + 3])) > 1 for n in range(len(steps) - 2)), steps


def done(kind: str, what: str, amount: float | None, cog: int | None) -> LogEntry:
    """The log of a move: a look finds nothing."""
    good = {"cable_taut", "reaches_by_hand", "pivots_spring_back", "cage_springs_back", "lever_clicks", "wheel_seated",
            "freehub_turns_free", "pulley_turns_free", "lockring_tight", "ring_runs_true"}  # fmt: skip
    if kind == "turned":
        return make_entry(kind, what=what, amount=amount)
    if kind == "fitted":
        return make_entry(kind, what=what, cog=cog)
    if what == "ride":
        return everywhere("to_smaller_cog", "slow")
    number = {
        "pulley_gap_mm": 6.0,
        "hanger_rim_mm": (10.0, 10.0, 10.0, 10.0),
        "chain_wear_pct": 0.2,
        "pulley_play_mm": 0.75,
        "high_limit_offset_mm": 0.5,
        "low_limit_offset_mm": 0.4,
    }
    return make_entry(kind, what=what, cog=cog, value=number.get(what, float(what in good)))


LOOKS = 3
"""Looks taken before the first turn is waited for."""


def goes_inboard(found: Advice) -> bool:
    move = found.next
    amount = 0.0 if move is None else move.amount or 0.0
    what = "" if move is None else move.what
    return (what in ("rear_barrel", "rear_micro_adjust") and amount > 0) or (
        what == "low_limit" and amount < 0
    )


def riders(count: int, seed: int) -> list[VirtualBike]:
    rng = np.random.default_rng(seed)
    names = [name for name in starter_names() if len(starter(name).cogs) > 3]
    return [VirtualBike(starter(names[n % len(names)]), 1 + n % 3, rng) for n in range(count)]


def toward_spokes_is_warned_of(count: int, seed: int) -> int:
    """How many advices went toward the spokes, looks taken as advised; each of them must carry its warning."""
    seen = 0
    for rider in riders(count, seed):
        session = Session(bike=rider.bike, log=tuple(rider.ride(True)))
        found = advise(session)
        for _ in range(LOOKS):
            if found.next is None or found.next.kind != "measured":
                break
            value = rider.measure(found.next.what, found.next.cog)
            taken = make_entry("measured", what=found.next.what, cog=found.next.cog, value=value)
            session = session.with_entry(taken)
            found = advise(session)
        if goes_inboard(found):
            seen += 1
            assert "WARNING" in (found.caution or "")
    return seen


def test_toward_the_spokes_only_with_the_low_stop_in_mind() -> None:
    assert toward_spokes_is_warned_of(60, 13) >= 3


@pytest.mark.slow
def test_toward_the_spokes_only_with_the_low_stop_in_mind_at_length() -> None:
    assert toward_spokes_is_warned_of(1000, 14) >= 50
