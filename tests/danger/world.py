"""Random bikes and logs, and what a careful person reads out of them without asking tunekit's own rules."""

import os
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import Any

import numpy as np

from tunekit import size_chain
from tunekit.bike import Bike, SessionError, TunekitError
from tunekit.bike.starters import starter, starter_names
from tunekit.session import Session, make_entry

COUNT = int(os.environ.get("TUNEKIT_DANGER", "150"))
"""Random sessions: 2,000 in CI, 50,000 by `TUNEKIT_DANGER=50000 pytest tests/danger`; few where nobody asks."""
START = datetime(2026, 11, 25, 10, tzinfo=UTC)

CHECKS = (
    "frame_sound", "chain_joined", "wheel_seated", "chain_routed", "lockring_tight", "checked_low_stop",
    "checked_brakes", "checked_wheel", "checked_chain_joined", "checked_bolts", "checked_front_stops",
)  # fmt: skip
GAUGES = {
    "low_limit_offset_mm": (-2, 5), "high_limit_offset_mm": (-2, 5), "pulley_gap_mm": (1, 24),
    "chain_wear_pct": (0, 2), "pulley_offset_mm": (-3, 3), "pulley_play_mm": (0.4, 4),
    "front_height_mm": (-2, 8), "front_inner_gap_mm": (-1, 6), "front_outer_gap_mm": (-1, 6),
    "front_angle_deg": (-6, 6), "battery_pct": (3, 100),
}  # fmt: skip
HAND_TESTS = ("cable_drag", "cable_slack", "cage_wags", "stiff_link", "worn_cog", "cogs_move", "pivots_spring_back",
              "limit_touches", "reaches_by_hand", "connectors_seated", "cable_frayed")  # fmt: skip
TURNS = (
    "rear_barrel",
    "rear_micro_adjust",
    "high_limit",
    "low_limit",
    "b_screw",
    "hanger",
    "front_low_limit",
)
PARTS = ("wheel", "hanger", "rear_derailleur", "cassette", "chain", "rear_cable", "joining_link", "lockring")
WORDS = {
    "to_larger_cog": ("clean", "slow", "refused", "too_far", "fell_inside"),
    "to_smaller_cog": ("clean", "slow", "too_far", "fell_outside"),
    "pedalling": ("clean", "rattle", "touches_spokes", "rumble", "skip", "grinds"),
    "pedalling_hard": ("clean", "skip", "wanders"),
    "to_smaller_ring": ("clean", "fell_inside", "slow"),
}
TOLD = ("fall", "wheel_swapped", "new_cassette", "new_derailleur", "new_cable", "sudden", "getting_worse")


def random_bike(rng: np.random.Generator) -> Bike:
    """A starter bike, sometimes with a chain, a cassette or a cage that it was not sold with."""
    names = starter_names()
    bike = starter(names[int(rng.integers(len(names)))])
    fields: dict[str, Any] = dict(bike)
    if rng.random() < 0.3:
        fields["chain"] = {**dict(bike.chain), "links": int(2 * rng.integers(46, 62))}
    if rng.random() < 0.25:
        largest = int(min(bike.cogs[-1] + rng.integers(-4, 9), 80))
        fields["cogs"] = (*tuple(c for c in bike.cogs[:-1] if c < largest), largest)
    return Bike.build(**fields)


def _entry(rng: np.random.Generator, bike: Bike) -> tuple[str, dict[str, Any]]:
    """One entry's kind and fields."""
    cog, ring = int(rng.choice(bike.cogs)), int(rng.choice(bike.rings))
    draw = rng.random()
    if draw < 0.5:
        moment = str(rng.choice(list(WORDS)))
        return "heard", {"moment": moment, "what": str(rng.choice(WORDS[moment])), "ring": ring, "cog": cog}
    if draw < 0.62:
        what = str(rng.choice(list(GAUGES)))
        at = {"cog": cog} if what == "pulley_offset_mm" else {}
        return "measured", {"what": what, "value": round(float(rng.uniform(*GAUGES[what])), 1), **at}
    if draw < 0.72:
        return "measured", {"what": str(rng.choice(CHECKS)), "value": int(rng.random() < 0.75)}
    if draw < 0.78:
        return "measured", {"what": str(rng.choice(HAND_TESTS)), "value": int(rng.random() < 0.5)}
    if draw < 0.9:
        what = str(rng.choice(TURNS))
        amount = None if what == "hanger" else float(rng.choice([-1, -0.5, -0.25, 0.25, 0.5, 1]))
        return "turned", {"what": what, "amount": amount}
    if draw < 0.95:
        return "fitted", {"what": str(rng.choice(PARTS))}
    return "told", {"what": str(rng.choice(TOLD))}


def sessions(count: int, seed: int) -> Iterator[Session]:
    """Random sessions of 1 to 14 entries, each the same for the same seed and place."""
    for number in range(count):
        rng = np.random.default_rng([seed, number])
        session = Session(bike=random_bike(rng))
        for minute in range(int(rng.integers(1, 15))):
            kind, fields = _entry(rng, session.bike)
            try:
                entry = make_entry(kind, at=START + timedelta(minutes=minute), **fields)
                session = session.with_entry(entry)
            except SessionError:
                continue
        yield session


# --- read without tunekit's own rules ---------------------------------------------------------------

HOLDS_AT_MOST_MM = 1.3
MOVED = {"told": {"wheel_swapped", "wheel_refitted", "new_derailleur", "fall"},
         "fitted": {"wheel", "hanger", "rear_derailleur"}, "turned": {"low_limit", "hanger"}}  # fmt: skip


def low_stop_seen(session: Session) -> bool:
    """Whether the last look at the low stop found that it holds, and nothing that it hangs on changed since."""
    seen = False
    for entry in session.log:
        what = getattr(entry, "what", None)
        if entry.kind == "measured" and what == "checked_low_stop":
            seen = entry.value == 1
        elif entry.kind == "measured" and what == "low_limit_offset_mm":
            seen = entry.value <= HOLDS_AT_MOST_MM
        elif what in MOVED.get(entry.kind, ()):
            seen = False
    return seen


MENDED_BY = {
    "frame_sound": (), "chain_joined": ("joining_link", "chain"), "wheel_seated": ("wheel",),
    "checked_low_stop": (), "checked_brakes": (), "checked_wheel": ("wheel",),
    "checked_chain_joined": ("joining_link", "chain"), "checked_bolts": (),
}  # fmt: skip


def refused(session: Session) -> set[str]:
    """Safety checks whose last answer was no, and that nothing has mended since."""
    out: set[str] = set()
    for entry in session.log:
        what = getattr(entry, "what", None)
        if entry.kind == "measured" and what in MENDED_BY:
            out = out | {what} if entry.value == 0 else out - {what}
        if entry.kind == "measured" and what == "low_limit_offset_mm" and entry.value <= HOLDS_AT_MOST_MM:
            out -= {"checked_low_stop"}
        if entry.kind == "fitted":
            out = {name for name in out if what not in MENDED_BY[name]}
    return out


def thrown_into_spokes(session: Session) -> bool:
    """Whether the chain fell past the largest cog and no look has found since that the stop holds."""
    thrown = False
    for number, entry in enumerate(session.log):
        inside = entry.kind == "heard" and entry.what == "fell_inside" and not entry.moment.endswith("ring")
        if inside:
            thrown = True
        elif thrown and low_stop_seen(session.model_copy(update={"log": session.log[: number + 1]})):
            thrown = False
    return thrown


def torn_or_slack(session: Session) -> set[tuple[int, int]]:
    """Gears that the chain on the bike cannot take."""
    try:
        chain = size_chain(session.bike_now)
    except TunekitError:
        return set()
    return {*chain.too_short, *chain.too_long, *chain.leave_alone}


@dataclass(frozen=True)
class Way:
    """A move as the spokes see it."""

    kind: str
    what: str
    amount: float

    @property
    def inboard(self) -> bool:
        """Whether it brings the pulley nearer to the spokes."""
        gains = self.what in ("rear_barrel", "rear_micro_adjust") and self.amount > 0
        return self.kind == "turned" and (gains or (self.what == "low_limit" and self.amount < 0))


def way_of(move: Any) -> Way:
    return Way(move.kind, move.what, move.amount or 0.0)


def passed_through(bike: Bike, gear: Any) -> set[tuple[int | None, int | None]]:
    """The gear itself and the one from which its shift begins."""
    places: set[tuple[int | None, int | None]] = {(gear.ring, gear.cog)}
    for smaller, larger in pairwise(bike.cogs):
        if gear.moment == "to_larger_cog" and gear.cog == larger:
            places.add((gear.ring, smaller))
        if gear.moment == "to_smaller_cog" and gear.cog == smaller:
            places.add((gear.ring, larger))
    return places
