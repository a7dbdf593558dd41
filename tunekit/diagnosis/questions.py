"""The questions: every look and every gear to ride that this bike allows, and what each would tell."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tunekit.data import table
from tunekit.diagnosis.evidence import Look
from tunekit.diagnosis.hearing import moment_class
from tunekit.diagnosis.looks import Numbers, YesNo, candidates
from tunekit.diagnosis.moves import Situation
from tunekit.diagnosis.places import Place
from tunekit.diagnosis.reading import Spot
from tunekit.diagnosis.update import SWEPT

Floats = NDArray[np.floating[Any]]
Bools = NDArray[np.bool_]


EDGES = np.array([1.3, 3.5])
"""Edges of the classes of a reading, in spreads of the reading."""


@dataclass(frozen=True, slots=True)
class Question:
    """A look or a ride: minutes, and the chance of each answer, shape (hypotheses + 1, answers)."""

    kind: str
    what: str
    minutes: float
    answers: Floats
    ring: int | None = None
    cog: int | None = None
    moment: str = ""
    again: bool = False
    """A look whose answer was bad once already."""
    saves: float = 0.0
    """Minutes that it saves later."""
    axis: str = ""
    """What a gauge reads, as the causes name it."""
    thrown: tuple[str, ...] = ()
    """Words, each with its moment, after which the stop that it reads is seen to."""
    first: float = 0.0
    """Minutes by which it may look dearer because custom puts it first."""


class Questions:
    """What could be asked in a situation."""

    def __init__(self, situation: Situation) -> None:
        self.situation, self.states, self.update = situation, situation.states, situation.update
        self.sets, self.quiet, self.weight, self.now = (
            situation.sets,
            situation.quiet,
            situation.weight,
            situation.now,
        )

    def all(self) -> list[Question]:
        """Looks first, then gears to ride."""
        return [*self.looks(), *self.rides()]

    def looks(self) -> list[Question]:
        """Every look that was not taken or holds no more, with its answers; a bad one may be asked a second time."""
        rows = {**table("checks")["yes_no"], **table("checks")["number"]}
        looks = self.states.evidence.looks
        done = self._told - {(look.what, look.cog) for look in looks if self._worth_a_second(look)}
        asked = [
            look
            for what in candidates(self.states)
            for look in self._look(what)
            if (look.what, look.cog) not in done
        ]
        yes_no = [look for look in asked if look.what in table("checks")["yes_no"]]
        numbers = [
            look
            for look in asked
            if look.what not in table("checks")["yes_no"] and look.what != "pulley_offset_mm"
        ]
        offsets = [look for look in asked if look.what == "pulley_offset_mm"]
        out = []
        for look, answers in [
            *zip(yes_no, self._yes_no(yes_no), strict=True),
            *zip(numbers, self._numbers(numbers), strict=True),
            *((look, self._offset(look)) for look in offsets),
        ]:
            row = rows[look.what]
            out.append(
                Question(
                    kind="measured",
                    what=look.what,
                    minutes=float(row["minutes"]),
                    answers=answers,
                    ring=look.ring,
                    cog=look.cog,
                    again=(look.what, look.cog) in self._told,
                    saves=self._saves(row, answers[:-1]),
                    axis=row.get("axis", ""),
                    thrown=tuple(row.get("thrown", ())),
                    first=row.get("first", 0.0),
                )
            )
        return out

    def _saves(self, row: dict[str, Any], answers: Floats) -> float:
        """Minutes that a look saves later: it aims a turn, or a repair begins with it and need not do it again."""
        if "axis" not in row:
            return 0.0
        aimed = self.situation.saved_by_aim(row["axis"], answers)
        begun = self.situation.chance_of_need(row["begins"]) * row["minutes"] if "begins" in row else 0.0
        return float(aimed + begun)

    @cached_property
    def _told(self) -> set[tuple[str, int | None]]:
        """Looks that were taken and hold."""
        return {(k.what, k.cog) for k in self.states.evidence.looks if self._holds(k)}

    def _holds(self, look: Look) -> bool:
        """Whether nothing was fitted since, and no turn moved what the look reads."""
        if any(repair.stage > look.stage for repair in self.states.evidence.repairs):
            return False
        row = table("checks")["yes_no"].get(look.what) or table("checks")["number"].get(look.what, {})
        moved = [self.states.turned.get(axis) for axis in row.get("moved_by", [row.get("axis")])]
        return all(by is None or by[self.now] == by[look.stage] for by in moved)

    def _worth_a_second(self, look: Look) -> bool:
        """Whether a hand test showed its bad answer, once, or a good one and the trouble keeps coming: look again.

        Parts are not changed for a single answer, and a bike is not called right by one.
        """
        row = table("checks")["yes_no"].get(look.what)
        if row is None or not self._holds(look) or len(look.entries) > 1:
            return False
        return bool(look.value == row["bad"] or self.states.evidence.stubborn())

    def _look(self, what: str) -> list[Look]:
        """The look, on the cogs where it tells most."""
        cogs, rings = self.states.bike.cogs, self.states.bike.rings
        places: list[tuple[int | None, int | None]] = [(None, None)]
        if what in ("limit_touches", "reaches_by_hand"):
            places = [(None, cogs[0]), (None, cogs[-1])]
        elif what == "pulley_gap_mm":
            places = [(None, cogs[-1])]
        elif what == "pulley_offset_mm":
            places = [(None, cogs[len(cogs) // 2])]
        elif what == "front_limit_touches":
            places = [(rings[0], None), (rings[-1], None)] if len(rings) > 1 else []
        elif what == "worn_cog":
            places = [(None, cog) for cog in self._suspect_cogs()] or [(None, None)]
        return [Look(self.now, what, ring, cog, 0.0, []) for ring, cog in places]

    def _suspect_cogs(self) -> list[int]:
        chance: dict[int, float] = {}
        for row, weight in zip(self.sets, self.weight, strict=True):
            for setting in (self.states.settings[number] for number in row if number):
                if setting.cause == "cog_worn" and setting.cog is not None:
                    chance[setting.cog] = chance.get(setting.cog, 0.0) + float(weight)
        best = sorted(chance, key=lambda c: -chance[c])[:1]
        return [self.states.bike.cogs[c] for c in best]

    def _pad(self, chance: Floats) -> Floats:
        """Answers under "something unlisted": as under all hypotheses together. Shape (hypotheses + 1, answers)."""
        return np.vstack([chance, (self.weight @ chance / max(self.weight.sum(), 1e-12))[None]])

    def _yes_no(self, looks: list[Look]) -> list[Floats]:
        if not looks:
            return []
        test = YesNo(self.states, looks)
        bad = np.clip(test.bad(test.shows[self.sets].sum(axis=1)), 0.01, 0.99)
        again = np.array([(look.what, look.cog) in self._told for look in looks])
        power = np.where(again, float(table("hearing")["error"]["repeat"]), 1.0)
        bad = bad**power / (bad**power + (1 - bad) ** power)  # the same hand errs the same way
        return [self._pad(np.stack([bad[:, n], 1 - bad[:, n]], axis=1)) for n in range(len(looks))]

    def _numbers(self, looks: list[Look]) -> list[Floats]:
        """Readings in five classes round what is expected: far below, below, about there, above, far above."""
        if not looks:
            return []
        test = Numbers(self.states, looks)
        adds = test.adds[self.sets].sum(axis=1)
        adds -= self.weight @ adds / self.weight.sum()
        return [
            self._pad(classes(adds[:, n], float(test.spread[n]), EDGES * float(test.spread[n])))
            for n in range(len(looks))
        ]

    def _offset(self, look: Look) -> Floats:
        column = self.states.bike.cogs.index(look.cog) if look.cog else 0
        at = self.situation.offsets_mm[:, :, column].mean(axis=1)
        return self._pad(classes(at, 0.38, np.array([0.45])))

    def rides(self) -> list[Question]:
        """Gears to ride and listen to, each with what would be heard."""
        places = [place for place in self._places() if not self._heard(place)]
        spots = [
            Spot(self.now, place, what, alike=tuple(alike))
            for place in places
            for what, *alike in _ANSWERS[moment_class(place.moment)]
        ]
        if not spots:
            return []
        reading = self.update.asked(spots, np.zeros(self.states.evidence.stages))
        chance = next(reading.heard(self.sets, self.situation.offsets)).T
        error = float(self.update.errors.mean())
        chance = (1 - error) * chance + error * reading.mistaken
        ends = np.cumsum([len(_ANSWERS[moment_class(place.moment)]) for place in places])
        answers = np.split(chance, ends[:-1], axis=1)
        return [self._ride(*asked) for asked in zip(places, answers, strict=True)] + self._proof()

    def _proof(self) -> list[Question]:
        """One more ride through every gear, to hear whether the bike is right; worth it only when it may well be."""
        sound = np.asarray(~self.situation.need[:-1].any(axis=1))
        if float(self.weight @ sound) < 0.25:
            return []
        error = 0.01
        right = np.where(sound, 1 - error, 1 - (1 - error) * self._shown_by_a_ride(sound))
        answers = self._pad(np.stack([right, 1 - right], axis=1))
        answers[-1] = (error, 1 - error)
        return [Question("heard", "ride", float(table("repairs")["ride"]["proof"]), answers)]

    def _shown_by_a_ride(self, sound: Bools) -> Floats:
        """Chance that a ride through every gear lets more be heard than on a sound bike; shape (hypotheses,)."""
        cogs, big = self.states.bike.cogs, self.states.bike.rings[-1]
        spots = [Spot(self.now, Place(big, cog, moment), "clean") for cog in cogs for moment in SWEPT]
        reading = self.update.asked(spots, np.zeros(self.states.evidence.stages))
        rate = -np.log(next(reading.heard(self.sets, self.situation.offsets)))
        usual = rate[:, sound] @ self.weight[sound] / self.weight[sound].sum()
        return np.asarray(1 - np.exp(-np.clip(rate - usual[:, None], 0, None).sum(axis=0)))

    def _ride(self, place: Place, heard: Floats) -> Question:
        other = np.clip(1 - heard.sum(axis=1, keepdims=True), 0.005, None)
        heard = np.hstack([heard, other])
        heard /= heard.sum(axis=1, keepdims=True)
        minutes = float(table("repairs")["ride"]["question"])
        return Question("heard", "ride", minutes, self._pad(heard), place.ring, place.cog, place.moment)

    def _heard(self, place: Place) -> bool:
        return any(word.place == place for word in self.states.evidence.since_last_work())

    def _places(self) -> list[Place]:
        """The few gears that tell most, whatever the bike."""
        cogs, rings = self.states.bike.cogs, self.states.bike.rings
        middle, last = len(cogs) // 2, len(cogs) - 1
        big = rings[-1]
        out = [
            Place(big, cogs[middle], moment)
            for moment in ("to_larger_cog", "to_smaller_cog", "pedalling", "pedalling_hard")
        ]
        if last > 1:
            out += [
                Place(big, cogs[last], "to_larger_cog"),
                Place(big, cogs[last - 1], "to_larger_cog"),
                Place(big, cogs[1], "to_smaller_cog"),
            ]
            out += [
                Place(big, cogs[0], "to_smaller_cog"),
                Place(rings[0], cogs[last], "pedalling"),
                Place(big, cogs[1], "pedalling_hard"),
            ]
        out += [
            Place(None, None, "coasting"),
            Place(None, cogs[last], "backpedalling"),
            Place(rings[0], cogs[0], "pedalling"),
        ]
        if len(rings) > 1:
            out += [
                Place(big, None, "to_larger_ring"),
                Place(rings[0], None, "to_smaller_ring"),
                Place(big, cogs[0], "pedalling"),
            ]
        return list(dict.fromkeys(out))


_SHIFT = (
    ("clean",),
    ("slow", "refused", "double_click"),
    ("too_far", "fell_inside", "fell_outside"),
    ("no_response", "lever_wall", "lever_heavy", "no_click"),
)
_IN_GEAR = (
    ("clean",),
    ("rattle", "wanders"),
    ("skip", "jumps"),
    ("rumble", "grinds"),
    ("tick", "clanks", "slack"),
    ("rubs_inner_plate", "rubs_outer_plate", "scrapes"),
)
_ANSWERS = {"cog_shift": _SHIFT, "ring_shift": _SHIFT, "in_gear": _IN_GEAR}
"""Words told apart when a gear is ridden for an answer, by class of moment."""


def classes(adds: Floats, spread: float, edges: Floats) -> Floats:
    """Chance that a reading falls between edges of either sign; shape (hypotheses, 2 * edges + 1).

    `adds` (what each hypothesis adds to it, shape (hypotheses,)), `spread` and `edges` are in the reading's own unit.
    """
    from scipy.special import ndtr  # here, so that `import tunekit` stays quick

    below = ndtr((np.concatenate([-edges[::-1], edges]) - adds[:, None]) / spread)
    out = np.diff(below, axis=1, prepend=0.0, append=1.0)
    return np.asarray(np.clip(out, 0.01, None) / np.clip(out, 0.01, None).sum(axis=1, keepdims=True))
