"""Simulation-based calibration: bikes out of the belief's own prior, words out of its own forward model.

Validating Bayesian inference algorithms with simulation-based calibration (2018). What the belief does on purpose
beyond its own forward model (words of one moment weigh less together) shows here as too little confidence, never as
too much.
"""

from dataclasses import dataclass
from typing import get_args

import numpy as np
from numpy.typing import NDArray
from scipy.stats import binom

from tunekit.bike import Bike
from tunekit.data import table
from tunekit.diagnosis.belief import WIDTH, _Search, believe
from tunekit.diagnosis.evidence import Evidence, read
from tunekit.diagnosis.hands import moved
from tunekit.diagnosis.places import Place
from tunekit.diagnosis.reading import Spot
from tunekit.diagnosis.states import States
from tunekit.diagnosis.update import Update, error_levels
from tunekit.session import Session, make_entry
from tunekit.session import vocabulary as words

Floats = NDArray[np.float64]
HEARD = 36
"""Places listened to on each bike, and all written down: few enough of them would be read as a list of troubles."""
MOMENTS = ("to_larger_cog", "to_smaller_cog", "pedalling", "pedalling_hard")


@dataclass(frozen=True)
class Pairs:
    """Probabilities said, and whether the cause was there."""

    said: Floats
    true: Floats

    def error(self, bins: int = 20) -> float:
        """Calibration error, debiased: what chance alone would show in each bin is taken off."""
        order = np.array_split(np.argsort(self.said, kind="stable"), bins)
        gaps = np.array([self.true[rows].mean() - self.said[rows].mean() for rows in order])
        noise = np.array([(self.said[rows] * (1 - self.said[rows])).mean() / len(rows) for rows in order])
        share = np.array([len(rows) for rows in order]) / len(self.said)
        return float(np.sqrt(max(share @ (gaps**2 - noise), 0.0)))

    def brier(self) -> float:
        return float(np.mean((self.said - self.true) ** 2))

    def log_score(self) -> float:
        said = np.clip(self.said, 1e-4, 1 - 1e-4)
        return float(-np.mean(np.where(self.true > 0, np.log(said), np.log(1 - said))))

    def outside(self, bins: int = 10) -> int:
        """Bins of equal size in which too many or too few were true; none is in 19 of 20 runs of an honest belief.

        By the binomial distribution, since in the bins of small probabilities hardly one is expected.
        """
        order = np.array_split(np.argsort(self.said, kind="stable"), bins)
        tails = []
        for rows in order:
            true, chance = int(self.true[rows].sum()), binom(len(rows), self.said[rows].mean())
            tails.append(min(chance.cdf(true), chance.sf(true - 1)))
        return int(np.sum(np.array(tails) < 0.05 / 2 / bins))


def places_of(bike: Bike, rng: np.random.Generator) -> list[Place]:
    last = len(bike.cogs)
    found = {
        Place(bike.rings[-1], bike.cogs[int(rng.integers(last))], str(rng.choice(MOMENTS)))
        for _ in range(HEARD)
    }
    return sorted(p for p in found if not (p.moment == "to_larger_cog" and p.cog == bike.cogs[0])
                  and not (p.moment == "to_smaller_cog" and p.cog == bike.cogs[-1]))  # fmt: skip


def drawn(search: _Search, rng: np.random.Generator) -> NDArray[np.intp]:
    """A set of settings out of the prior, as a row of WIDTH; each group has at most one."""
    odds = np.exp(search.states.log_odds)
    groups = [np.flatnonzero(search.states.group == g) for g in np.unique(search.states.group[1:])]
    top = search.by_count.max()
    while True:
        row = []
        for group in groups:
            share = np.append(1.0, odds[group])
            pick = int(rng.choice(len(share), p=share / share.sum()))
            row += [int(group[pick - 1])] if pick else []
        if len(row) <= WIDTH and rng.random() < np.exp(search.by_count[len(row)] - top):
            return np.array([[0] * (WIDTH - len(row)) + sorted(row)], dtype=np.intp)


def said_of(
    bike: Bike, places: list[Place], states: States, row: NDArray[np.intp], rng: np.random.Generator
) -> Session | None:
    """A log of words drawn from the forward model under one hypothesis.

    None where every trouble was misheard and the bike is not brought to the stand for that.
    """
    update = Update(states)
    level = int(rng.choice(len(update.quiet_odds), p=update.quiet_odds / update.quiet_odds.sum()))
    error = float(rng.choice(error_levels(0)))
    names = get_args(words.Heard)
    reading = update.asked([Spot(0, place, name) for place in places for name in names], update.blur)
    chance = next(reading.heard(row, update.offsets(row), [level])).T
    true, mistaken = (part.reshape(len(places), -1) for part in (chance[0], reading.mistaken))
    log, founded = [], []
    for place, slip, shares in zip(
        places, rng.random(len(places)) < error, zip(true, mistaken, strict=True), strict=True
    ):
        share = shares[int(slip)]
        what = str(rng.choice(names, p=share / share.sum()))
        log.append(make_entry("heard", ring=place.ring, cog=place.cog, moment=place.moment, what=what))
        if what != "clean":
            founded.append(not slip)
    misheard = bool(founded) and not any(founded)
    if misheard and rng.random() > table("model")["complaint"]["unfounded"]:
        return None
    return Session(bike=bike, log=tuple(log))


def calibrated(bike: Bike, draws: int, seed: int) -> Pairs:
    """Probability of each likely cause, said after the words, beside the truth."""
    rng = np.random.default_rng([17, seed])
    said, true = [], []
    for _ in range(draws):
        places = places_of(bike, rng)
        # The prior that the belief starts from knows which places were listened to, not what was heard there.
        quiet = read(Session(bike=bike, log=tuple(
            make_entry("heard", ring=p.ring, cog=p.cog, moment=p.moment, what="clean") for p in places)))  # fmt: skip
        states = States(bike, quiet, moved(bike, quiet))
        search = _Search(Update(states))
        clean = States(bike, Evidence(), moved(bike, Evidence()))
        session = None
        while session is None:
            row = drawn(search, rng)
            session = said_of(bike, places, clean, row, rng)
        found = believe(bike, read(session))
        causes = np.array([s.cause for s in found.states.settings])
        for cause in CAUSES:
            there = (causes == cause)[found.sets].any(axis=1)
            said.append(float(found.weight @ there) / (1 - found.unlisted))
            true.append(float((causes == cause)[row].any()))
    return Pairs(np.array(said), np.array(true))


CAUSES = ("index", "cable_drag", "hanger_bent_inboard", "high_limit_tight", "low_limit_tight", "chain_worn")
