"""The moves: what needs mending under each hypothesis, every repair that this bike allows, and what it mends."""

from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tunekit.bike.conditions import conditions
from tunekit.data import table
from tunekit.diagnosis.belief import Belief
from tunekit.diagnosis.hands import moved_per_unit
from tunekit.diagnosis.reading import Offsets
from tunekit.diagnosis.settings import FRONT_AXES, FRONT_CAUSES

Floats = NDArray[np.floating[Any]]
Bools = NDArray[np.bool_]
INDEX_CAUSES = frozenset({"index_outboard", "index_inboard", "electronic_index"})
GOALS = 61
"""Places weighed for where a turn may lead."""
OWN = 0.25
"""How much it counts that this turn itself ends well, against the one after it."""
OVERSHOOT = 0.16
"""Chance, at most, that a turn carries the axis right across its good window, where it is heard on neither side."""
SELDOM = 0.05
"""An axis less likely than this to be off is not worth measuring for the sake of the turn."""
CONSIDERED = 80
"""Hypotheses looked at when choosing."""


class Situation:
    """A belief seen from the workbench: what needs mending under each hypothesis, and what could be done."""

    def __init__(self, belief: Belief, names: list[str] | None = None) -> None:
        self.belief, self.states, self.update = belief, belief.states, belief.update
        self.sets, self.quiet, self.weight = belief.sets, belief.quiet, belief.weight
        self.quiet_mm = belief.update.quiet[self.quiet]
        self.now = belief.states.evidence.stages - 1
        self.names = names or self._names()
        self.present = self._present()
        self._moves: dict[str, float] = {}
        self._aims: dict[str, float] = {}

    def thinned(self) -> "Situation":
        """The same by so few hypotheses that every move can be followed under each."""
        return Situation(self.belief.thinned(CONSIDERED), self.names)

    # --- what is the matter now -------------------------------------------------------------------

    def _names(self) -> list[str]:
        index = (
            ["electronic_index"]
            if self.states.bike.rear.actuation == "electronic"
            else ["index_outboard", "index_inboard"]
        )
        found = {self.states.settings[number].cause for number in np.unique(self.sets)} - {
            "nothing",
            "index",
            "past",
        }
        axes = [
            "high_limit_tight",
            "high_limit_loose",
            "low_limit_tight",
            "low_limit_loose",
            "pulley_gap_small",
            "pulley_gap_large",
        ]
        if self.states.bike.front is not None:
            axes += [name for pair in FRONT_CAUSES.values() for name in pair if name in self.states.odds]
        return list(dict.fromkeys([*index, *axes, *sorted(found)]))

    @cached_property
    def amounts(self) -> dict[str, Floats]:
        """Where each axis stands now under each hypothesis, as a difference from its target; shape (hypotheses,)."""
        sets, states, stops = self.sets, self.states, self.update.stops_mm(self.sets)[:, self.now]
        out = {
            "index": self.update.index_mm(sets)[:, self.now],
            "high_limit": stops[:, 0] - states.sound_stops_mm[0],
            "low_limit": stops[:, 1] - states.sound_stops_mm[1],
            "gap": states.gap_mm[sets].sum(axis=1)[:, self.now] + states.turned["gap"][self.now],
        }
        front = states.front[sets].sum(axis=1)
        for place, axis in enumerate(FRONT_AXES):
            out[f"front_{axis}"] = front[:, place] + states.turned[f"front_{axis}"][self.now]
        return out

    @cached_property
    def offsets(self) -> Offsets:
        """The pulley's offsets under each hypothesis, and its level of the quiet window."""
        return self.update.offsets(self.sets, self.quiet)

    @cached_property
    def offsets_mm(self) -> Floats:
        """The pulley's offsets now; shape (hypotheses, 2, cogs)."""
        return np.asarray(self.offsets.mm[self.offsets.which, self.now])

    @cached_property
    def told(self) -> Bools:
        """Causes to name: those present; an index that the hand put out only where nothing else is wrong."""
        states, told = self.states, self.present.copy()
        born_off = (states.index_mm[self.sets] != 0).any(axis=1)
        columns = [n for n, name in enumerate(self.names) if name in INDEX_CAUSES]
        others = np.delete(told, columns, axis=1).any(axis=1)
        told[np.ix_(others & ~born_off, columns)] = False
        return told

    def _present(self) -> Bools:
        """Which causes are there now; shape (hypotheses, causes)."""
        columns = {name: number for number, name in enumerate(self.names)}
        names = np.array([columns.get(setting.cause, -1) for setting in self.states.settings])
        names[self.states.active[:, self.now] <= 0] = -1
        present = np.zeros((len(self.sets), len(self.names) + 1), dtype=bool)
        np.put_along_axis(present, names[self.sets], True, axis=1)
        present = present[:, :-1]
        for name, there in self._by_amount().items():
            if name in self.names:
                present[:, self.names.index(name)] = there
        return present

    def _by_amount(self) -> dict[str, Bools]:
        """Causes that are an amount beyond its band, whatever the log began with."""
        model, now = table("model"), self.amounts
        low, high = self.window("index")
        out, inn = now["index"] < low, now["index"] > high
        there = {"index_outboard": out, "index_inboard": inn, "electronic_index": out | inn}
        for stop in ("high_limit", "low_limit"):
            low, high = self.window(stop)
            there[f"{stop}_tight"], there[f"{stop}_loose"] = now[stop] < low, now[stop] > high
        low, high = model["gap"]["band_mm"]
        there["pulley_gap_small"], there["pulley_gap_large"] = now["gap"] < low, now["gap"] > high
        for axis, (below, above) in FRONT_CAUSES.items():
            low, high = model["front"][f"{axis}_{'deg' if axis == 'angle' else 'mm'}"]["band"]
            amount = now[f"front_{axis}"]
            if below == above:
                there[below] = (amount < low) | (amount > high)
            else:
                there[below], there[above] = amount < low, amount > high
        return there

    @cached_property
    def harmless(self) -> Bools:
        """Causes that need no mending; shape (causes,)."""
        return np.array([bool(table("causes").get(name, {}).get("harmless")) for name in self.names])

    def read_by(self, axis: str) -> Bools:
        """Causes, one column more for something unlisted, that are a matter of this axis; shape (causes + 1,)."""
        causes = table("causes")
        there = [bool(axis) and causes.get(name, {}).get("axis") == axis for name in self.names]
        return np.array([*there, False])

    @cached_property
    def need(self) -> Bools:
        """What must be mended, something unlisted last; shape (hypotheses + 1, causes + 1)."""
        need = np.zeros((len(self.sets) + 1, len(self.names) + 1), dtype=bool)
        need[:-1, :-1] = self.told & ~self.harmless
        need[-1, -1] = True
        return need

    @cached_property
    def weights(self) -> Floats:
        """Weights of the rows of `need`."""
        return np.append(self.weight, self.belief.unlisted)

    # --- repairs ----------------------------------------------------------------------------------

    @cached_property
    def repairs(self) -> list[tuple[str, str]]:
        """(kind, what) of every repair that mends a cause under consideration."""
        has = conditions(self.states.bike)
        found: dict[tuple[str, str], None] = {}
        for name in [n for n, p in zip(self.names, self.weight @ self.present, strict=True) if p > 1e-4]:
            for key in table("causes").get(name, {}).get("mends", {}):
                kind, what = key.split(".")
                if not (_only_with(what) - has):
                    found[kind, what] = None
        return list(found)

    @cached_property
    def mends(self) -> Floats:
        """Chance that each repair mends each cause; shape (repairs, causes + 1)."""
        causes = table("causes")
        out = np.zeros((len(self.repairs), len(self.names) + 1))
        for row, (kind, what) in zip(out, self.repairs, strict=True):
            tried, again = self._tried(kind, what), 0.5 if kind == "turned" else 0.3
            for number, name in enumerate(self.names):
                chance = causes.get(name, {}).get("mends", {}).get(f"{kind}.{what}", 0.0)
                row[number] = (
                    chance * again**tried * (self._aim(what) if kind == "turned" and chance else 1.0)
                )
        return out

    def _tried(self, kind: str, what: str) -> int:
        """How often this repair has failed; a turn counts from the second time on, since the first may be short."""
        evidence = self.states.evidence
        if kind == "turned" and what != "hanger":
            return max(evidence.tried(what) - 1, 0)
        return sum((r.kind, r.what) == (kind, what) for r in evidence.repairs)

    def _aim(self, what: str) -> float:
        """Chance that the best amount of this turn hits, given that the turn is needed."""
        if what == "hanger":
            return 1.0
        if what not in self._aims:
            self._aims[what] = self._hit(moved_per_unit(self.states.bike)[what][0])
        return self._aims[what]

    def _hit(self, axis: str) -> float:
        """Chance that the best move of an axis that is off brings it into its good window, sooner or later."""
        weight, at, width = self._needing(axis)
        if weight.sum() <= 0:
            return 0.9
        return sooner_or_later(ending_well(weight, at, width, self._best_move(axis)) / weight.sum())

    def saved_by_aim(self, axis: str, answers: Floats) -> float:
        """Minutes that a reading of this axis saves because the turn after it is better aimed.

        `answers` are the chances of its classes, shape (hypotheses, answers).
        """
        minutes = self._turning_minutes(axis)
        if minutes is None:
            return 0.0
        weight, at, width = self._needing(axis)
        if weight.sum() < SELDOM:
            return 0.0
        error = float(self.update.errors.mean())
        told = [part for part in (weight[:, None] * answers).T if part.sum() > 0]
        hit = sum(ending_well(part, at, width, best_move(part, at, width, error)) for part in told)
        better = sooner_or_later(hit / weight.sum()) - self._hit(axis)
        return float(weight.sum() * max(better, 0.0) * minutes)

    def _turning_minutes(self, axis: str) -> float | None:
        """Minutes of the turn that moves this axis, with its ride; None where no turn under consideration does."""
        moves = moved_per_unit(self.states.bike)
        for (kind, what), minutes in zip(self.repairs, self.repair_minutes, strict=True):
            if kind == "turned" and what in moves and moves[what][0] == axis:
                return float(minutes)
        return None

    def chance_of_need(self, repair: str) -> float:
        """Chance that something has to be mended that this repair ("turned.hanger") is meant for."""
        causes = table("causes")
        meant = [repair in causes.get(name, {}).get("mends", {}) for name in self.names]
        return float(self.weight @ self.present[:, meant].any(axis=1))

    def _best_move(self, axis: str) -> float:
        """How far to move an axis, by the hypotheses in which it is off, or by all when it is off in none."""
        if axis not in self._moves:
            weight, at, width = self._needing(axis)
            self._moves[axis] = best_move(
                weight if weight.sum() > 0 else self.weight, at, width, float(self.update.errors.mean())
            )
        return self._moves[axis]

    def _needing(self, axis: str) -> tuple[Floats, Floats, Floats]:
        """Weights, amounts and half widths of the good window over hypotheses in which the axis is off."""
        low, high = self.window(axis)
        at = self.amounts[axis]
        off = (at < low) | (at > high)
        width = np.broadcast_to((high - low) / 2, at.shape)
        return np.where(off, self.weight, 0.0), at, np.asarray(width)

    def window(self, axis: str) -> tuple[Floats, Floats]:
        """Amounts between which the axis is good, as differences from its target."""
        model = table("model")
        if axis == "index":
            good = model["index"]["good_share"] * self.quiet_mm
            return -good, good
        if axis in ("high_limit", "low_limit"):
            sound = self.states.sound_stops_mm[axis == "low_limit"]
            low = -model["stops"]["tight_share"] * self.quiet_mm - sound
            high = np.full_like(self.quiet_mm, model["stops"][f"{axis}_loose_from_mm"] - sound)
        elif axis == "gap":
            low, high = model["gap"]["band_mm"]
        else:
            name = axis.removeprefix("front_")
            low, high = model["front"][f"{name}_{'deg' if name == 'angle' else 'mm'}"]["band"]
        return np.asarray(low, float), np.asarray(high, float)

    def amount(self, what: str) -> float | None:
        """How far to turn, rounded to what a hand can do; None when a turn has no amount (straightening)."""
        if what == "hanger":
            return None
        row = table("repairs")["turned"][what]
        axis, unit = moved_per_unit(self.states.bike)[what]
        units = self._best_move(axis) / unit
        rounded = round(units / row["step"]) * row["step"]
        if rounded == 0:
            rounded = float(np.copysign(row["step"], units))
        return float(np.clip(rounded, -row["most"], row["most"]))

    @cached_property
    def repair_minutes(self) -> Floats:
        """Minutes of each repair with the ride that proves it; shape (repairs,)."""
        rows = table("repairs")
        ride = float(rows["ride"]["minutes"])
        return np.array([float(rows[kind][what]["minutes"]) + ride for kind, what in self.repairs])


def _only_with(what: str) -> frozenset[str]:
    """Conditions without which a repair makes no sense."""
    needs: dict[str, frozenset[str]] = {
        "rear_barrel": frozenset({"cable"}),
        "rear_cable": frozenset({"cable"}),
        "rear_cable_slack": frozenset({"cable"}),
        "rear_micro_adjust": frozenset({"electronic"}),
        "front_barrel": frozenset({"front_cable"}),
        "front_micro_adjust": frozenset({"front_electronic"}),
    }
    return needs.get(what, frozenset())


def ending_well(weight: Floats, at: Floats, width: Floats, move: float) -> float:
    """How much of the weight a move brings well into the good window."""
    return float(weight @ np.exp(-0.5 * ((at + move) / (0.9 * width)) ** 4))


def sooner_or_later(hit: float) -> float:
    """Chance that a turn aimed so mends: a miss is not lost, the next ride tells which way and aims the second."""
    return min(0.45 + 0.55 * hit, 0.97)


def best_move(weight: Floats, at: Floats, width: Floats, wrong: float = 0.1) -> float:
    """The move after which the move after that is most likely to end in the good window.

    `weight`, `at` (where the axis stands) and `width` (half the window) have shape (hypotheses,); `wrong` is the
    chance of a wrong answer. One step is looked ahead: what is heard after this move ("short", "quiet", "beyond") aims
    the next one. It stays on the near side all the same: a jump across the window tells less than a step short of it.
    Where the side itself is in doubt, those on the other side are not jumped: they are left further behind.
    """
    weight = weight / weight.sum()
    goals = np.linspace(at.min() - 0.01, at.max() + 0.01, GOALS)
    weight, at, width = (part[weight > 0] for part in (weight, at, width))
    off = at - goals[:, None]
    quiet = np.exp(-0.5 * np.square(np.square(np.square(off / (0.95 * width)))))
    ending = (weight * quiet).T
    gain = OWN * (quiet @ weight)
    for answer in (quiet, (1 - quiet) * (off > 0), (1 - quiet) * (off < 0)):
        heard = (1 - wrong) * answer + wrong / 2 * (1 - answer)
        gain += (heard @ ending).max(axis=1)
    side = np.sign(goals)[:, None]
    passed = ((side * at > 0) & (side * -off > width)) @ weight
    return -float(goals[int(np.argmax(np.where(passed <= OVERSHOOT, gain, -passed)))])
