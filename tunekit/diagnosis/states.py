"""The settings of one bike as arrays, and when each of them is there.

A hypothesis is a handful of settings from different groups; setting 0 is "nothing off".
"""

from collections.abc import Iterable, Iterator
from functools import cache, cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tunekit.bike import Bike
from tunekit.data import table
from tunekit.diagnosis.evidence import Evidence, Repair
from tunekit.diagnosis.places import gear_map
from tunekit.diagnosis.settings import Maker, Setting, cause_odds

Floats = NDArray[np.floating[Any]]


@cache
def mended_by(cause: str, kind: str, what: str) -> float:
    """Chance that this repair puts that cause right."""
    return float(table("causes").get(cause, {}).get("mends", {}).get(f"{kind}.{what}", 0.0))


class States:
    """The settings of one bike, as arrays over settings (first axis)."""

    def __init__(self, bike: Bike, evidence: Evidence, turned: dict[str, Floats]) -> None:
        self.bike, self.evidence, self.turned = bike, evidence, turned
        self.places = gear_map(bike)
        self.odds = cause_odds(bike, evidence)
        self._meant: dict[str, list[Repair]] = {}
        maker = Maker(bike, evidence, self.odds, turned)
        self.last_clamped = maker.last_clamped
        self.settings = list(self._with_odds(maker.settings()))
        self.active = np.array([self._active(setting) for setting in self.settings])
        names = {name: number for number, name in enumerate(dict.fromkeys(s.group for s in self.settings))}
        self.group = np.array([names[s.group] for s in self.settings])

    def __len__(self) -> int:
        return len(self.settings)

    def _with_odds(self, made: Iterable[Setting]) -> Iterator[Setting]:
        for setting in made:
            if setting.cause in ("nothing", "index", "past"):
                yield setting
                continue
            odds = self.odds.get(setting.cause, 0.0)
            chance = setting.share if setting.since else odds * setting.share
            if odds <= 0:
                continue
            setting.log_odds = float(np.log(chance / (1 - (chance if setting.since else odds))))
            yield setting
            yield from self._stuck_twin(setting)

    def _stuck_twin(self, setting: Setting) -> Iterator[Setting]:
        missed = [1 - mended_by(setting.cause, r.kind, r.what) for r in self._repairs_of(setting)]
        if missed and (chance := float(np.prod(missed))) > 1e-4:
            twin = Setting(**{name: getattr(setting, name) for name in Setting.__slots__})
            twin.stuck, twin.log_odds = True, setting.log_odds + float(np.log(chance))
            yield twin

    def _repairs_of(self, setting: Setting) -> list[Repair]:
        if setting.cause not in self._meant:
            self._meant[setting.cause] = [
                r for r in self.evidence.repairs if mended_by(setting.cause, r.kind, r.what) > 0
            ]
        cog = None if setting.cog is None else self.bike.cogs[setting.cog]
        return [
            r
            for r in self._meant[setting.cause]
            if (r.cog is None or cog is None or r.cog == cog)
            and (not setting.since or r.stage > setting.since)
        ]

    def _active(self, setting: Setting) -> Floats:
        """1 in the stages in which the setting is there, 0 in the others; shape (stages,)."""
        there = np.ones(self.evidence.stages)
        there[: setting.since] = 0
        if not setting.stuck and setting.cause not in ("nothing", "index", "past"):
            for repair in self._repairs_of(setting):
                there[repair.stage :] = 0
        if setting.cause == "new_chain_on_worn_cogs" and "new_chain" not in self.evidence.told:
            first = min((r.stage for r in self.evidence.repairs if r.what == "chain"), default=0)
            there[:first] = 0
        return there

    def _column(self, name: str) -> Floats:
        return np.array([getattr(s, name) for s in self.settings], float)

    @cached_property
    def log_odds(self) -> Floats:
        """Log of the odds of each setting against the group being sound; shape (settings,)."""
        return self._column("log_odds")

    def odds_of(self, chosen: NDArray[np.bool_]) -> Floats:
        """Prior odds of the chosen settings, a twin that outlives a repair left out; shape (chosen,)."""
        return np.where(self._column("stuck")[chosen] > 0, 0.0, np.exp(self.log_odds[chosen]))

    @cached_property
    def index_mm(self) -> Floats:
        return self._column("index_mm")

    @cached_property
    def index_moved(self) -> Floats:
        """Index moved by hand since the cable was last clamped afresh [mm]; shape (stages,)."""
        return np.asarray(self.turned["index"] - self.turned["index"][self.last_clamped])

    @cached_property
    def as_turned(self) -> NDArray[np.intp]:
        """The first stage in which all but the index stood as in each stage, the wheel too; shape (stages,)."""
        wheel = self.active[self._column("wheel_mm") != 0]
        stood = np.stack([*(moved for axis, moved in self.turned.items() if axis != "index"), *wheel], axis=1)
        _, first, like = np.unique(stood, axis=0, return_index=True, return_inverse=True)
        return np.asarray(first[like.ravel()])

    @cached_property
    def shifts(self) -> NDArray[np.bool_]:
        """Whether a setting shifts the pulley from cog to cog; shape (settings,)."""
        return np.array([s.larger_mm is not None for s in self.settings])

    @cached_property
    def before_mm(self) -> Floats:
        return self._column("before_mm")

    def _by_stage(self, axis: str, name: str) -> Floats:
        """An amount of each setting, and what turns did to it beyond what they were taken to; (settings, stages)."""
        more = np.array([s.does - 1 if s.group == axis else 0.0 for s in self.settings])
        return np.asarray(self._column(name)[:, None] + more[:, None] * self.turned[axis])

    @cached_property
    def stops_mm(self) -> Floats:
        """High and low stop against a sound one; shape (settings, stages, 2)."""
        stops = [self._by_stage(axis, f"{axis}_mm") for axis in ("high_limit", "low_limit")]
        return np.stack(stops, axis=2)

    @cached_property
    def seen_stops_mm(self) -> Floats:
        """The same as they stand to the cogs, which move with the wheel; shape (settings, stages, 2)."""
        wheel = self._column("wheel_mm")[:, None] * self.active
        return np.asarray(self.stops_mm + np.stack([-wheel, wheel], axis=2))

    @property
    def sound_stops_mm(self) -> tuple[float, float]:
        """Where sound stops let the pulley stand beyond the end cogs: high, low."""
        model = table("model")["stops"]
        return float(model["high_limit_mm"]), float(model["low_limit_mm"])

    @cached_property
    def gap_mm(self) -> Floats:
        """Shape (settings, stages)."""
        return self._by_stage("gap", "gap_mm")

    @cached_property
    def gap_borne(self) -> Floats:
        """Share of a gap too large (+) or too small (-) that is borne without a sound; shape (settings,)."""
        return self._column("gap_borne")

    @cached_property
    def cog(self) -> Floats:
        """Place of the cog that a setting sits on, -1 for none; shape (settings,)."""
        return np.array([-1 if s.cog is None else s.cog for s in self.settings], float)

    @cached_property
    def cause(self) -> NDArray[np.intp]:
        """Place of each setting's cause in the table of causes, -1 for none; shape (settings,)."""
        numbers = {name: number for number, name in enumerate(table("causes"))}
        return np.array([numbers.get(s.cause, -1) for s in self.settings], dtype=np.intp)

    @cached_property
    def tilt_deg(self) -> Floats:
        return self._column("tilt_deg")

    @cached_property
    def front(self) -> Floats:
        """Shape (settings, 5): height, angle, inner stop, outer stop, index."""
        return np.array([s.front for s in self.settings])

    @cached_property
    def shift_mm(self) -> Floats:
        """Pulley shift by direction (to larger, to smaller) and cog; shape (settings, 2, cogs)."""
        shift = np.zeros((len(self), 2, len(self.bike.cogs)))
        for number, setting in enumerate(self.settings):
            if setting.larger_mm is not None and setting.smaller_mm is not None:
                shift[number, 0], shift[number, 1] = setting.larger_mm, setting.smaller_mm
        return shift
