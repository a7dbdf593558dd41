"""Does it go together: each question a function answering with a finding, or None where it does not apply."""

from collections.abc import Callable

from tunekit.bike import Bike, TunekitError
from tunekit.fit.chain import size_chain
from tunekit.fit.limits import links_text, named, words
from tunekit.fit.report import ChainAdvice, Finding, FitReport, Status, worst_of
from tunekit.fit.shifting import chain_speeds, lever_clicks, pull_accumulated, pull_per_click
from tunekit.fit.sideways import chain_angle, chainline_match
from tunekit.fit.teeth import (
    front_difference,
    largest_cog,
    largest_ring,
    least_difference,
    least_largest_cog,
    least_ring,
    smallest_cog,
    total_capacity,
)
from tunekit.targets.chain_path import path_window


def chain_path(bike: Bike) -> Finding | None:
    """Said only of a bike whose chain's path cannot be solved: why, and what then stands on the rules alone."""
    solved = path_window(bike)
    if not isinstance(solved, TunekitError):
        return None
    return Finding(
        name="chain_path",
        status="caution",
        value=None,
        limit=None,
        unit="",
        rule=words("chain_path.rule", reason=str(solved).rstrip(".")),
        if_ignored=words("chain_path.if_ignored"),
        remedy=words("chain_path.remedy"),
    )


def chain_length(bike: Bike) -> Finding:
    """The chain against the window of lengths that work."""
    advice = size_chain(bike)
    status, why = _length_verdict(advice)
    gears = advice.leave_alone or advice.too_short or advice.too_long
    remedy = words(
        f"chain_length.remedy_{why}",
        change=links_text(advice.change_links or 0),
        links=advice.links,
        gears=named(gears) if gears else "",
    )
    return Finding(
        name="chain_length",
        status=status,
        value=advice.present,
        limit=advice.shortest if why == "short" else advice.longest,
        unit="links",
        rule=words(
            "chain_length.rule",
            window=_window_text(advice),
            basis=words(f"chain_length.basis_{advice.basis}"),
        ),
        if_ignored=words(f"chain_length.if_ignored_{why}"),
        remedy=None if status == "pass" else remedy,
        gears=gears,
    )


def _length_verdict(advice: ChainAdvice) -> tuple[Status, str]:
    """Status, and whether the chain is too short, too long, or cannot be right."""
    if advice.shortest is None:
        return "fail", "none"
    if advice.too_short:
        return "fail", "short"
    return "caution" if advice.keep is False else "pass", "long"


def _window_text(advice: ChainAdvice) -> str:
    if advice.shortest is None:
        return words("chain_length.no_window")
    key = "window_one" if advice.shortest == advice.longest else "window"
    return words(f"chain_length.{key}", shortest=advice.shortest, longest=advice.longest)


CHECKS: tuple[Callable[[Bike], Finding | None], ...] = (
    total_capacity,
    largest_cog,
    least_largest_cog,
    smallest_cog,
    front_difference,
    least_difference,
    largest_ring,
    least_ring,
    lever_clicks,
    pull_per_click,
    pull_accumulated,
    chain_speeds,
    chain_path,
    chain_length,
    chainline_match,
    chain_angle,
)
"""In the order of the bench: what can break something first."""


def check_fit(bike: Bike) -> FitReport:
    """Every question that applies to this bike, each answered pass, caution or fail with its numbers."""
    answers = (check(bike) for check in CHECKS)
    findings = tuple(finding for finding in answers if finding is not None)
    return FitReport(findings=findings, status=worst_of(tuple(f.status for f in findings)))
