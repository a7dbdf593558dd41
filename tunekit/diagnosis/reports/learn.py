"""Cases whose cause was found, as counts.

Two kinds are read: coded reports (a list of cases, each with `session`, `accept_causes`, `confirmed`, `accept_moves`),
and a workshop's own session files that ended well. Nothing is drawn at random: the same files give the same counts.
"""

from collections.abc import Iterable
from typing import Any

from tunekit.data import table
from tunekit.diagnosis.reports.counts import Counts, Known, Step, counted
from tunekit.diagnosis.reports.features import features
from tunekit.session import Session


def blamed(case: dict[str, Any]) -> dict[str, float]:
    """Shares of the causes a case speaks of: the confirmed one fully, what a master would also accept in part."""
    share = dict.fromkeys(case["accept_causes"], table("reports")["also"])
    share |= dict.fromkeys(case.get("confirmed") or case["accept_causes"][:1], 1.0)
    whole = sum(share.values())
    return {cause: part / whole for cause, part in share.items()}


def right_steps(case: dict[str, Any]) -> frozenset[Step]:
    """First steps that the case accepts; a turn either way stands for both ways and for "either"."""
    found: set[Step] = set()
    for move in case["accept_moves"]:
        if move.get("kind") and move.get("what"):
            signs = (
                (move["sign"], 0) if move.get("sign") else (-1, 0, 1) if move["kind"] == "turned" else (0,)
            )
            found |= {(move["kind"], move["what"], sign) for sign in signs}
    return frozenset(found)


def known_report(case: dict[str, Any]) -> Known:
    """A coded report as a known case."""
    said = features(Session.model_validate(case["session"]))
    return Known(said=said, causes=blamed(case), steps=right_steps(case))


def count_reports(cases: Iterable[dict[str, Any]]) -> Counts:
    """The counts of coded reports; one whose log does not speak for itself (`fair` false) is left out."""
    return counted(known_report(case) for case in cases if case.get("fair", True))
