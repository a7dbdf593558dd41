"""Looks: what a gauge, a ruler or a hand test would show under each hypothesis."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from tunekit.bike.conditions import conditions
from tunekit.data import table
from tunekit.diagnosis.evidence import Evidence, Look
from tunekit.diagnosis.hearing import hazard
from tunekit.diagnosis.states import States
from tunekit.known.rows import rows
from tunekit.mechanics.chain_length import largest_pair_links
from tunekit.mechanics.turns import tilt_deg

Floats = NDArray[np.floating[Any]]
Ints = NDArray[np.intp]
OUTLIER = 0.04
"""Chance that a reading is a slip and says nothing."""
SLIP_DENSITY = 0.12
"""Height of a slip's wide density against the bell's peak."""


def known(what: str) -> bool:
    """Whether the belief has a use for this measurement."""
    checks = table("checks")
    return what in checks["yes_no"] or what in checks["number"]


def _finds(what: str) -> Floats:
    """Chance that each cause of the table makes a yes/no look show its bad answer, none last; shape (causes + 1,)."""
    return np.array([row.get("finds", {}).get(what, 0.0) for row in table("causes").values()] + [0.0])


class YesNo:
    """Yes/no looks against every setting."""

    def __init__(self, states: States, looks: list[Look]) -> None:
        self.states, self.looks = states, looks
        checks = [table("checks")["yes_no"][look.what] for look in looks]
        self.bad_answer = np.array([row["bad"] for row in checks], float)
        self.false_alarm = np.array([row["false_alarm"] for row in checks], float)
        past = np.array([is_past(look, states.evidence) for look in looks], dtype=bool)
        self.least = np.where(past, slip(), 0.01)
        """Least chance of an answer: a finding that counts as known is hardly ever a slip."""
        self.false_alarm = np.where(past, np.minimum(self.false_alarm, slip()), self.false_alarm)
        self.shows = self._shows()

    def _shows(self) -> Floats:
        """Rate with which each setting makes each look show its bad answer; shape (settings, looks)."""
        states = self.states
        chance = np.zeros((len(self.looks), len(states)))
        for row, look in zip(chance, self.looks, strict=True):
            row[:] = _finds(look.what)[states.cause]
            if look.cog is not None:
                row[(states.cog >= 0) & (states.cog != states.bike.cogs.index(look.cog))] = 0
            if look.what in ("limit_touches", "reaches_by_hand"):
                row[:] = self._stop_chance(look)
            index = states.index_mm != 0
            row[index] = self._index_chance(look, states.index_mm[index])
        rate = np.where(chance < 0, chance, hazard(np.maximum(chance, 0)))
        return np.asarray(rate.T * states.active[:, [look.stage for look in self.looks]])

    def _index_chance(self, look: Look, index_mm: Floats) -> Floats:
        """A cable too slack shows; one too tight makes slackness rarer still (a negative rate)."""
        finds = table("causes")["index_outboard"]["finds"]
        if self.states.bike.rear.actuation != "cable" or look.what not in finds:
            return np.zeros_like(index_mm)
        index_mm = index_mm + float(self.states.index_moved[look.stage])
        slack, tight = np.clip((-index_mm - 0.2) / 0.8, 0, 1), np.clip((index_mm - 0.2) / 0.4, 0, 1)
        return np.asarray(finds[look.what] * slack - 0.1 * tight)

    def _stop_chance(self, look: Look) -> Floats:
        """A stop that holds the pulley short is felt, as it stands after the turns so far."""
        states, cogs = self.states, self.states.bike.cogs
        turned = np.array([states.turned[axis][look.stage] for axis in ("high_limit", "low_limit")])
        moved = states.seen_stops_mm[:, look.stage]
        stands = moved + turned + np.array(states.sound_stops_mm)
        ends = {cogs[0]: [0], cogs[-1]: [1], None: [0, 1]}.get(look.cog, [])
        held = (stands[:, ends] < -0.3).any(axis=1)
        if held[
            0
        ]:  # by the hand's own turns: then a setting can only lift it, which is rare enough to leave out
            held[1:] &= moved[1:, ends].any(axis=1)
        chance = np.where(held, 0.92, 0.0)
        chance[0] = 0.0
        if look.what == "reaches_by_hand":
            other = {"chain_short": 0.3, "derailleur_sticky": 0.15}
            chance = np.maximum(chance, [other.get(s.cause, 0.0) for s in states.settings])
        return chance

    def bad(self, rates: Floats) -> Floats:
        """Chance of the bad answer from summed rates; shape (hypotheses, looks)."""
        return 1 - (1 - self.false_alarm) * np.exp(-rates)

    def log_terms(self, sets: Ints) -> Floats:
        """Log chance of each answer given; shape (hypotheses, looks)."""
        bad = np.clip(self.bad(self.shows[sets].sum(axis=1)), self.least, 1 - self.least)
        given = np.array([look.value for look in self.looks]) == self.bad_answer
        return np.asarray(np.log(np.where(given, bad, 1 - bad)))


class Numbers:
    """Readings of gauges and rulers: what each would be, as a sum over settings, and its spread."""

    def __init__(self, states: States, looks: list[Look]) -> None:
        self.states, self.looks = states, looks
        parts = [self._expect(look) for look in looks]
        self.sound = np.array([p[0] for p in parts])
        self.spread = np.array([p[1] for p in parts])
        self.adds = np.array([p[2] for p in parts]).reshape(len(looks), len(states)).T
        self.value = self._within_reach(np.array([self._value(look) for look in looks], float))
        self.past = np.array([is_past(look, states.evidence) for look in looks], dtype=bool)
        self.slip = np.array([slip() if self._sure(n, look) else OUTLIER for n, look in enumerate(looks)])
        self.lift, self.lifted = self._lifts()

    def _within_reach(self, value: Floats) -> Floats:
        """Readings no farther off than the largest size of any cause: beyond it they mean "so much or more"."""
        self.given = value
        if not len(value):
            return value
        return np.clip(value, self.sound + self.adds.min(axis=0), self.sound + self.adds.max(axis=0))

    def _sure(self, place: int, look: Look) -> bool:
        """Whether a reading is too far off, or too grave, to be put down to a slip of the hand."""
        beyond = bool(self.value[place] != self.given[place])
        return beyond or is_past(look, self.states.evidence) or too_far(look.what, float(self.given[place]))

    def _lifts(self) -> tuple[Floats, NDArray[np.bool_]]:
        """What makes a reading past its limit equally likely under its cause however far it is past.

        The sizes of a cause share the reading among themselves: the nearest takes most. Shapes (looks,) and
        (settings, looks): the log factor, and the settings of the causes that the reading speaks for.
        """
        states, lift = self.states, np.zeros(len(self.looks))
        lifted = np.zeros((len(states), len(self.looks)), dtype=bool)
        for place, look in enumerate(self.looks):
            causes = {cause for entry in look.entries for cause in states.evidence.past.get(entry, ())}
            toward = self.adds[:, place] * (self.value[place] - self.sound[place]) > 0
            lifted[:, place] = toward & np.array([s.cause in causes for s in states.settings], dtype=bool)
            share = states.odds_of(lifted[:, place])
            if share.sum() > 0:
                miss = self.value[place] - self.sound[place] - self.adds[lifted[:, place], place]
                bell = np.exp(-0.5 * (miss / self.spread[place]) ** 2)
                lift[place] = -np.log(max(float(share @ bell / share.sum()), 1e-12))
        return lift, lifted

    def _value(self, look: Look) -> float:
        if isinstance(look.value, tuple):
            top, _, bottom, _ = look.value
            return tilt_deg(top - bottom, self.states.bike.wheel.rim_mm)
        return look.value - self._needed_links() if look.what == "chain_length_links" else look.value

    def _needed_links(self) -> float:
        """Links by the rule of the largest pair."""
        bike = self.states.bike
        frame = bike.frame
        return float(
            largest_pair_links(frame.chainstay_mm, bike.rings[-1], bike.cogs[-1], frame.chainstay_growth_mm)
        )

    def _expect(self, look: Look) -> tuple[float, float, Floats]:
        """Sound figure, spread and what each setting adds; shape of the last (settings,)."""
        states, row = self.states, table("checks")["number"][look.what]
        stage, active = look.stage, states.active[:, look.stage]
        turned = {axis: float(by[stage]) for axis, by in states.turned.items()}
        sd = float(np.hypot(row["sd"], row.get("spread", 0.0)))
        front, model = states.front.T, table("model")
        if look.what == "pulley_gap_mm":
            steps = (
                len(states.bike.cogs)
                - 1
                - (states.bike.cogs.index(look.cog) if look.cog else len(states.bike.cogs) - 1)
            )
            sound = states.bike.rear.pulley_gap_mm + turned["gap"] + model["gap"]["per_cog_mm"] * steps
            return sound, float(np.hypot(sd, 0.7 + 0.25 * steps)), states.gap_mm[:, stage]
        if look.what == "hanger_rim_mm":
            return (
                0.0,
                float(np.hypot(np.degrees(np.sqrt(2) * sd / states.bike.wheel.rim_mm), 0.08)),
                states.tilt_deg * active,
            )
        simple = {
            "high_limit_offset_mm": (
                states.sound_stops_mm[0] + turned["high_limit"],
                0.25,
                states.seen_stops_mm[:, stage, 0],
            ),
            "low_limit_offset_mm": (
                states.sound_stops_mm[1] + turned["low_limit"],
                0.25,
                states.seen_stops_mm[:, stage, 1],
            ),
            "front_height_mm": (model["front"]["target_height_mm"] + turned["front_height"], 0.4, front[0]),
            "front_angle_deg": (turned["front_angle"], 0.4, front[1]),
        }
        if look.what in ("front_inner_gap_mm", "front_outer_gap_mm"):
            seen = self._cage_gap(1 if look.what == "front_inner_gap_mm" else -1, turned)
            return model["front"]["target_gap_mm"] + float(seen[0]), float(np.hypot(sd, 0.4)), seen - seen[0]
        if look.what in simple:
            sound, own, adds = simple[look.what]
            return float(sound), float(np.hypot(sd, own)), adds
        name = "chain_excess_links" if look.what == "chain_length_links" else look.what
        return float(row["sound"]), sd, self._tabled(name) * active

    def _cage_gap(self, side: int, turned: dict[str, float]) -> Floats:
        """What each setting makes of the gap at the inner (1) or outer (-1) plate, after these turns; (settings,).

        A stop too tight shows whole, of one too far out only what the cable leaves to it; a cable on the wrong side of
        right takes from the gap, and so does the tail of a rotated cage.
        """
        front, model = self.states.front.T, table("model")["front"]
        place, axis = (2, "front_inner") if side > 0 else (3, "front_outer")
        stop = front[place] + turned[axis]
        stop = np.where(stop > 0, model["seen_of_loose"] * stop, stop)
        cable = np.clip(side * (front[4] + turned["front_index"]), 0, None)
        tail = model["tail_mm_per_deg"] * np.clip(side * (front[1] + turned["front_angle"]), 0, None)
        return np.asarray(stop - cable - tail)

    def _tabled(self, name: str) -> Floats:
        causes = table("causes")
        adds = np.zeros(len(self.states))
        for number, setting in enumerate(self.states.settings):
            levels = causes.get(setting.cause, {}).get("shifts", {}).get(name)
            if levels:
                adds[number] = levels[setting.level]
        return adds

    def log_terms(self, sets: Ints) -> Floats:
        """Log density of each reading, slips allowed for; shape (hypotheses, looks)."""
        lifted = self.lifted[sets].any(axis=1)
        value = np.where(lifted | ~self.past, self.value, self.given)
        miss = value - self.sound - self.adds[sets].sum(axis=1)
        return log_density(miss, self.spread, self.slip, np.where(lifted, self.lift, 0.0))


def log_density(
    miss: Floats, spread: Floats, slip: Floats | float = OUTLIER, lift: Floats | float = 0.0
) -> Floats:
    """Log of a bell of that spread mixed with a wide slip, up to a constant that is the same for all hypotheses.

    `lift` is the log of a factor on the bell. Shapes broadcast.
    """
    bell = np.exp(lift - 0.5 * (miss / spread) ** 2)
    return np.asarray(np.log((1 - slip) * bell + slip * SLIP_DENSITY))


def slip() -> float:
    """Chance that a reading past its limit, or a bad answer to a safety check, is a slip of the hand."""
    return rows().slip


def too_far(what: str, value: float) -> bool:
    """Whether a reading is farther off than any eye or hand errs."""
    sure = rows().sure.get(what)
    return sure is not None and not sure.least <= value <= sure.most


def is_past(look: Look, evidence: Evidence) -> bool:
    """Whether a look broke a limit or gave a bad answer that counts as known."""
    return any(entry in evidence.past for entry in look.entries)


def candidates(states: States) -> list[str]:
    """Looks that this bike allows."""
    checks, has = table("checks"), conditions(states.bike)
    found = {**checks["yes_no"], **checks["number"]}
    return [what for what, row in found.items() if set(row["needs"]) <= has and row.get("offered", True)]
