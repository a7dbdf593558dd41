"""What holds whatever is likely: facts come first, and no step goes out without its look, its mark and its warning.

The rules are rows of data/interlocks.toml and data/known.toml; this file reads them.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from tunekit.data import phrase, table
from tunekit.data.hazards import warning
from tunekit.diagnosis.advice import FirstLook, Gear, Move
from tunekit.diagnosis.hands import moved_per_unit
from tunekit.known import Fact, barred, fact_text, known, look_text, low_stop_holds
from tunekit.session import Session
from tunekit.session.log import Fitted, Heard, Measured, Turned
from tunekit.session.plausible import doubts
from tunekit.targets import Mark, most_between_looks, until

Place = tuple[int, int]


@dataclass(frozen=True)
class Safety:
    """One session seen by the rules."""

    session: Session

    @cached_property
    def facts(self) -> tuple[Fact, ...]:
        """Everything that is known, the worst first."""
        return known(self.session)

    @cached_property
    def barred(self) -> frozenset[Place]:
        """Gears that nobody is sent into."""
        return barred(self.session)

    @cached_property
    def holds(self) -> bool:
        """Whether the low stop was seen to hold."""
        return low_stop_holds(self.session)

    # --- facts ----------------------------------------------------------------------------------------

    def taken_again(self) -> Move | None:
        """The look whose reading no hand could have taken, once more; None when there is none."""
        found = [
            (n, d) for n, d in doubts(self.session.bike, self.session.log) if isinstance(d.typed, Measured)
        ]
        if not found:
            return None
        _, doubt = found[-1]
        entry = doubt.typed
        return self._safe(
            Move(
                kind="measured",
                what=entry.what,
                ring=getattr(entry, "ring", None),
                cog=getattr(entry, "cog", None),
                minutes=_minutes("measured", entry.what),
                why=phrase("known", "doubt_again", says=doubt.says),
            )
        )

    def remedy(self) -> Move | None:
        """What the worst fact calls for, or None when nothing is known."""
        return self._safe(self._called_for(self.facts[0])) if self.facts else None

    def _called_for(self, fact: Fact) -> Move:
        """The work that puts a fact right, or the look that must follow it."""
        remedy, left = fact.remedy, self._left_mm(fact)
        kind, what, amount = remedy.kind, remedy.what, None
        turned = self._turn_of(fact)
        if fact.worked and turned and left is not None and fact.limit is not None and left > fact.limit:
            kind, what = "turned", turned
        if kind == "turned":
            amount = self._amount(what, remedy.sign or 1, left)
        look = kind == "measured"
        return Move(
            kind=kind,
            what=what,
            amount=amount,
            ring=remedy.ring,
            cog=remedy.cog or (self.session.bike.cogs[-1] if what == "pulley_gap_mm" else None),
            minutes=_minutes(kind, what),
            why=phrase("diagnosis", "why.known_look" if look else "why.known", fact=fact_text(fact)),
        )

    def _turn_of(self, fact: Fact) -> str | None:
        """The screw that a fact about a stop is put right by."""
        stops = table("interlocks")["looks_between"]
        watched = {look: screw for screw, looks in stops.items() for look in looks}
        entry = None if fact.entry is None else self.session.log[fact.entry]
        return watched.get(getattr(entry, "what", ""))

    def _left_mm(self, fact: Fact) -> float | None:
        """The reading that a fact began with, moved by what was turned since; None where it is no reading."""
        entry = None if fact.entry is None else self.session.log[fact.entry]
        if fact.entry is None or not isinstance(entry, Measured) or isinstance(entry.value, tuple):
            return None
        value = float(entry.value)
        for later in self.session.log[fact.entry + 1 :]:
            if isinstance(later, Turned) and later.amount is not None:
                mark = until(later.what, self.session.bike)
                if mark is not None and mark.watch == entry.what:
                    value += moved_per_unit(self.session.bike)[later.what][1] * later.amount
        return value

    def _amount(self, what: str, sign: int, left: float | None) -> float | None:
        """How far to turn toward the mark, by what is left; a small turn where no figure says so."""
        if what == "hanger":
            return None
        row = table("repairs")["turned"][what]
        mark, unit = until(what, self.session.bike), moved_per_unit(self.session.bike)[what][1]
        if left is None or mark is None or mark.value is None:
            return sign * float(table("interlocks")["blind"].get(what, row["step"]))
        steps = round((mark.value - left) / unit / row["step"])
        return float(sign * min(max(abs(steps) * row["step"], row["step"]), row["most"]))

    # --- a step made safe -----------------------------------------------------------------------------

    def made_safe(self, moves: Iterable[Move]) -> list[Move]:
        """The moves that may be offered, each with its look, its mark and its warning.

        While something is known to be wrong nobody rides.
        """
        safe = (self._safe(move) for move in moves if not (self.facts and move.kind == "heard"))
        return [move for move in safe if move is not None]

    def _safe(self, move: Move) -> Move | None:
        """The move within its bounds, or None when it would lead into a barred gear."""
        allowed = self._allowed(move)
        if allowed is None:
            return None
        move = replace(allowed, amount=self._capped(allowed))
        move = replace(move, until=self._until(move), first=self._first(move))
        return replace(move, caution=self._caution(move))

    def _allowed(self, move: Move) -> Move | None:
        """The move without barred gears."""
        if not self.barred:
            return move
        if move.kind == "heard":
            gears = tuple(gear for gear in map(self._open, move.gears) if gear is not None)
            return replace(move, gears=gears) if gears else None
        if move.kind == "measured" and move.cog is not None:
            rings = [ring for ring in self.session.bike.rings if (ring, move.cog) not in self.barred]
            return replace(move, ring=move.ring if move.ring in rings else rings[-1]) if rings else None
        return move

    def _open(self, gear: Gear) -> Gear | None:
        """The gear, its open place filled with one that can be ridden; None when neither it nor its start can be."""
        bike = self.session.bike
        rings = bike.rings[::-1] if gear.ring is None else (gear.ring,)
        middle = len(bike.cogs) // 2
        cogs = sorted(bike.cogs, key=lambda cog: abs(bike.cogs.index(cog) - middle))
        for ring in rings:
            for cog in cogs if gear.cog is None else (gear.cog,):
                if not self.barred & {(ring, cog), self._start(ring, cog, gear.moment)}:
                    return replace(gear, ring=ring, cog=cog)
        return None

    def _start(self, ring: int, cog: int, moment: str) -> Place:
        """The gear from which a shift that ends in this one begins."""
        rings, cogs = self.session.bike.rings, self.session.bike.cogs
        r, c = rings.index(ring), cogs.index(cog)
        across = {"to_larger_cog": (0, -1), "to_smaller_cog": (0, 1), "to_larger_ring": (-1, 0)}
        dr, dc = across.get(moment, (1, 0) if moment == "to_smaller_ring" else (0, 0))
        return rings[min(max(r + dr, 0), len(rings) - 1)], cogs[min(max(c + dc, 0), len(cogs) - 1)]

    def _capped(self, move: Move) -> float | None:
        """The amount, no more than what may be turned between two looks."""
        return move.amount if move.amount is None else most_between_looks(move.what, move.amount)

    def _until(self, move: Move) -> Mark | None:
        return until(move.what, self.session.bike) if move.kind == "turned" else None

    # --- looks that come first ------------------------------------------------------------------------

    def _first(self, move: Move) -> FirstLook | None:
        """The look that must precede the move, unless it was taken since the bike last changed."""
        rules, work = table("interlocks"), work_of(move)
        if work in rules["inboard"]["works"] and not self.holds:
            return self._look(rules["inboard"]["look"])
        if move.kind == "turned" and move.what in rules["looks_between"]:
            looks = rules["looks_between"][move.what]
            seen = max(self._last(f"measured.{look}") for look in looks)
            return self._look(looks[0]) if self._last(f"turned.{move.what}") > seen else None
        if move.kind == "heard":
            return next((self._look(look) for look in self._due_before_a_ride()), None)
        return None

    def _due_before_a_ride(self) -> list[str]:
        return [
            row["look"]
            for row in table("interlocks")["before_ride"]
            if max(map(self._last, row["after"])) > self._last(f"measured.{row['look']}")
        ]

    def _last(self, said: str) -> int:
        """Place of the last entry that says this, -1 for none; a third word is the moment."""
        wanted = said.split(".")
        for number in range(len(self.session.log) - 1, -1, -1):
            entry = self.session.log[number]
            named = [entry.kind, getattr(entry, "what", "")]
            named += [entry.moment] if isinstance(entry, Heard) else []
            if named[: len(wanted)] == wanted:
                return number
        return -1

    def _look(self, what: str) -> FirstLook:
        cogs = self.session.bike.cogs
        cog = {"checked_low_stop": cogs[-1], "high_limit_offset_mm": cogs[0]}.get(what)
        return FirstLook(what=what, cog=cog, how=look_text(what, self.session.bike, cog=cog))

    # --- warnings -------------------------------------------------------------------------------------

    def _caution(self, move: Move) -> str | None:
        """The warning before the move; a fact that stops the ride is said first."""
        rows, work = table("interlocks")["caution"], work_of(move)
        key = next((rows[k] for k in (work, work.rstrip("+-"), f"{move.kind}.*") if k in rows), None)
        if key == "ride" and self._thrown():
            key = "ride_thrown"
        stop = bool(self.facts) and self.facts[0].danger == "stop"
        words = table("words/diagnosis")["caution"]
        said = [warning(**words[k]) for k in ("stop" if stop else None, key) if k]
        return " ".join(said) or None

    def _thrown(self) -> bool:
        words = table("interlocks")["thrown"]["words"]
        return any(isinstance(entry, Heard) and entry.what in words for entry in self.session.log)


def work_of(move: Move) -> str:
    """The move as the tables name it: kind, what, and the sign of its effect where it has one."""
    sign = "" if not move.amount else "+" if move.amount > 0 else "-"
    return f"{move.kind}.{move.what}{sign}"


def _minutes(kind: str, what: str) -> float:
    """Minutes of a repair or a look; a minute for a look that no table prices."""
    if kind != "measured":
        return float(table("repairs")[kind][what]["minutes"])
    checks = table("checks")
    row: dict[str, Any] = {**checks["yes_no"], **checks["number"]}.get(what, {})
    return float(row.get("minutes", checks["unpriced"]["minutes"]))


def last_work(session: Session) -> Turned | Fitted | None:
    """The last thing that was turned or fitted."""
    return next((e for e in reversed(session.log) if isinstance(e, Turned | Fitted)), None)
