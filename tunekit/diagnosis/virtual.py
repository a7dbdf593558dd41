"""Virtual bikes with hidden faults, to try the advice on.

Deliberately not the belief's own model: hard thresholds drawn per bike instead of soft ones, other lever arms, a drag
that is stronger toward smaller cogs, hands and gauges that err, an ear that errs by its own rate.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.random import Generator

from tunekit.bike import Bike
from tunekit.session import LogEntry, make_entry

TROUBLES_IN_GEAR = ("rattle", "wanders", "skip", "rumble", "grinds", "jumps")
TROUBLES_IN_SHIFT = ("slow", "refused", "double_click", "too_far", "poor")


@dataclass(slots=True)
class Hidden:
    """What is wrong with the bike; zeros and Nones mean sound."""

    index: float = 0.0
    rate: float = 0.0
    tilt: float = 0.0
    drag: float = 0.0
    high: float = 0.6
    low: float = 0.4
    gap: float = 0.0
    wear: float = 0.15
    worn_cog: int | None = None
    stiff_link: bool = False
    loose_plug: bool = False


def _signed(rng: Generator, low: float, high: float) -> float:
    return float(rng.uniform(low, high) * rng.choice((-1, 1)))


# name -> how the fault is put in; cable and electronic bikes share all but those named so
FAULTS: dict[str, Callable[["VirtualBike"], None]] = {}


def _fault(name: str) -> Callable[[Callable[["VirtualBike"], None]], Callable[["VirtualBike"], None]]:
    def keep(put: Callable[["VirtualBike"], None]) -> Callable[["VirtualBike"], None]:
        FAULTS[name] = put
        return put

    return keep


@_fault("index")
def _(bike: "VirtualBike") -> None:
    bike.hidden.index = _signed(bike.rng, bike.prompt + 0.25, 2.0)


@_fault("drag")
def _(bike: "VirtualBike") -> None:
    bike.hidden.drag = float(bike.rng.uniform(bike.prompt + 0.2, 1.6))


@_fault("hanger")
def _(bike: "VirtualBike") -> None:
    bike.hidden.tilt = _signed(bike.rng, 1.0, 2.4)


@_fault("rate")
def _(bike: "VirtualBike") -> None:
    bike.hidden.rate = _signed(bike.rng, 0.18, 0.32)


@_fault("high_limit")
def _(bike: "VirtualBike") -> None:
    bike.hidden.high = float(bike.rng.choice((bike.rng.uniform(-2.5, -1.0), bike.rng.uniform(2.4, 3.6))))


@_fault("low_limit")
def _(bike: "VirtualBike") -> None:
    bike.hidden.low = float(bike.rng.choice((bike.rng.uniform(-2.5, -1.0), bike.rng.uniform(2.2, 3.4))))


@_fault("gap")
def _(bike: "VirtualBike") -> None:
    bike.hidden.gap = float(bike.rng.choice((bike.rng.uniform(-5.5, -4.2), bike.rng.uniform(8.0, 14.0))))


@_fault("chain_wear")
def _(bike: "VirtualBike") -> None:
    bike.hidden.wear = float(bike.rng.uniform(0.8, 1.3))


@_fault("worn_cog")
def _(bike: "VirtualBike") -> None:
    bike.hidden.worn_cog = int(bike.rng.integers(len(bike.bike.cogs)))


@_fault("stiff_link")
def _(bike: "VirtualBike") -> None:
    bike.hidden.stiff_link = True


@_fault("loose_plug")
def _(bike: "VirtualBike") -> None:
    bike.hidden.loose_plug = True


CABLE_ONLY, ELECTRONIC_ONLY = frozenset({"drag", "rate"}), frozenset({"loose_plug"})


class VirtualBike:
    """A bike with hidden faults, a mechanic with inexact hands and an ear that errs."""

    def __init__(self, bike: Bike, faults: int, rng: Generator) -> None:
        self.bike, self.rng, self.hidden = bike, rng, Hidden()
        self.quiet = float(rng.uniform(0.22, 0.55))
        self.prompt = self.quiet + float(rng.uniform(0.05, 0.3))
        self.error = float(rng.uniform(0.04, 0.20))
        barred = CABLE_ONLY if bike.rear.actuation == "electronic" else ELECTRONIC_ONLY
        names = [name for name in FAULTS if name not in barred]
        self.faults = tuple(str(n) for n in rng.choice(names, size=faults, replace=False))
        for name in self.faults:
            FAULTS[name](self)

    # --- physics ----------------------------------------------------------------------------------

    def offset(self, cog: int, inboard: bool) -> float:
        """Pulley offset on the cog (by place) after a shift in that direction, mm, + inboard."""
        h, last = self.hidden, len(self.bike.cogs) - 1
        arm = 30 + 1.7 * (self.bike.cogs[cog] - self.bike.cogs[0])
        at = h.index + h.rate * (cog - last / 2) + np.tan(np.radians(h.tilt)) * arm
        at += -0.8 * h.drag if inboard else 1.15 * h.drag
        pitch = self.bike.cassette.pitch_mm
        return float(np.clip(at, -h.high - cog * pitch, h.low + (last - cog) * pitch))

    def true_word(self, ring: int, cog: int, moment: str) -> str:
        """What an ear that does not err would hear in a gear (cog by place)."""
        if moment in ("to_larger_cog", "to_smaller_cog"):
            return self._shift_word(cog, moment == "to_larger_cog")
        return self._gear_word(cog, hard=moment == "pedalling_hard")

    def _shift_word(self, cog: int, inboard: bool) -> str:
        h, last = self.hidden, len(self.bike.cogs) - 1
        if h.loose_plug:
            return "no_response"
        if inboard and cog == last and h.low > 1.9:
            return "fell_inside"
        if not inboard and cog == 0 and h.high > 2.1:
            return "fell_outside"
        at = self.offset(cog, inboard)
        short = -at if inboard else at
        if short > self.prompt + 0.9:
            return "refused"
        if short > self.prompt:
            return "slow"
        if -short > 2 * self.prompt + 0.5:
            return "too_far"
        if h.gap > 6 and cog <= last // 2:
            return "slow"
        return "clean"

    def _gear_word(self, cog: int, hard: bool) -> str:
        h, last = self.hidden, len(self.bike.cogs) - 1
        if cog >= last - 1 and h.gap < -3.8:
            return "rumble"
        if h.stiff_link and cog <= (last if hard else last // 2 + 1):
            return "skip" if hard else "tick"
        if h.worn_cog == cog and (hard or h.worn_cog <= 2):
            return "skip"
        if hard and h.wear > 0.7 and cog <= last // 2:
            return "skip"
        at = max((self.offset(cog, True), self.offset(cog, False)), key=abs)
        if abs(at) > 2 * self.quiet + 0.8:
            return "wanders"
        return "rattle" if abs(at) > self.quiet + 0.15 else "clean"

    def sound(self) -> bool:
        """Whether every gear is clean for an ear that does not err."""
        return all(self.true_word(*gear) == "clean" for gear in self.gears())

    # --- listening --------------------------------------------------------------------------------

    def gears(self) -> list[tuple[int, int, str]]:
        """Every gear of the largest ring both ways, in gear, and under load."""
        ring, last = self.bike.rings[-1], len(self.bike.cogs) - 1
        ups = [(ring, cog, "to_larger_cog") for cog in range(1, last + 1)]
        downs = [(ring, cog, "to_smaller_cog") for cog in range(last - 1, -1, -1)]
        rest = [(ring, cog, moment) for moment in ("pedalling", "pedalling_hard") for cog in range(last + 1)]
        return ups + downs + rest

    def _entry(self, ring: int, cog: int, moment: str, word: str) -> LogEntry:
        extra: dict[str, Any] = {"per": "chain"} if word == "tick" else {}
        return make_entry("heard", ring=ring, cog=self.bike.cogs[cog], moment=moment, what=word, **extra)

    def hear(self, ring: int, cog: int, moment: str) -> LogEntry:
        """What this mechanic writes down about a gear."""
        word = self.true_word(ring, cog, moment)
        if self.rng.random() < self.error:
            shift = moment.startswith("to_")
            troubles = TROUBLES_IN_SHIFT if shift else TROUBLES_IN_GEAR
            word = str(self.rng.choice(troubles)) if word == "clean" or self.rng.random() < 0.6 else "clean"
        return self._entry(ring, cog, moment, word)

    def ride(self, sparse: bool) -> list[LogEntry]:
        """A full sweep, or five troubles (if there are any) and two good gears."""
        heard = [self.hear(*gear) for gear in self.gears()]
        if not sparse:
            return heard
        order = self.rng.permutation(len(heard))
        troubles = [heard[n] for n in order if getattr(heard[n], "what", "") != "clean"][:5]
        good = [heard[n] for n in order if getattr(heard[n], "what", "") == "clean"][:2]
        return troubles + good

    # --- hands ------------------------------------------------------------------------------------

    def turn(self, what: str, amount: float | None) -> None:
        """A hand turns; its amount is inexact."""
        h = self.hidden
        if what == "hanger":
            h.tilt = float(self.rng.normal(0, 0.15))
            return
        done = (amount or 0.0) * float(self.rng.normal(1.0, 0.1))
        ratio = self.bike.rear.cable_ratio or 1.0
        if what == "rear_barrel":
            h.index += 0.8 * ratio * done
        elif what == "rear_micro_adjust":
            h.index += (self.bike.rear.step_mm or 0.2) * (amount or 0.0)
        elif what == "high_limit":
            h.high -= 0.8 * done
        elif what == "low_limit":
            h.low -= 0.8 * done
        elif what == "b_screw":
            h.gap += 1.15 * done

    def fit(self, what: str, cog: int | None) -> None:
        """A part is renewed or put right."""
        h = self.hidden
        if what == "rear_cable":
            h.drag = 0.0
        elif what == "rear_cable_slack":
            h.index = float(self.rng.normal(0, 0.3))
        elif what == "hanger":
            h.tilt = 0.0
        elif what in ("lever", "rear_derailleur"):
            h.rate = 0.0
        elif what == "chain":
            h.wear, h.stiff_link = 0.05, False
        elif what == "stiff_link":
            h.stiff_link = False
        elif what == "cassette" or (
            what == "cog" and h.worn_cog is not None and cog == self.bike.cogs[h.worn_cog]
        ):
            h.worn_cog = None
        elif what == "connectors":
            h.loose_plug = False

    # --- gauges -----------------------------------------------------------------------------------

    def measure(self, what: str, cog: int | None) -> float | tuple[float, ...]:
        """What a gauge or a hand test shows; looks that this bike says nothing about come out as on a sound bike."""
        h, rng, last = self.hidden, self.rng, len(self.bike.cogs) - 1
        place = self.bike.cogs.index(cog) if cog else last // 2
        if what == "hanger_rim_mm":
            lean = 622 * np.tan(np.radians(h.tilt))
            return tuple(
                round(float(v + rng.normal(0, 0.8)), 1) for v in (60 + lean / 2, 60.0, 60 - lean / 2, 60.0)
            )
        numbers = {
            "pulley_gap_mm": self.bike.rear.pulley_gap_mm
            + h.gap
            + 0.6 * (last - (self.bike.cogs.index(cog) if cog else last)),
            "pulley_offset_mm": (self.offset(place, True) + self.offset(place, False)) / 2,
            "high_limit_offset_mm": h.high,
            "low_limit_offset_mm": h.low,
            "chain_wear_pct": h.wear,
            "pulley_play_mm": 0.7,
            "battery_pct": 80.0,
            "chain_length_links": float(self.bike.chain.links or 108),
            "front_height_mm": 2.0,
            "front_angle_deg": 0.0,
            "front_inner_gap_mm": 1.0,
            "front_outer_gap_mm": 1.0,
        }
        errors = {"chain_wear_pct": 0.08, "chain_length_links": 0.0, "battery_pct": 3.0, "pulley_gap_mm": 0.7}
        if what in numbers:
            value = round(float(numbers[what] + rng.normal(0, errors.get(what, 0.3))), 2)
            return max(value, 0.0) if what in ("chain_wear_pct", "pulley_gap_mm", "pulley_play_mm") else value
        return self._hand_test(what, place if cog else None)

    def _hand_test(self, what: str, place: int | None) -> float:
        h, last = self.hidden, len(self.bike.cogs) - 1
        held = (place in (None, 0) and h.high < -0.5) or (place in (None, last) and h.low < -0.5)
        faulty = {
            "cable_drag": h.drag > 0.3,
            "cable_slack": h.index < -1.0,
            "limit_touches": held,
            "stiff_link": h.stiff_link,
            "worn_cog": h.worn_cog is not None and place in (None, h.worn_cog),
        }
        good_is_one = {
            "cable_taut": h.index > -0.8,
            "reaches_by_hand": not held,
            "connectors_seated": not h.loose_plug,
            "derailleur_button_works": True,
            "lever_cell_ok": True,
            "pivots_spring_back": True,
            "cage_springs_back": True,
            "freehub_turns_free": True,
            "pulley_turns_free": True,
            "lockring_tight": True,
            "wheel_seated": True,
            "lever_clicks": True,
            "ring_runs_true": True,
            "front_cable_taut": True,
        }
        truth = good_is_one.get(what, faulty.get(what, False))
        wrong = self.rng.random() < 0.06
        return float(truth != wrong)
