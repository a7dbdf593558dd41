"""What a complaint says, as a set of plain things: word, moment, place, rhythm, pattern, history, looks, trials.

The names are those of data/learned/: `word:slow`, `say:to_larger_cog:slow`, `at:small_cogs:skip`, `told:sudden`,
`tried:rear_cable`, `read:cable_drag=yes`, `seq:still_after_hands` and so on. They overlap; the table allows for it.
"""

from collections.abc import Iterator

from tunekit.bike import Bike
from tunekit.session import Fitted, Heard, LogEntry, Measured, Session, Told, Turned
from tunekit.session.vocabulary import YES_NO

REAR = frozenset({"to_larger_cog", "to_smaller_cog"})
FRONT = frozenset({"to_larger_ring", "to_smaller_ring"})
OLD_NAME = {"knock_reset_known": "crash_reset_known"}
"""Words that the table knows by an earlier name."""
NEAR_ZERO = 0.3
"""Readings in mm or degrees nearer to zero than this say that nothing is off."""
HIGH_PCT = {"chain_wear_pct": 0.5, "battery_pct": 30.0}
"""From here on a percentage is a high one."""


def features(session: Session) -> frozenset[str]:
    """Everything that the log says, each thing once."""
    said = {f"control:{session.bike.control}"} if session.bike.control else set()
    for entry in session.log:
        said.update(_of(entry, session.bike))
    if not any(isinstance(entry, Told) for entry in session.log):
        said.add("told:nothing")
    heard = [entry for entry in session.log if isinstance(entry, Heard)]
    said.update(_patterns([entry for entry in heard if entry.what != "clean"], session.bike))
    said.update(_after_hands(session.log))
    return frozenset(said)


def _of(entry: LogEntry, bike: Bike) -> Iterator[str]:
    """What one entry says by itself."""
    match entry:
        case Heard():
            yield from _heard(entry, bike)
        case Told():
            yield f"told:{entry.what}"
        case Fitted():
            yield f"tried:{entry.what}"
        case Turned():
            amount = entry.amount or 0.0
            yield f"tried:{entry.what}{'+' if amount > 0 else '-' if amount < 0 else ''}"
        case Measured():
            yield _reading(entry)


def _cog_part(cog: int, bike: Bike) -> str:
    cogs = bike.cogs
    if cog <= cogs[min(1, len(cogs) - 1)]:
        return "smallest_cogs"
    return "largest_cogs" if cog >= cogs[-2] else "middle_cogs"


def _ring_part(ring: int, bike: Bike) -> str:
    ends = {bike.rings[-1]: "largest_ring", bike.rings[0]: "smallest_ring"}
    return ends.get(ring, "middle_ring")


def _parts(entry: Heard, bike: Bike) -> list[str]:
    """Which part of the cassette and which ring a word is about."""
    parts = []
    if entry.cog is not None and entry.moment not in FRONT:
        parts.append(_cog_part(entry.cog, bike))
    if entry.ring is not None and len(bike.rings) > 1 and entry.moment not in REAR:
        parts.append(_ring_part(entry.ring, bike))
    return parts


def _heard(entry: Heard, bike: Bike) -> Iterator[str]:
    parts = _parts(entry, bike)
    if entry.what == "clean":
        named = [part for part in parts if part.endswith("cogs") or entry.moment in FRONT]
        yield ":".join(["good", entry.moment, *named])
        return
    yield f"say:{entry.moment}:{entry.what}"
    yield f"word:{entry.what}"
    yield from (f"at:{part}:{entry.what}" for part in parts)
    if entry.side:
        yield f"side:{entry.what}:{entry.side}"
    if entry.per:
        yield f"per:{entry.per}"
    if entry.moment == "starting":
        yield "moment:starting"


def _reading(entry: Measured) -> str:
    what = OLD_NAME.get(entry.what, entry.what)
    if isinstance(entry.value, tuple) or what == "chain_length_links":
        return f"read:{what}"
    if entry.what in YES_NO:
        return f"read:{what}={'yes' if entry.value else 'no'}"
    if what in HIGH_PCT:
        return f"read:{what}={'high' if entry.value >= HIGH_PCT[what] else 'low'}"
    return f"read:{what}={'plus' if entry.value > NEAR_ZERO else 'minus' if entry.value < -NEAR_ZERO else 'zero'}"


def _patterns(bad: list[Heard], bike: Bike) -> Iterator[str]:
    """Where all the troubles together lie, and which ways they go."""
    rear = [entry for entry in bad if entry.moment not in FRONT]
    named = {entry.cog for entry in rear if entry.cog is not None}
    everywhere = any(entry.cog is None for entry in rear)
    ends, moments = {_cog_part(cog, bike)[0] for cog in named}, {entry.moment for entry in bad}
    if len(named) == 1 and not everywhere:
        yield "place:one_cog_only"
    if everywhere and not named:
        yield "place:every_or_no_cog_named"
    if ends == {"s", "l"}:
        yield "place:both_ends"
    elif len(ends) == 1:
        yield f"place:{ {'s': 'small', 'l': 'large', 'm': 'middle'}[min(ends)] }_only"
    if moments & FRONT and not moments & REAR:
        yield "only:front_shifts"
    if moments & REAR and not moments & FRONT:
        yield "only:rear_shifts"
    larger, smaller = "to_larger_cog" in moments, "to_smaller_cog" in moments
    if larger or smaller:
        yield (
            "both_ways_rear"
            if larger and smaller
            else f"only_toward_{'larger' if larger else 'smaller'}_cogs"
        )
    if moments >= FRONT:
        yield "both_ways_front"


def _after_hands(log: tuple[LogEntry, ...]) -> Iterator[str]:
    """What came of the first turn or part: the same again, good and then bad, one thing cured and another bad."""
    first = next((n for n, entry in enumerate(log) if isinstance(entry, Turned | Fitted)), None)
    if first is None:
        return
    after = [entry for entry in log[first:] if isinstance(entry, Heard)]
    bad = [n for n, entry in enumerate(after) if entry.what != "clean"]
    good = next((n for n, entry in enumerate(after) if entry.what == "clean"), None)
    if good is not None and bad and bad[-1] > good:
        healed = after[good]
        again = any(
            after[n].moment == healed.moment and healed.cog in (None, after[n].cog) for n in bad if n > good
        )
        yield "seq:good_then_bad_again" if again else "seq:one_cured_other_bad"
    before = {(e.what, e.moment) for e in log[:first] if isinstance(e, Heard) and e.what != "clean"}
    if any((after[n].what, after[n].moment) in before for n in bad):
        yield "seq:still_after_hands"
