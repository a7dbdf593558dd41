"""Fits the learned table: trade knowledge as prior counts, to which the known reports add theirs.

    python -m tunekit.diagnosis.reports.learn FOLDER CASES.json...    writes times.csv and common.csv

FOLDER holds levels.csv and priors.csv (trade knowledge, written without sight of a case; status common practice, from
memory). A level counts as so many cases (PRIOR); known reports correct it. Reports over-tell what people like to write
about, so how often a cause is reported counts only in part (TRUST_COUNTS). Nothing is drawn at random.
"""

import csv
import json
import sys
from collections import defaultdict
from pathlib import Path
from typing import Any

import numpy as np

from tunekit.diagnosis.reports.features import features
from tunekit.session import Session

TIMES = {-3: 0.05, -2: 1 / 6, -1: 0.5, 0: 1.0, 1: 2.0, 2: 6.0, 3: 20.0}
"""How many times likelier a level says."""
PRIOR, TRUST_LEVELS, TRUST_COUNTS, ALSO = 24.0, 0.25, 0.75, 0.35
"""Cases that a level weighs; trust in levels and in counts of causes; share of a cause that is accepted beside."""
STEP_PRIOR = 3.0
"""Cases that the writers' first steps weigh."""
WORTH_KEEPING = 0.05
"""Log factors nearer to none than this are left out of the table."""


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def _blamed(case: dict[str, Any], at: dict[str, int]) -> Any:
    """Which causes a case speaks of: the confirmed one fully, what a master would also accept in part."""
    weight = np.zeros(len(at))
    for cause in case["accept_causes"]:
        weight[at[cause]] = ALSO
    for cause in case.get("confirmed") or case["accept_causes"][:1]:
        weight[at[cause]] = 1.0
    return weight / weight.sum()


def fit(folder: Path, cases: list[dict[str, Any]]) -> tuple[list[list[object]], list[list[object]]]:
    """Rows of times.csv (feature, cause, log times, cases that say it, of) and of common.csv (cause, log, cases)."""
    priors = _rows(folder / "priors.csv")
    at = {row["cause"]: n for n, row in enumerate(priors)}
    levels: dict[str, Any] = defaultdict(lambda: np.zeros(len(at)))
    for row in _rows(folder / "levels.csv"):
        said = [np.log(TIMES[int(row[who])]) for who in "abc" if row[who]]
        levels[row["feature"]][at[row["cause"]]] = np.mean(said)
    told = [features(Session.model_validate(case["session"])) for case in cases]
    names = sorted(set(levels) | {name for one in told for name in one})
    column = {name: n for n, name in enumerate(names)}
    says, blamed = np.zeros((len(cases), len(names))), np.array([_blamed(case, at) for case in cases])
    for row_of, one in zip(says, told, strict=True):
        row_of[[column[name] for name in one]] = 1
    base = (says.sum(axis=0) + 0.5) / (len(cases) + 1)
    times = np.exp(np.array([levels[name] for name in names]).T)
    likely = np.minimum(times, 0.95 / base)
    counts, of = blamed.T @ says, blamed.sum(axis=0)
    logs = np.log((counts + PRIOR * base * likely) / (of[:, None] + PRIOR) / base)
    common = [np.mean([float(row[who]) for who in "abc"]) * np.log(2) for row in priors]
    log_common = TRUST_LEVELS * np.array(common) + TRUST_COUNTS * np.log(of + 1)
    kept = [
        [name, cause, round(float(logs[c, n]), 3), round(float(counts[c, n]), 2), round(float(of[c]), 2)]
        for n, name in enumerate(names)
        for cause, c in at.items()
        if abs(logs[c, n]) >= WORTH_KEEPING
    ]
    return kept, [[cause, round(float(log_common[c]), 3), round(float(of[c]), 2)] for cause, c in at.items()]


def fit_steps(folder: Path, cases: list[dict[str, Any]]) -> list[list[object]]:
    """Rows of steps.csv: cause, kind, what, sign (0 either), chance that a master accepts it as a first step."""
    at = {row["cause"]: n for n, row in enumerate(_rows(folder / "priors.csv"))}
    levels = _rows(folder / "first_steps.csv")
    moves = {(row["kind"], row["what"], int(row["sign"])) for row in levels}
    moves |= {
        (m["kind"], m["what"], m.get("sign") or 0)
        for case in cases
        for m in case["accept_moves"]
        if m.get("kind") and m.get("what")
    }
    listed = sorted(moves)
    vote = np.zeros((len(at), len(listed)))
    for row in levels:
        vote[at[row["cause"]], listed.index((row["kind"], row["what"], int(row["sign"])))] += 1 / int(
            row["rank"]
        )
    vote = np.where(vote > 0, 0.2 + 0.6 * vote / vote.max(axis=1, keepdims=True), 0.02)
    taken = np.array([[_takes(case, move) for move in listed] for case in cases], float)
    blamed = np.array([_blamed(case, at) for case in cases])
    step = (blamed.T @ taken + STEP_PRIOR * vote) / (blamed.sum(axis=0)[:, None] + STEP_PRIOR)
    return [
        [cause, *move, round(float(step[c, n]), 3)]
        for cause, c in at.items()
        for n, move in enumerate(listed)
        if step[c, n] >= WORTH_KEEPING
    ]


def _takes(case: dict[str, Any], move: tuple[str, str, int]) -> bool:
    """Whether the case accepts this as a first step."""
    kind, what, sign = move
    return any(
        m.get("what") == what
        and m.get("kind") in (None, kind)
        and (not sign or m.get("sign") in (None, 0, sign))
        for m in case["accept_moves"]
    )


def main() -> None:
    folder, *paths = map(Path, sys.argv[1:])
    read = [case for path in paths for case in json.loads(path.read_text(encoding="utf-8"))]
    fair = [case for case in read if case.get("fair", True)]
    (times, common), steps = fit(folder, fair), fit_steps(folder, fair)
    out = Path(__file__).parents[2] / "data" / "learned"
    for name, head, rows in (
        ("times.csv", ["feature", "cause", "log_times", "said", "of"], times),
        ("common.csv", ["cause", "log_common", "cases"], common),
        ("steps.csv", ["cause", "kind", "what", "sign", "accepted"], steps),
    ):
        with (out / name).open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerow(head)
            writer.writerows(rows)


if __name__ == "__main__":
    main()
