"""What complaints say of causes: trade knowledge written down as levels, corrected by counts of known cases.

A level says how many times likelier a thing is said under a cause than among complaints in general. It weighs like so
many cases (`level_cases` in data/reports.toml), to which known cases add theirs. Levels: data/learned/, with a README.
"""

import csv
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tunekit.data import table
from tunekit.diagnosis.reports.counts import CASES, STEP, Counts, Step, read_counts, step_of
from tunekit.diagnosis.reports.features import features
from tunekit.session import Heard, Session

Floats = NDArray[np.floating[Any]]
WRITERS = "abc"


@dataclass(frozen=True)
class Levels:
    """Trade knowledge, as three writers put it down; arrays by cause."""

    causes: tuple[str, ...]
    common: Floats
    """Log of how common each cause is; shape (causes,)."""
    times: Mapping[str, Floats]
    """By feature, log of how many times likelier it is said; shape (causes,)."""
    steps: Mapping[Step, Floats]
    """By first step, the writers' votes for it, the first place one, the second half and so on; shape (causes,)."""


@dataclass(frozen=True)
class Learned:
    """Levels and counts in one: what a log says of each cause, and what a master does first."""

    causes: tuple[str, ...]
    common: Floats
    """Log of how common each cause is among complaints, up to a constant; shape (causes,)."""
    times: Mapping[str, Floats]
    """By feature, log of how many times likelier it is; shape (causes,) each."""
    steps: tuple[Step, ...]
    accepted: Floats
    """Chance that a master accepts a first step under a cause; shape (causes, steps)."""
    cases: float
    """How many known cases stand behind it."""


def _rows(name: str) -> list[dict[str, str]]:
    with (files("tunekit.data") / "learned" / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


@cache
def levels() -> Levels:
    """The shipped levels, read once."""
    weighed = table("reports")
    times_of = {
        str(level): np.log(times) for level, times in zip(range(-3, 4), weighed["times"], strict=True)
    }
    priors = _rows("priors.csv")
    at = {row["cause"]: n for n, row in enumerate(priors)}
    times: dict[str, Floats] = {}
    for row in _rows("levels.csv"):
        said = [times_of[row[who]] for who in WRITERS if row[who]]
        times.setdefault(row["feature"], np.zeros(len(at)))[at[row["cause"]]] = sum(said) / len(said)
    steps: dict[Step, Floats] = {}
    for row in _rows("first_steps.csv"):
        step = row["kind"], row["what"], int(row["sign"])
        steps.setdefault(step, np.zeros(len(at)))[at[row["cause"]]] += 1 / int(row["rank"])
    common = [np.mean([float(row[who]) for who in WRITERS]) * np.log(2) for row in priors]
    return Levels(causes=tuple(at), common=np.array(common), times=times, steps=steps)


def learned_from(known: Levels, counts: Counts) -> Learned:
    """Levels as prior cases, and the counts of known cases on top."""
    weighed, at = table("reports"), {cause: n for n, cause in enumerate(known.causes)}
    said: dict[str, Floats] = {}
    for (thing, cause), count in counts.by.items():
        if cause in at:
            said.setdefault(thing, np.zeros(len(at)))[at[cause]] += count
    none = np.zeros(len(at))
    of = said.pop(CASES, none)
    right = {step_of(name): said.pop(name) for name in list(said) if name.startswith(f"{STEP}:")}
    times = {
        name: _times(known.times.get(name, none), said.get(name, none), of)
        for name in sorted(known.times.keys() | said.keys())
    }
    steps = tuple(sorted(known.steps.keys() | right.keys()))
    vote = np.array([known.steps.get(step, none) for step in steps]).T
    most = np.maximum(vote.max(axis=1, keepdims=True), 1e-9)
    least, span = weighed["step_floor"], weighed["step_span"]
    vote = np.where(vote > 0, span[0] + (span[1] - span[0]) * vote / most, least)
    taken = np.array([right.get(step, none) for step in steps]).T
    weight = weighed["step_cases"]
    return Learned(
        causes=known.causes,
        common=weighed["trust_levels"] * known.common + weighed["trust_counts"] * np.log(of + 1),
        times=times,
        steps=steps,
        accepted=(taken + weight * vote) / (of[:, None] + weight),
        cases=float(of.sum()),
    )


def _times(level: Floats, said: Floats, of: Floats) -> Floats:
    """Log of how many times likelier a thing is said under each cause; shape (causes,)."""
    weight = table("reports")["level_cases"]
    base = (said.sum() + 0.5) / (of.sum() + 1)
    likelier = np.minimum(np.exp(level), 0.95 / base)
    return np.asarray(np.log((said + weight * base * likelier) / (of + weight) / base))


@cache
def shipped() -> Learned:
    """The shipped levels and counts."""
    return learned_from(levels(), read_counts(files("tunekit.data") / "learned" / "counts.csv"))


@dataclass(frozen=True, slots=True)
class Reported:
    """What a log says as a complaint."""

    log_odds: Mapping[str, float] = field(default_factory=dict)
    """By cause, in nats, up to a constant that is the same for all."""
    share: float = 0.0
    """How far the log is a complaint, 0 to 1; the rest is a sweep, of which geometry speaks."""


def reported(session: Session, known: Learned) -> Reported:
    """What the log says as a complaint.

    The more gears it names, the less it is one: complaints name three at most in 97 of 100 open reports, a sweep
    names them all, and what geometry makes of named gears is not to be counted twice.
    """
    return Reported(cause_log_odds(session, known), complaint_share(session))


def cause_log_odds(session: Session, known: Learned) -> dict[str, float]:
    """What the words, history and trials of a log say for each cause, in nats, up to a constant."""
    weighed = table("reports")
    said = [known.times[name] for name in features(session) if name in known.times]
    odds = weighed["common"] * known.common + weighed["overlap"] * sum(said, np.zeros(len(known.causes)))
    return dict(zip(known.causes, odds.tolist(), strict=True))


def complaint_share(session: Session) -> float:
    """How far a log is a complaint and not a sweep: 1 up to a few gears named, then falling by the square."""
    heard = (entry for entry in session.log if isinstance(entry, Heard) and entry.cog is not None)
    named = len({(entry.cog, entry.moment) for entry in heard})
    return float(min(1.0, (table("reports")["complaint_gears"] / max(named, 1)) ** 2))


def steps_by_custom(chances: Mapping[str, float], known: Learned) -> list[tuple[Step, float]]:
    """First steps with the chance that a master accepts them, given the chances of the causes; the likeliest first."""
    chance = np.array([chances.get(cause, 0.0) for cause in known.causes])
    score = chance @ known.accepted
    return [(known.steps[n], float(score[n])) for n in np.argsort(-score, kind="stable")]
