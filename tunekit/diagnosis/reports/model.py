"""Log odds of each cause by what people say, from the learned table (data/learned/, made by `learn.py`)."""

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tunekit.data import table
from tunekit.diagnosis.reports.features import features
from tunekit.session import Heard, Session

Floats = NDArray[np.floating[Any]]


@dataclass(frozen=True)
class Learned:
    """The learned table: how many times likelier each thing is said under each cause, as logs."""

    causes: tuple[str, ...]
    common: Floats
    """Log of how common each cause is among complaints, up to a constant; shape (causes,)."""
    times: dict[str, Floats]
    """By feature, log of how many times likelier it is; shape (causes,) each."""


@cache
def learned() -> Learned:
    """The shipped table, read once."""
    folder = files("tunekit.data") / "learned"
    with (folder / "common.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    at = {row["cause"]: n for n, row in enumerate(rows)}
    times: dict[str, Floats] = {}
    with (folder / "times.csv").open(encoding="utf-8") as file:
        for feature, cause, log_times, *_ in list(csv.reader(file))[1:]:
            times.setdefault(feature, np.zeros(len(at)))[at[cause]] = float(log_times)
    return Learned(causes=tuple(at), common=np.array([float(row["log_common"]) for row in rows]), times=times)


Step = tuple[str, str, int]
"""Kind, what, and the sign of a turn's effect, 0 for either."""


@cache
def first_steps() -> dict[str, dict[Step, float]]:
    """By cause, the chance that a master accepts a step as the first one."""
    found: dict[str, dict[Step, float]] = {}
    with (files("tunekit.data") / "learned" / "steps.csv").open(encoding="utf-8") as file:
        for cause, kind, what, sign, accepted in list(csv.reader(file))[1:]:
            found.setdefault(cause, {})[kind, what, int(sign)] = float(accepted)
    return found


def steps_by_custom(chances: dict[str, float]) -> list[Step]:
    """First steps by how likely a master accepts them, given the chances of the causes; the likeliest first."""
    score: dict[Step, float] = {}
    for cause, chance in chances.items():
        for step, accepted in first_steps().get(cause, {}).items():
            score[step] = score.get(step, 0.0) + chance * accepted
    return sorted(score, key=lambda step: (-score[step], step))


def cause_log_odds(session: Session, known: Learned | None = None) -> dict[str, float]:
    """What the log says for each cause, in nats, up to a constant that is the same for all.

    A complaint of a few words is weighed in full. The more gears a log goes through, the less: a sweep is not a
    complaint, and geometry speaks of its words already.
    """
    known, weighed = known or learned(), table("reports")
    heard = sum(isinstance(entry, Heard) for entry in session.log)
    full = min(1.0, weighed["complaint_words"] / max(heard, 1))
    none = np.zeros(len(known.causes))
    said = sum((known.times.get(feature, none) for feature in features(session)), none)
    odds = weighed["common"] * known.common + weighed["overlap"] * full * said
    return dict(zip(known.causes, odds.tolist(), strict=True))
