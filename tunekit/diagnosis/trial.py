"""Trial: the advice against virtual bikes with hidden faults, beside a fixed book order and one who sees the faults."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.random import Generator

from tunekit.bike import Bike
from tunekit.bike.starters import starter
from tunekit.data import table
from tunekit.diagnosis.advice import Move
from tunekit.diagnosis.advise import advise
from tunekit.diagnosis.hands import moved_per_unit
from tunekit.diagnosis.safety import work_of
from tunekit.diagnosis.virtual import VirtualBike
from tunekit.session import Session, make_entry

MOST_WORK, MOST_MOVES = 16, 45
STARTERS = ("road-double-10", "road-double-11", "road-electronic", "trail-single-12")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ride:
    """How one virtual bike went under one policy."""

    policy: str
    faults: tuple[str, ...]
    cleared: bool
    said_clear: bool
    steps: int
    """Hands-on steps: turned or fitted; a run of turns of one stop one way is one."""
    minutes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One policy over all bikes."""

    policy: str
    bikes: int
    cleared: float
    steps: float
    minutes: float
    wrong_clear: float
    """Share of bikes that were called clear and were not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialReport:
    """The trial's results and every single run."""

    seed: int
    faults: int
    sparse: bool
    rows: tuple[Row, ...]
    runs: tuple[Ride, ...]


def _apply(bike: VirtualBike, session: Session, move: Move, sparse: bool) -> Session:
    """Do the move on the virtual bike and log it."""
    if move.kind == "measured":
        value = bike.measure(move.what, move.cog)
        return session.with_entry(
            make_entry("measured", what=move.what, cog=move.cog, ring=move.ring, value=value)
        )
    if move.kind == "turned":
        bike.turn(move.what, move.amount)
        session = session.with_entry(make_entry("turned", what=move.what, amount=move.amount))
    elif move.kind == "fitted":
        bike.fit(move.what, move.cog)
        session = session.with_entry(make_entry("fitted", what=move.what, cog=move.cog))
    return _log(session, bike, sparse)


def _log(session: Session, bike: VirtualBike, sparse: bool) -> Session:
    return session.model_copy(update={"log": (*session.log, *bike.ride(sparse))})


def run_advice(bike: VirtualBike, sparse: bool) -> Ride:
    """Follow the advice until it says that nothing is left or patience ends."""
    session = _log(Session(bike=bike.bike), bike, sparse)
    steps, minutes, said, before = 0, 0.0, False, ""
    for _ in range(MOST_MOVES):
        advice = advise(session)
        move = advice.next
        if move is None:
            said = True
            break
        if move.kind in ("turned", "fitted"):
            steps += not (work_of(move) == before and move.what in table("interlocks")["looks_between"])
            before = work_of(move)
        minutes += move.minutes
        session = _apply(bike, session, move, sparse)
        if steps >= MOST_WORK:
            break
    return _ended("advice", bike, steps, minutes, said)


_FIXES = {
    "index": ("turned", ""),
    "drag": ("fitted", "rear_cable"),
    "hanger": ("turned", "hanger"),
    "rate": ("fitted", "lever"),
    "high_limit": ("turned", "high_limit"),
    "low_limit": ("turned", "low_limit"),
    "gap": ("turned", "b_screw"),
    "chain_wear": ("fitted", "chain"),
    "worn_cog": ("fitted", "cassette"),
    "stiff_link": ("fitted", "stiff_link"),
    "loose_plug": ("fitted", "connectors"),
}


def _index_turn(bike: Bike) -> str:
    return "rear_barrel" if bike.rear.actuation == "cable" else "rear_micro_adjust"


def _needed_amount(bike: VirtualBike, what: str) -> float:
    axis, unit = moved_per_unit(bike.bike)[what]
    h = bike.hidden
    off = {"index": h.index, "high_limit": h.high - 0.6, "low_limit": h.low - 0.4, "gap": h.gap}[axis]
    return -off / unit


def _work(bike: VirtualBike, what: str, amount: float | None = None) -> float:
    """Turn or fit something on the virtual bike; the minutes it takes."""
    kind = "turned" if amount is not None or what == "hanger" else "fitted"
    if kind == "turned":
        bike.turn(what, amount)
    else:
        bike.fit(what, None)
    return float(table("repairs")[kind][what]["minutes"])


def run_oracle(bike: VirtualBike) -> Ride:
    """One who sees the faults, with the same inexact hands."""
    steps, minutes = 0, 0.0
    while not bike.sound() and steps < MOST_WORK:
        kind, what = _FIXES[bike.faults[steps % len(bike.faults)]]
        what = what or _index_turn(bike.bike)
        known = kind == "turned" and what != "hanger"
        minutes += _work(bike, what, _needed_amount(bike, what) if known else None)
        steps += 1
    return _ended("sees the faults", bike, steps, minutes)


def run_book(bike: VirtualBike) -> Ride:
    """A fixed order, as handbooks give it; it knows how far each stop must go, but not which thing is wrong."""
    steps, minutes = 0, 0.0
    for what, amount in _book_order(bike):
        if bike.sound():
            break
        minutes += _work(bike, what, amount) + float(table("repairs")["ride"]["minutes"])
        steps += 1
    return _ended("book order", bike, steps, minutes)


def _ended(policy: str, bike: VirtualBike, steps: int, minutes: float, said_clear: bool = True) -> Ride:
    cleared = bike.sound()
    return Ride(
        policy=policy,
        faults=bike.faults,
        cleared=cleared,
        said_clear=said_clear,
        steps=steps,
        minutes=minutes,
    )


def _book_order(bike: VirtualBike) -> list[tuple[str, float | None]]:
    index = _index_turn(bike.bike)
    unit = 0.25 if index == "rear_barrel" else 2.0
    way = (
        -np.sign(bike.offset(len(bike.bike.cogs) // 2, True) + bike.offset(len(bike.bike.cogs) // 2, False))
        or 1.0
    )
    order: list[tuple[str, float | None]] = [
        ("high_limit", _needed_amount(bike, "high_limit")),
        ("low_limit", _needed_amount(bike, "low_limit")),
    ]
    order += [(index, float(way) * unit)] * 6
    order += [("b_screw", _needed_amount(bike, "b_screw"))]
    order += [("connectors", None)] if bike.bike.rear.actuation == "electronic" else [("rear_cable", None)]
    order += [("stiff_link", None), ("hanger", None), ("chain", None), ("cassette", None)]
    return order


def _row(policy: str, runs: list[Ride]) -> Row:
    wrong = [run.said_clear and not run.cleared for run in runs]
    return Row(
        policy=policy,
        bikes=len(runs),
        cleared=round(float(np.mean([run.cleared for run in runs])), 4),
        steps=round(float(np.mean([run.steps for run in runs])), 3),
        minutes=round(float(np.mean([run.minutes for run in runs])), 1),
        wrong_clear=round(float(np.mean(wrong)), 4) if policy == "advice" else 0.0,
    )


def _bike(seed: int, number: int, faults: int) -> VirtualBike:
    rng: Generator = np.random.default_rng([seed, number])
    return VirtualBike(starter(STARTERS[number % len(STARTERS)]), faults, rng)


def run_trial(
    bikes: int = 40,
    faults: int = 1,
    seed: int = 0,
    sparse: bool = False,
    progress: Callable[[int, int], None] | None = None,
) -> TrialReport:
    """Run the advice, the book order and one who sees the faults on the same virtual bikes.

    `progress(done, all)` is called after every bike.
    """
    runs: list[Ride] = []
    for number in range(bikes):
        runs.append(run_advice(_bike(seed, number, faults), sparse))
        runs += [run_book(_bike(seed, number, faults)), run_oracle(_bike(seed, number, faults))]
        if progress is not None:
            progress(number + 1, bikes)
    policies = dict.fromkeys(run.policy for run in runs)
    rows = tuple(_row(policy, [run for run in runs if run.policy == policy]) for policy in policies)
    return TrialReport(seed=seed, faults=faults, sparse=sparse, rows=rows, runs=tuple(runs))
