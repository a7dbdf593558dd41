"""The measures on real reports, printed as a table with intervals: what is cross-validated, and beside it the floor.

    python tests/reports/measure.py [--folds 5] [--json OUT]    the fit part, each case judged by a table without it
    python tests/reports/measure.py --check                     the check part, by the shipped table: seldom, and noted

Columns: accepted cause first, among three, confirmed among three, accepted first step. Intervals: 90 %, Wilson (1927).
"""

import argparse
from collections.abc import Iterator
from math import sqrt
from typing import Any

import learn
import split

from tunekit import Session, advise
from tunekit.diagnosis.advice import Advice, Move
from tunekit.diagnosis.reports import Learned, cause_log_odds, learned_from, levels, shipped, steps_by_custom
from tunekit.diagnosis.reports.learn import count_reports

CODED: dict[str, str] = getattr(__import__("tunekit"), "CODED_AS", {})
COLUMNS = ("first", "in three", "confirmed", "step")
Z90 = 1.645
Verdict = tuple[bool, bool, bool, bool]


def interval(hits: int, of: int) -> tuple[float, float]:
    """Wilson's 90 % interval of a share."""
    share, z2 = hits / of, Z90**2 / of
    middle, half = share + z2 / 2, Z90 * sqrt(share * (1 - share) / of + z2 / (4 * of))
    return (middle - half) / (1 + z2), (middle + half) / (1 + z2)


def accepted(case: dict[str, Any], move: Move | None) -> bool:
    """Whether the case accepts this first step (the rule of bench/score.py)."""
    for wanted in case["accept_moves"]:
        if move is None:
            if wanted.get("what") is None:
                return True
            continue
        if move.kind == "heard" == wanted.get("kind"):
            return True
        named = wanted.get("what") in (move.what, CODED.get(move.what, move.what))
        if named and wanted.get("kind") in (None, move.kind):
            sign = wanted.get("sign")
            if not sign or move.amount is None or (move.amount > 0) == (sign > 0):
                return True
    return False


def judged(case: dict[str, Any], names: list[str], step: bool) -> Verdict:
    right = set(case["accept_causes"])
    was = set(case.get("confirmed") or case["accept_causes"][:1])
    return names[0] in right, bool(right & set(names[:3])), bool(was & set(names[:3])), step


def by_tool(case: dict[str, Any], advice: Advice) -> Verdict:
    chance: dict[str, float] = {}
    for cause in advice.causes:
        name = CODED.get(cause.name, cause.name)
        chance[name] = chance.get(name, 0.0) + cause.probability
    return judged(case, sorted(chance, key=lambda name: -chance[name]), accepted(case, advice.next))


def by_words(case: dict[str, Any], session: Session, table: Learned) -> Verdict:
    """The learned table alone, without geometry; its step is the likeliest one not yet done."""
    from math import exp

    odds = cause_log_odds(session, table)
    most = max(odds.values())
    chances = {cause: exp(0.7 * (odd - most)) for cause, odd in odds.items()}
    done = {
        (entry.kind, getattr(entry, "what", ""))
        for entry in session.log
        if entry.kind in ("measured", "fitted")
    }
    step = next(step for step, _ in steps_by_custom(chances, table) if step[:2] not in done)
    return judged(case, sorted(odds, key=lambda name: -odds[name]), _takes(case, step))


def _takes(case: dict[str, Any], step: tuple[str, str, int]) -> bool:
    kind, what, sign = step
    return any(
        m.get("what") == what
        and m.get("kind") in (None, kind)
        and (not sign or m.get("sign") in (None, 0, sign))
        for m in case["accept_moves"]
    )


def folded(cases: list[dict[str, Any]], folds: int) -> Iterator[tuple[dict[str, Any], Learned]]:
    """Each fair report with a table that has seen neither it nor its twin."""
    for fold in range(folds):
        # The hash's lower digits chose the check part; its higher ones choose the fold.
        held = [case for case in cases if split.number(case, split.PARTS * folds) // split.PARTS == fold]
        rest = [case for case in cases if split.number(case, split.PARTS * folds) // split.PARTS != fold]
        table = learned_from(levels(), count_reports(rest))
        for case in held:
            if case["id"].startswith("R-") and case.get("fair", True):
                yield case, table


def measured(pairs: Iterator[tuple[dict[str, Any], Learned]]) -> dict[str, list[Verdict]]:
    ways: dict[str, list[Verdict]] = {"words alone": [], "tunekit": []}
    for case, table in pairs:
        session = Session.model_validate(case["session"])
        ways["words alone"].append(by_words(case, session, table))
        ways["tunekit"].append(by_tool(case, advise(session, learned=table)))
    return ways


def told(ways: dict[str, list[Verdict]]) -> str:
    lines = [f"{'':14}" + "".join(f"{column:>18}" for column in COLUMNS)]
    for way, verdicts in ways.items():
        cells = []
        for column in range(len(COLUMNS)):
            hits = sum(verdict[column] for verdict in verdicts)
            low, high = interval(hits, len(verdicts))
            cells.append(f"{100 * hits / len(verdicts):6.1f} ({100 * low:.0f} to {100 * high:.0f})".rjust(18))
        lines.append(f"{way:14}" + "".join(cells))
    return "\n".join(lines)


def main() -> None:
    options = argparse.ArgumentParser()
    options.add_argument("--folds", type=int, default=5)
    options.add_argument("--check", action="store_true")
    chosen = options.parse_args()
    if chosen.check:
        cases = [split.today(row) for row in split.rows("check") if row.get("fair", True)]
        pairs = iter([(case, shipped()) for case in cases])
    else:
        pairs = folded(learn.known(), chosen.folds)
    ways = measured(pairs)
    print(f"{len(ways['tunekit'])} reports, {'check part' if chosen.check else 'cross-validated'}")
    print(told(ways))


if __name__ == "__main__":
    main()
