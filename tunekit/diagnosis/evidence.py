"""The log as evidence: what was heard and measured, sorted by the state the bike was in at the time.

Every turned or fitted entry opens a new *stage*; what was heard before it speaks of the bike before it.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tunekit.bike import Bike
from tunekit.bike.conditions import conditions
from tunekit.data import phrase, table
from tunekit.diagnosis.advice import SetAside
from tunekit.diagnosis.places import Place
from tunekit.diagnosis.reports import cause_log_odds
from tunekit.known import past_limit
from tunekit.session import Fitted, Heard, LogEntry, Measured, Session, Told, Turned
from tunekit.session.plausible import taken_again
from tunekit.session.vocabulary import RING_SHIFTS, UNHEARD_BY_GEOMETRY

Floats = NDArray[np.floating[Any]]
ANOTHER_RIDE = 4
"""Entries after which the same place was listened to on another ride, not thought better of."""


STUBBORN = 3
"""Rides on which a trouble was named, from which it is looked into once more before a bike is called right."""


@dataclass(slots=True)
class Word:
    """A word heard at a place in one stage, and the entries that said it."""

    stage: int
    place: Place
    what: str
    side: str | None
    per: str | None
    entries: list[int]
    rides: int = 1
    """How often it was heard on rides of their own: the rest was said twice of one ride."""


@dataclass(slots=True)
class Look:
    """A measurement or hand test in one stage."""

    stage: int
    what: str
    ring: int | None
    cog: int | None
    value: float | tuple[float, ...]
    entries: list[int]


@dataclass(slots=True)
class Repair:
    """A fitted part (or the straightened hanger), from which stage on, and on which cog."""

    stage: int
    kind: str
    what: str
    cog: int | None


@dataclass(slots=True)
class Evidence:
    """Everything the log says, ready for the belief."""

    told: dict[str, int] = field(default_factory=dict)
    words: list[Word] = field(default_factory=list)
    heard_at: dict[tuple[int, Place], list[Word]] = field(default_factory=dict)
    """The same words by stage and place."""
    looks: list[Look] = field(default_factory=list)
    repairs: list[Repair] = field(default_factory=list)
    turns: list[tuple[int, str, float]] = field(default_factory=list)
    """(stage it opened, what, amount)"""
    stages: int = 1
    set_aside: list[SetAside] = field(default_factory=list)
    reported: dict[str, float] = field(default_factory=dict)
    """Log odds of each cause by what people say (diagnosis/reports)."""
    past: dict[int, tuple[str, ...]] = field(default_factory=dict)
    """Entries that broke a limit or gave a bad answer, and the causes that they speak for."""
    failed: int = 0
    """How often the same hand was laid on the same thing and trouble was heard again."""

    def turned_by(self, what: str) -> Floats:
        """Sum of turns of one screw up to each stage; shape (stages,)."""
        sums = np.zeros(self.stages)
        for stage, name, amount in self.turns:
            if name == what:
                sums[stage:] += amount
        return sums

    def tried(self, what: str) -> int:
        """How often this was turned; a run of small turns of one stop, one way, is once."""
        return len({stage for stage, hand in _hands(self) if hand.rstrip("+-") == what})

    def since_last_work(self) -> list[Word]:
        """Words heard in the last stage."""
        return [word for word in self.words if word.stage == self.stages - 1]

    def stubborn(self) -> bool:
        """Whether a trouble was named on so many rides of the bike as it now is that it asks for another look."""
        return any(word.what != "clean" and word.rides >= STUBBORN for word in self.since_last_work())


def first_round(words: list[Word]) -> int:
    """How many places were listened to before one of them came up again."""
    seen: set[Place] = set()
    for _, place in sorted((n, word.place) for word in words for n in word.entries):
        if place in seen:
            break
        seen.add(place)
    return len(seen)


_FRONT_WORDS = frozenset({"rubs_inner_plate", "rubs_outer_plate", "rubs_cage"})
_CABLE_ONLY = frozenset(
    {
        "lever_heavy",
        "rear_barrel",
        "rear_cable",
        "rear_cable_slack",
        "housing_pulls_tight",
        "cable_drag",
        "cable_slack",
        "cable_taut",
        "cable_frayed",
    }
)
_ELECTRONIC_ONLY = frozenset(
    {
        "rear_micro_adjust",
        "motor_reset",
        "battery",
        "lever_cell",
        "connectors",
        "wire",
        "connectors_seated",
        "lever_cell_ok",
        "derailleur_button_works",
        "battery_pct",
    }
)


def misfit(bike: Bike, entry: LogEntry) -> str | None:
    """The key of the sentence that says why the entry cannot be about this bike, or None."""
    has = conditions(bike)
    what = getattr(entry, "what", "")
    moment = entry.moment if isinstance(entry, Heard) else ""
    if moment in RING_SHIFTS and len(bike.rings) == 1:
        return "one_ring"
    if bike.front is None and (
        what in _FRONT_WORDS or (what.startswith("front_") and what != "front_derailleur")
    ):
        return "no_front"
    if "cable" not in has and "front_cable" not in has and what in _CABLE_ONLY:
        return "no_cable"
    if "electronic" not in has and "front_electronic" not in has and what in _ELECTRONIC_ONLY:
        return "not_electronic"
    return None


def read(session: Session) -> Evidence:
    """Sort the log into evidence; entries that contradict the bike or a later entry are set aside by name."""
    found = Evidence(past=past_limit(session), reported=cause_log_odds(session))
    fresh = False  # whether anything was heard or measured since the stage opened
    put_right = taken_again(session.bike, session.log)
    for number, entry in enumerate(session.log):
        why = "taken_again" if number in put_right else misfit(session.bike, entry)
        if why:
            found.set_aside.append(SetAside(entry=number, why=phrase("diagnosis", f"set_aside.{why}")))
        elif isinstance(entry, Told):
            found.told.setdefault(entry.what, number)
        elif isinstance(entry, Heard):
            if foretold(entry):
                _hear(found, number, entry)
            fresh = True
        elif isinstance(entry, Measured):
            _look(found, number, entry)
            fresh = True
        elif isinstance(entry, Turned | Fitted):
            if fresh or not (found.turns or found.repairs):
                found.stages, fresh = found.stages + 1, False
            _work(found, entry)
    found.failed = _failures(found)
    return found


def foretold(entry: Heard) -> bool:
    """Whether geometry and the table of causes say anything of this word at this moment."""
    return entry.what not in UNHEARD_BY_GEOMETRY and entry.moment != "starting"


def _set_aside(found: Evidence, entries: list[int], later: int) -> None:
    why = phrase("diagnosis", "set_aside.contradicted", later=later + 1)
    found.set_aside.extend(SetAside(entry=number, why=why) for number in entries)


def _hear(found: Evidence, number: int, entry: Heard) -> None:
    """A word more; the opposite, said a moment later of the same place, corrects it, on another ride it stands beside.

    A noise comes and goes and an ear errs: of two rides that disagree each counts for what it is worth.
    """
    place, stage = Place(entry.ring, entry.cog, entry.moment), found.stages - 1
    here = found.heard_at.setdefault((stage, place), [])
    for old in list(here):
        if (old.what, old.side, old.per) == (entry.what, entry.side, entry.per):
            old.rides += number - old.entries[-1] > ANOTHER_RIDE
            old.entries.append(number)
            return
        just_now = [n for n in old.entries if number - n <= ANOTHER_RIDE]
        if just_now and "clean" in (old.what, entry.what):
            _set_aside(found, just_now, number)
            old.entries = [n for n in old.entries if n not in just_now]
            old.rides -= 1
            if not old.entries:
                found.words.remove(old)
                here.remove(old)
    here.append(Word(stage, place, entry.what, entry.side, entry.per, [number]))
    found.words.append(here[-1])


_OPPOSED = {("cable_slack", "cable_taut"), ("front_cable_slack", "front_cable_taut")}


def _contradicts(old: Look, entry: Measured) -> bool:
    if not isinstance(old.value, float) or old.value not in (0, 1) or entry.value not in (0, 1):
        return False
    if old.what == entry.what:
        return (old.ring, old.cog) == (entry.ring, entry.cog) and old.value != entry.value
    pair = {(old.what, str(entry.what)), (str(entry.what), old.what)}
    return bool(pair & _OPPOSED) and old.value == entry.value == 1


def _look(found: Evidence, number: int, entry: Measured) -> None:
    stage = found.stages - 1
    value = float(entry.value) if not isinstance(entry.value, tuple) else entry.value
    for old in [look for look in found.looks if look.stage == stage]:
        if (old.what, old.ring, old.cog, old.value) == (entry.what, entry.ring, entry.cog, value):
            old.entries.append(number)
            return
        if _contradicts(old, entry):
            _set_aside(found, old.entries, number)
            found.looks.remove(old)
    found.looks.append(Look(stage, entry.what, entry.ring, entry.cog, value, [number]))


def _work(found: Evidence, entry: Turned | Fitted) -> None:
    stage = found.stages - 1
    if isinstance(entry, Fitted):
        found.repairs.append(Repair(stage, "fitted", entry.what, entry.cog))
    elif entry.what == "hanger":
        found.repairs.append(Repair(stage, "turned", "hanger", None))
    elif entry.amount is not None:
        found.turns.append((stage, entry.what, entry.amount))


def _hands(found: Evidence) -> Iterator[tuple[int, str]]:
    """Each hand laid on, with the stage it opened; a run of small turns of one stop, one way, is one."""
    turned = [(stage, f"{what}{'+' if amount > 0 else '-'}") for stage, what, amount in found.turns]
    done = sorted([*turned, *((repair.stage, repair.what) for repair in found.repairs)])
    small = table("interlocks")["looks_between"]
    for place, (stage, hand) in enumerate(done):
        goes_on = place + 1 < len(done) and done[place + 1][1] == hand and hand.rstrip("+-") in small
        if not goes_on:
            yield stage, hand


def _failures(found: Evidence) -> int:
    """Most repeats of one and the same work after each of which trouble was heard, less the first."""
    troubled = {word.stage for word in found.words if word.what != "clean"}
    counts: dict[str, int] = {}
    for stage, hand in set(_hands(found)):
        counts[hand] = counts.get(hand, 0) + (stage in troubled)
    return max(counts.values(), default=0)
