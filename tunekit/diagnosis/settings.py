"""What may be off on a bike, each at a few sizes: the settings of which a hypothesis is made.

A *setting* is one cause at one size (the index 0.5 mm outboard, a worn 13-tooth cog, a loose plug).
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tunekit.bike import Bike, TunekitError
from tunekit.bike.conditions import conditions
from tunekit.data import table
from tunekit.diagnosis.evidence import Evidence
from tunekit.mechanics.from_bike import side_view
from tunekit.mechanics.geometry import typical
from tunekit.mechanics.hanger import arms_mm
from tunekit.mechanics.sprocket import pitch_diameter_mm

Floats = NDArray[np.floating[Any]]
FRONT_AXES = ("height", "angle", "inner", "outer", "index")
BUTTONS = (
    ("to_smaller_cog",),
    ("to_larger_cog",),
    ("to_larger_ring",),
    ("to_smaller_ring",),
    ("to_larger_cog", "to_smaller_cog"),
)
FRONT_CAUSES = {
    "height": ("front_low", "front_high"),
    "angle": ("front_rotated", "front_rotated"),
    "inner": ("front_inner_limit_tight", "front_inner_limit_loose"),
    "outer": ("front_outer_limit_tight", "front_outer_limit_loose"),
    "index": ("front_cable_slack", "front_cable_tight"),
}
SCREWS = ("high_limit", "low_limit", "gap")
"""Axes moved by a screw whose effect is not known well."""
RESETS_INDEX = frozenset({"rear_cable", "rear_cable_slack", "rear_derailleur"})
DISTURBS_INDEX = frozenset(
    {"hanger", "wheel", "cassette", "lever", "rear_derailleur", "motor_reset", "lockring"}
)


@dataclass(slots=True)
class Setting:
    """One cause at one size. Amounts are differences from a sound bike."""

    cause: str
    group: str
    share: float
    """How probable this size is, given the cause."""
    index_mm: float = 0.0
    before_mm: float = 0.0
    """Index before the cable was last clamped afresh."""
    larger_mm: Floats | None = None
    """Pulley shift on each cog after a shift to a larger one; shape (cogs,)."""
    smaller_mm: Floats | None = None
    high_limit_mm: float = 0.0
    low_limit_mm: float = 0.0
    wheel_mm: float = 0.0
    """How far a wheel that is not seated leaves the pulley inboard of the cogs, and both stops with it."""
    gap_mm: float = 0.0
    gap_borne: float = 0.0
    """Share of a gap too large (+) or too small (-) that this derailleur bears without a sound."""
    front: tuple[float, float, float, float, float] = (0.0, 0.0, 0.0, 0.0, 0.0)
    factor: float = 1.0
    """On the word rates of the table."""
    level: int = 1
    """0 mild, 1 plain, 2 strong: which of the table's measured shifts."""
    cog: int | None = None
    """Place of the cog it sits on."""
    button: int | None = None
    does: float = 1.0
    """What a turn of the screw of its group does, against what it is taken to do."""
    tilt_deg: float = 0.0
    log_odds: float = 0.0
    stuck: bool = False
    """A twin that outlives the repair meant for it."""
    since: int = 0
    """Stage from which it is there at all."""


@lru_cache(maxsize=64)
def hanger_arms_mm(bike: Bike) -> Floats:
    """Guide pulley below the hanger's bolt on each cog [mm]; straight under the cog where no side view can be drawn."""
    try:
        return arms_mm(side_view(bike))[0]
    except TunekitError:
        radius = pitch_diameter_mm(np.array((*bike.cogs, bike.rear.guide_teeth))) / 2
        return np.asarray(radius[:-1] + radius[-1] + bike.rear.pulley_gap_mm - typical("hanger_down_mm"))


def _needed(bike: Bike, cause: dict[str, Any]) -> bool:
    return set(cause.get("needs", ())) <= conditions(bike)


def cause_odds(bike: Bike, evidence: Evidence) -> dict[str, float]:
    """Probability of each cause that this bike can have, before anything was heard."""
    odds = {}
    fitted_as_told = {"chain": "new_chain"}
    told = set(evidence.told) | {fitted_as_told[r.what] for r in evidence.repairs if r.what in fitted_as_told}
    for name, cause in table("causes").items():
        if not _needed(bike, cause):
            continue
        chance = cause["prior"] / 1000
        for condition, factor in cause.get("fewer", {}).items():
            chance *= factor if condition in conditions(bike) else 1.0
        for what, factor in cause.get("told", {}).items():
            if what in told and (what in evidence.told or name in _BORN_OF_A_CHAIN):
                chance *= factor
        odds[name] = min(chance * _known_factor(bike, name), 0.6)
    return _as_reported(odds, evidence)


def _as_reported(odds: dict[str, float], evidence: Evidence) -> dict[str, float]:
    """The odds of the causes that reports know, by what was said; what the owner told is in it already."""
    weighed, causes = table("reports"), table("causes")
    said = {name: evidence.reported[name] for name in odds if name in evidence.reported}
    if not said:
        return odds
    least = weighed["least"]
    # A cause that no report knows keeps its place among the others, which are all raised alike.
    raised = weighed["mass"] / sum(odds[name] for name in said)
    odds = {name: min(chance * raised, weighed["most"]) for name, chance in odds.items()}
    logs = np.array(
        [
            weighed["prior"] * np.log(max(causes[name]["prior"] / 1000, least)) + value
            for name, value in said.items()
        ]
    )
    share = np.exp(logs - logs.max())
    share *= weighed["mass"] / share.sum()
    return odds | {
        name: float(np.clip(chance, least, weighed["most"])) for name, chance in zip(said, share, strict=True)
    }


_BORN_OF_A_CHAIN = ("new_chain_on_worn_cogs", "stiff_link", "joining_link", "chain_misrouted")


def _known_factor(bike: Bike, cause: str) -> float:
    """What the bike's own figures say of a cause."""
    rear, rate = bike.rear, table("model")["rate"]
    if cause == "pull_mismatch" and rear.cable_ratio and rear.lever_pull_mm:
        off = abs(rear.cable_ratio * rear.lever_pull_mm - bike.cassette.pitch_mm)
        return float(rate["known_odds"]) if off > rate["known_mm"] else 1.0
    return 1.0


@dataclass(slots=True)
class Maker:
    """Makes the settings of one bike in the light of one log."""

    bike: Bike
    evidence: Evidence
    odds: dict[str, float]
    turned: dict[str, Floats]
    """Millimetres (degrees) that each turned thing has moved up to each stage."""
    model: dict[str, Any] = field(default_factory=lambda: table("model"))

    @property
    def cogs(self) -> int:
        return len(self.bike.cogs)

    def settings(self) -> Iterator[Setting]:
        yield Setting("nothing", "nothing", 1.0)
        yield from self._index()
        yield from self._lateral()
        for made in (self._stops(), self._gap()):
            yield from self._by_screw(made)
        yield from self._overturned()
        yield from self._front()
        yield from self._tabled()

    # --- the index --------------------------------------------------------------------------------

    def _slab(self, start_mm: Floats) -> Floats:
        """Density of a faulty index at the start [1/mm]: even to 1.8 mm, then fading."""
        size = np.abs(start_mm)
        out, inn = (self.odds.get(n, 0.0) for n in ("index_outboard", "index_inboard"))
        both = self.odds.get("electronic_index", 0.0) / 2
        swapped = self.odds.get("wheel_swapped", 0.0) / 2
        side = np.where(start_mm < 0, out + both + swapped, inn + both + swapped)
        shape = np.clip((size - 0.15) / 0.2, 0, 1) * np.exp(-np.clip(size - 1.6, 0, None) / 0.5)
        return side * shape / 1.9

    def _index(self) -> Iterator[Setting]:
        grid = np.arange(
            -self.model["index"]["reach_mm"],
            self.model["index"]["reach_mm"] + 1e-9,
            self.model["index"]["step_mm"],
        )
        width = self.model["index"]["step_mm"]
        turned = self.turned["index"]
        reset = self.last_clamped
        moved = float(turned[-1] - turned[reset])
        well = self.model["index"]["clamped_well"]
        if reset:
            faulty = self._slab(grid - moved)
            faulty = faulty / max(faulty.sum() * width, 1e-9) * (1 - well)
            spread = self.model["turns"]["disturbed_mm"] + self.model["turns"]["spread"] * abs(moved)
            faulty = faulty + well * _bell(grid - moved, spread)
        else:
            faulty = self._slab(grid - moved)
            spread = self.model["turns"]["spread"] * float(
                np.abs(np.diff(turned, prepend=0)).sum()
            ) + 0.04 * bool(moved)
            if spread > 0:
                faulty = faulty + 0.6 * _bell(grid - moved, spread)
        for value, density in zip(grid, faulty, strict=True):
            if density > 1e-6 and abs(value - moved) > 1e-9:
                yield Setting(
                    "index",
                    "index",
                    1.0,
                    index_mm=float(value - moved),
                    log_odds=float(np.log(density * width)),
                )
        if reset:
            yield from self._before_clamping(grid)

    def _before_clamping(self, grid: Floats) -> Iterator[Setting]:
        """Where the index stood before the cable was clamped afresh: since set anew, or clamped on the old mark."""
        width, kept = self.model["index"]["step_mm"], self.model["index"]["clamped_alike"]
        for value in (-2.2, -1.6, -1.1, -0.7, 0.7, 1.1, 1.6, 2.2):
            chance = float(self._slab(np.array([value]))[0]) * 0.5
            yield Setting("past", "past_index", 1.0, before_mm=value, log_odds=float(np.log(chance + 1e-6)))
        for value, density in zip(grid, self._slab(grid), strict=True):
            if density > 1e-6:
                yield Setting(
                    "index",
                    "index",
                    1.0,
                    before_mm=float(value),
                    index_mm=float(value + self.turned["index"][self.last_clamped]),
                    log_odds=float(np.log(density * width * kept)),
                )

    @property
    def last_clamped(self) -> int:
        """Stage from which the index counts afresh, 0 when it never was."""
        return max((r.stage for r in self.evidence.repairs if r.what in RESETS_INDEX), default=0)

    # --- what shifts the pulley from cog to cog ---------------------------------------------------

    def _lateral(self) -> Iterator[Setting]:
        yield from self._drags()
        yield from self._hangers()
        yield from self._rates()
        yield from self._misplaced()
        yield from self._wheel()

    def _drags(self) -> Iterator[Setting]:
        model, ones = self.model["drag"], np.ones(self.cogs)
        for cause, both, felt in (
            ("cable_drag", model["cable_both"], model["felt"]),
            ("derailleur_sticky", model["sticky_both"], [[1.0, 1.0]]),
        ):
            for size in model["lag_mm"]:
                for (held_up, ways), (share, factor) in product(((size, both), (0.0, 1 - both)), felt):
                    yield Setting(
                        cause,
                        cause,
                        share * ways / len(model["lag_mm"]),
                        larger_mm=-held_up * ones,
                        smaller_mm=size * ones,
                        factor=factor,
                    )

    def _hangers(self) -> Iterator[Setting]:
        model, arms = self.model["hanger"], hanger_arms_mm(self.bike)
        for growth in model["arm_growth"]:
            grown = arms[0] + growth * (arms - arms[0])
            for share, anchor in zip(
                model["compensated"], (0.0, grown[0] / 2, grown[0], grown[self.cogs // 2]), strict=True
            ):
                yield from self._tilted(grown - anchor, share / len(model["arm_growth"]))
        for stage in dict.fromkeys(r.stage for r in self.evidence.repairs if r.what == "hanger"):
            yield from self._left(arms, stage)

    def _left(self, arms_mm: Floats, stage: int) -> Iterator[Setting]:
        """A tilt that straightening left."""
        for cause, sign in (("hanger_bent_inboard", 1), ("hanger_bent_outboard", -1)):
            for tilt in self.model["hanger"]["left_deg"]:
                shift = sign * np.tan(np.radians(tilt)) * arms_mm
                yield Setting(
                    cause,
                    f"hanger_left_{stage}",
                    self.model["hanger"]["left"] / 2 / len(self.model["hanger"]["left_deg"]),
                    larger_mm=shift,
                    smaller_mm=shift,
                    tilt_deg=sign * tilt,
                    since=stage,
                )

    def _tilted(self, arms_mm: Floats, share: float) -> Iterator[Setting]:
        """Every tilt, either way, on these arms."""
        sizes = self.model["hanger"]["tilt_deg"]
        for cause, sign in (("hanger_bent_inboard", 1), ("hanger_bent_outboard", -1)):
            for tilt in sizes:
                shift = sign * np.tan(np.radians(tilt)) * arms_mm
                yield Setting(
                    cause,
                    "hanger",
                    share / len(sizes),
                    larger_mm=shift,
                    smaller_mm=shift,
                    tilt_deg=sign * tilt,
                )

    def _rates(self) -> Iterator[Setting]:
        model, places = self.model["rate"], np.arange(self.cogs, dtype=float)
        sizes = [sign * size for size in model["per_click_mm"] for sign in (1, -1)]
        for place, share in model["pivot"]:
            for size in sizes:
                shift = size * (places - place * (self.cogs - 1))
                yield Setting("pull_mismatch", "rate", share / len(sizes), larger_mm=shift, smaller_mm=shift)

    def _misplaced(self) -> Iterator[Setting]:
        places = np.arange(self.cogs)
        for size in (self.model["spacing"]["step_mm"], -self.model["spacing"]["step_mm"]):
            for first in range(2, self.cogs):
                shift = size * (places >= first)
                yield Setting(
                    "cog_spacing_wrong",
                    "spacing",
                    0.5 / max(self.cogs - 2, 1),
                    larger_mm=shift,
                    smaller_mm=shift,
                )
        for size in (self.model["misfit"]["off_mm"], -self.model["misfit"]["off_mm"]):
            for cog in range(self.cogs):
                shift = size * (places == cog)
                yield Setting(
                    "cog_misfitted", "misfit", 0.5 / self.cogs, larger_mm=shift, smaller_mm=shift, cog=cog
                )

    def _wheel(self) -> Iterator[Setting]:
        """A wheel that is not seated stands crooked: the cogs lie elsewhere, the derailleur stays where it is."""
        sizes, ones = self.model["wheel"]["off_mm"], np.ones(self.cogs)
        for off in (sign * size for size in sizes for sign in (1, -1)):
            yield Setting(
                "wheel_not_seated",
                "wheel",
                0.5 / len(sizes),
                larger_mm=off * ones,
                smaller_mm=off * ones,
                wheel_mm=off,
            )

    def _by_screw(self, made: Iterator[Setting]) -> Iterator[Setting]:
        """Where a screw was turned, each setting also with a screw that does less, or more, than is usual."""
        model = self.model["turns"]
        for setting in made:
            yield setting
            for does in model["does"] if self.turned[setting.group].any() else ():
                yield replace(setting, does=does, share=setting.share * model["does_odds"])

    def _overturned(self) -> Iterator[Setting]:
        """Screws that stood right and moved less, or more, than they were meant to."""
        model = self.model["turns"]
        for axis in SCREWS:
            for does in model["does"] if self.turned[axis].any() else ():
                yield Setting("past", axis, 1.0, does=does, log_odds=float(np.log(model["does_odds"])))

    # --- stops, gap, front ------------------------------------------------------------------------

    def _stops(self) -> Iterator[Setting]:
        for stop in ("high_limit", "low_limit"):
            for kind in ("tight", "loose"):
                sizes = self.model["stops"][f"{stop}_{kind}_mm"]
                for size in sizes:
                    amounts = {f"{stop}_mm": float(size)}
                    yield Setting(f"{stop}_{kind}", stop, 1 / len(sizes), **amounts)  # type: ignore[arg-type]

    def _gap(self) -> Iterator[Setting]:
        for kind in ("small", "large"):
            target = self.bike.rear.pulley_gap_mm
            sizes = [size for size in self.model["gap"][f"{kind}_mm"] if target + size > 0]
            borne = kind == "large" or target > self.model["gap"]["usual_mm"] + 1
            felt = self.model["gap"]["felt"] if borne else [1.0]
            for size, part in product(sizes, felt):
                yield Setting(
                    f"pulley_gap_{kind}",
                    "gap",
                    1 / len(sizes) / len(felt),
                    gap_mm=float(size),
                    gap_borne=float(np.sign(size) * (1 - part)),
                )

    def _front(self) -> Iterator[Setting]:
        for axis, (low, high) in FRONT_CAUSES.items():
            place = FRONT_AXES.index(axis)
            unit = "deg" if axis == "angle" else "mm"
            for cause, sizes in ((low, "low"), (high, "high")):
                levels = self.model["front"][f"{axis}_{unit}"][sizes]
                both = 0.5 if low == high else 1.0
                for size in levels:
                    amounts = tuple(float(size) if i == place else 0.0 for i in range(5))
                    yield Setting(cause, f"front_{axis}", both / len(levels), front=amounts)  # type: ignore[arg-type]

    # --- what only the table describes ------------------------------------------------------------

    def _tabled(self) -> Iterator[Setting]:
        factors = self.model["severity"]["factors"]
        for name, cause in table("causes").items():
            if "axis" in cause:
                continue
            if cause.get("on") == "cog":
                yield from (
                    Setting(name, name, 1 / self.cogs, cog=cog, factor=1.2) for cog in range(self.cogs)
                )
            elif cause.get("on") == "button":
                yield from (Setting(name, name, 1 / len(BUTTONS), button=i) for i in range(len(BUTTONS)))
            else:
                for level, factor in enumerate(factors):
                    yield Setting(name, name, 1 / len(factors), factor=factor, level=level + 1)


def _bell(distance: Floats, spread: float) -> Floats:
    return np.asarray(np.exp(-0.5 * (distance / spread) ** 2) / (spread * np.sqrt(2 * np.pi)))
