"""Nothing that tunekit advises may hurt anybody: invariants over random bikes and logs, samples and open reports.

The rules are read out of the logs by `world`, without tunekit's own facts. Sources: every manual's warning that a chain
inside the largest cog can lock the wheel (seen), for the rest common practice, no source.
"""

from collections.abc import Callable
from functools import cache

import pytest
import world
from reports import report_sessions

from tunekit import Session
from tunekit.diagnosis import Advice, advise
from tunekit.session.file import load_session
from tunekit.session.samples import sample_paths
from tunekit.setup import setup_steps
from tunekit.show.text.advice import advice_text

pytestmark = pytest.mark.danger
STOPS = {"low_limit", "high_limit", "front_low_limit", "front_high_limit"}
PUSHED = {"reaches_by_hand", "pivots_spring_back"}


@cache
def answers() -> list[tuple[str, Session, Advice]]:
    """Every session of this run with its advice."""
    named = [(f"random {n}", session) for n, session in enumerate(world.sessions(world.COUNT, seed=1))]
    named += [(path.stem, load_session(path)) for path in sample_paths()]
    named += [(name, session) for name, session in report_sessions() if world.COUNT >= 2000]
    return [(name, session, advise(session)) for name, session in named]


def offenders(bad: Callable[[Session, Advice], object]) -> list[str]:
    return [f"{name}: {found}" for name, session, advice in answers() if (found := bad(session, advice))]


def moves(advice: Advice) -> list[object]:
    return [move for move in (advice.next, *advice.runners_up) if move is not None]


def test_nothing_moves_toward_the_spokes_before_the_low_stop_was_seen_to_hold() -> None:
    def unseen(session: Session, advice: Advice) -> list[str]:
        if world.low_stop_seen(session):
            return []
        looks = ("checked_low_stop", "low_limit_offset_mm")
        inboard = [move for move in moves(advice) if world.way_of(move).inboard]
        return [m.what for m in inboard if getattr(getattr(m, "first", None), "what", None) not in looks]

    assert offenders(unseen) == []


def test_every_move_toward_the_spokes_carries_its_warning_also_in_the_shell() -> None:
    def silent(session: Session, advice: Advice) -> list[str]:
        inboard = [move for move in moves(advice) if world.way_of(move).inboard]
        mute = [move.what for move in inboard if not (move.caution or "").count("WARNING")]
        missing = inboard and "WARNING" not in advice_text(advice, session)
        return mute + (["shell"] if missing else [])

    assert offenders(silent) == []


def test_a_stop_is_turned_a_little_between_two_looks() -> None:
    def too_far(session: Session, advice: Advice) -> list[str]:
        out = []
        for move in moves(advice):
            if move.kind == "turned" and move.what in STOPS:
                opens = move.what == "low_limit" and move.amount < 0
                if abs(move.amount) > (0.25 if opens else 0.5):
                    out.append(f"{move.what} {move.amount}")
        return out

    assert offenders(too_far) == []


def test_nobody_is_sent_into_a_gear_that_the_chain_cannot_take() -> None:
    def torn(session: Session, advice: Advice) -> list[object]:
        bad = world.torn_or_slack(session)
        rides = [gear for move in moves(advice) if move.kind == "heard" for gear in move.gears]
        passed = {place for gear in rides for place in world.passed_through(session.bike, gear)}
        looks = {(m.ring, m.cog) for m in moves(advice) if m.kind == "measured" and m.ring and m.cog}
        return sorted((passed | looks) & bad)

    assert offenders(torn) == []


def test_no_ride_and_no_end_beside_a_safety_check_answered_no() -> None:
    def rides(session: Session, advice: Advice) -> list[str]:
        if not world.refused(session):
            return []
        said = ["ride" for move in moves(advice) if move.kind == "heard"]
        return said + ([] if advice.next else ["nothing left"]) + (["clear"] if advice.clear > 0.5 else [])

    assert offenders(rides) == []


def test_no_ride_after_a_throw_into_the_spokes_before_the_stop_was_seen_to_hold() -> None:
    def rides(session: Session, advice: Advice) -> list[str]:
        thrown = world.thrown_into_spokes(session)
        return ["ride" for move in moves(advice) if thrown and move.kind == "heard"]

    assert offenders(rides) == []


def test_every_ride_carries_a_warning() -> None:
    def silent(session: Session, advice: Advice) -> list[str]:
        return [m.what for m in moves(advice) if m.kind == "heard" and not m.caution]

    assert offenders(silent) == []


def test_nobody_pushes_a_motor() -> None:
    def pushed(session: Session, advice: Advice) -> list[str]:
        motor = session.bike.rear.actuation == "electronic"
        return [move.what for move in moves(advice) if motor and move.what in PUSHED]

    assert offenders(pushed) == []


def test_handed_over_only_when_nothing_speaks_against_it() -> None:
    def early(session: Session, advice: Advice) -> list[str]:
        walk = setup_steps(session)
        wrong = [*world.refused(session), *(["facts"] if getattr(advice, "known", ()) else [])]
        wrong += ["chain"] if world.torn_or_slack(session) and session.bike_now.chain.links else []
        return wrong if walk.handed_over else []

    assert offenders(early) == []
