"""What known cases count: how often each thing was said under each cause, and which first steps were right.

Counts add: the shipped ones, a workshop's own, another workshop's. So nothing but counts is ever written down, and no
complaint can be read back from them.
"""

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tunekit.bike import SessionError

Step = tuple[str, str, int]
"""Kind, what, and the sign of a turn's effect, 0 for either."""
CASES, STEP = "cases", "step"
"""The row that says how many cases spoke of a cause, and what a row about a first step begins with."""
HEAD = ["thing", "cause", "count"]


@dataclass(frozen=True, slots=True)
class Counts:
    """Cases by cause, and in how many of them each thing was said or each first step was right."""

    by: Mapping[tuple[str, str], float] = field(default_factory=dict)
    """(thing, cause) to count; a case that speaks of two causes counts in part for each."""

    def __add__(self, other: "Counts") -> "Counts":
        both = dict(self.by)
        for key, count in other.by.items():
            both[key] = both.get(key, 0.0) + count
        return Counts(both)

    @property
    def cases(self) -> float:
        """How many cases stand behind it."""
        return sum(count for (thing, _), count in self.by.items() if thing == CASES)


@dataclass(frozen=True, slots=True)
class Known:
    """A case whose cause was found: what was said, shares of the causes, and the first steps that were right."""

    said: frozenset[str]
    causes: Mapping[str, float]
    steps: frozenset[Step]


def step_name(step: Step) -> str:
    """How a row calls a first step: step:turned:rear_barrel:+1."""
    kind, what, sign = step
    return f"{STEP}:{kind}:{what}:{sign:+d}"


def step_of(name: str) -> Step:
    """The first step of such a row."""
    _, kind, what, sign = name.split(":")
    return kind, what, int(sign)


def counted(cases: Iterable[Known]) -> Counts:
    """The counts of these cases."""
    by: dict[tuple[str, str], float] = {}
    for case in cases:
        things = [CASES, *case.said, *map(step_name, case.steps)]
        for cause, share in case.causes.items():
            for thing in things:
                by[thing, cause] = by.get((thing, cause), 0.0) + share
    return Counts(by)


def write_counts(counts: Counts, path: Path) -> None:
    """One row for each thing and cause, sorted, so that two versions can be compared line by line."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(HEAD)
        writer.writerows([*key, f"{count:.3g}"] for key, count in sorted(counts.by.items()))


def read_counts(path: Any) -> Counts:
    """Read what `write_counts` wrote; raises SessionError with one sentence when it is something else."""
    by: dict[tuple[str, str], float] = {}
    with path.open(encoding="utf-8") as file:
        rows = list(csv.reader(file))
    if not rows or rows[0] != HEAD:
        raise SessionError(
            f"{path} holds no counts (its first line must be {','.join(HEAD)}); learn it anew."
        )
    for number, row in enumerate(rows[1:], 2):
        try:
            thing, cause, count = row
            by[thing, cause] = by.get((thing, cause), 0.0) + float(count)
        except ValueError:
            raise SessionError(f"{path} line {number} is not thing,cause,count; learn it anew.") from None
    return Counts(by)
