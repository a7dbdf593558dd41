"""Does it go together: each question a function answering with a finding, or None where it does not apply."""

import math
from collections.abc import Callable
from typing import Any

import numpy as np

from tunekit.bike import Bike
from tunekit.data import table
from tunekit.fit.chain import size_chain
from tunekit.fit.limits import limit, links_text, named, words
from tunekit.fit.report import ChainAdvice, Finding, FitReport, Status, worst_of
from tunekit.fit.rules import needed_teeth
from tunekit.mechanics import capacity, chainline, wear


def _status(value: float, passes: float, fails: float) -> Status:
    """pass up to `passes`, caution up to `fails`, then fail; a hair of rounding is forgiven."""
    hair = 1e-9
    return "pass" if value <= passes + hair else "caution" if value <= fails + hair else "fail"


def _teeth(name: str, value: float, most: float, rule: str, if_ignored: str, remedy: str) -> Finding:
    """A finding about a number of teeth that must not exceed the leaflet's figure."""
    status: Status = "pass" if value <= most else "fail"
    return Finding(
        name=name,
        status=status,
        value=value,
        limit=most,
        unit="teeth",
        rule=rule,
        if_ignored=if_ignored,
        remedy=None if status == "pass" else remedy,
    )


def total_capacity(bike: Bike) -> Finding:
    """Teeth to take up against the leaflet's capacity."""
    needed = round(needed_teeth(bike), 1)
    return _teeth(
        "total_capacity",
        needed,
        bike.rear.capacity,
        words("total_capacity.rule"),
        words("total_capacity.if_ignored"),
        _capacity_remedy(bike, needed),
    )


def _capacity_remedy(bike: Bike, needed: float) -> str:
    """Whatever of a smaller largest cog, a larger inner ring or a longer cage can be had."""
    room = math.floor(bike.rear.capacity - capacity.growth_teeth(bike.frame.chainstay_growth_mm))
    cog = capacity.largest_cog_for(bike.rings, bike.cogs, room)
    ring = capacity.smallest_ring_for(bike.rings, bike.cogs, room)
    ways = []
    if cog > bike.cogs[0]:
        ways.append(words("total_capacity.remedy_cog", cog=cog))
    if bike.rings[0] < ring < bike.rings[-1]:
        ways.append(words("total_capacity.remedy_ring", ring=ring))
    return ", or ".join([*ways, words("total_capacity.remedy_cage", needed=math.ceil(needed))])


def largest_cog(bike: Bike) -> Finding:
    """Largest cog against the leaflet's."""
    value, most = bike.cogs[-1], bike.rear.largest_cog
    remedy = words("largest_cog.remedy", limit=most, value=value)
    rule, if_ignored = words("largest_cog.rule"), words("largest_cog.if_ignored")
    return _teeth("largest_cog", value, most, rule, if_ignored, remedy)


def smallest_cog(bike: Bike) -> Finding:
    """Smallest cog against the leaflet's figure, or against common practice when none is entered."""
    told = bike.rear.smallest_cog
    least = limit("smallest_cog", "teeth") if told is None else told
    value = bike.cogs[0]
    below: Status = "caution" if told is None else "fail"
    status: Status = "pass" if value >= least else below
    rule = "smallest_cog.rule_common" if told is None else "smallest_cog.rule_leaflet"
    return Finding(
        name="smallest_cog",
        status=status,
        value=value,
        limit=least,
        unit="teeth",
        rule=words(rule, limit=f"{least:g}"),
        if_ignored=words("smallest_cog.if_ignored"),
        remedy=None if status == "pass" else words("smallest_cog.remedy", limit=f"{least:g}", value=value),
    )


def front_difference(bike: Bike) -> Finding | None:
    """Ring difference against the front derailleur's; nothing to ask of a single ring."""
    value = capacity.front_difference(bike.rings)
    if len(bike.rings) == 1:
        return None
    if bike.front is None:
        return Finding(
            name="front_difference",
            status="caution",
            value=value,
            limit=None,
            unit="teeth",
            rule=words("front_difference.rule_none"),
            if_ignored=words("front_difference.if_ignored_none"),
            remedy=words("front_difference.remedy_none"),
        )
    remedy = words("front_difference.remedy_ring", ring=bike.rings[-1] - bike.front.capacity)
    rule, if_ignored = words("front_difference.rule"), words("front_difference.if_ignored")
    return _teeth("front_difference", value, bike.front.capacity, rule, if_ignored, remedy)


def _cable(bike: Bike) -> tuple[float, float] | None:
    """Lever pull and ratio, when a cable moves the rear derailleur across more than one cog."""
    rear = bike.rear
    if rear.actuation != "cable" or len(bike.cogs) == 1:
        return None
    return float(rear.lever_pull_mm or 0), float(rear.cable_ratio or 0)


def pull_per_click(bike: Bike) -> Finding | None:
    """Shift equation for one click."""
    cable = _cable(bike)
    if cable is None:
        return None
    pull, ratio = cable
    pitch = bike.cassette.pitch_mm
    passes = limit("pull_per_click", "pass_mm")
    # Beyond what half a digit in each printed figure explains, the parts do not belong together.
    explained = max(passes, limit("pull_figure", "half_digit") * (pull + ratio))
    value = abs(pull * ratio - pitch)
    status = _status(value, passes, explained)
    remedy = words("pull_per_click.remedy", pull=pitch / ratio, pitch=pull * ratio)
    return Finding(
        name="pull_per_click",
        status=status,
        value=round(pull * ratio - pitch, 4),
        limit=passes,
        unit="mm",
        rule=words(
            "pull_per_click.rule",
            pull=pull,
            ratio=ratio,
            product=f"{pull * ratio:.2f}",
            pitch=pitch,
            limit=passes,
        ),
        if_ignored=words("pull_per_click.if_ignored"),
        remedy=None if status == "pass" else remedy,
    )


def pull_accumulated(bike: Bike) -> Finding | None:
    """The same over the cassette, index set right in the middle."""
    cable = _cable(bike)
    if cable is None:
        return None
    pull, ratio = cable
    cassette, clicks = bike.cassette, len(bike.cogs) - 1
    room = max(wear.side_gap_mm(cassette.pitch_mm, cassette.cog_mm, bike.chain.speeds), 0.0)
    value = (pull * ratio - cassette.pitch_mm) * clicks / 2
    status = _status(abs(value), room, room + limit("pull_rounding", "per_click_mm") * clicks / 2)
    key = "pull_accumulated.remedy_measure" if status == "caution" else "pull_accumulated.remedy"
    remedy = words(key, pull=cassette.pitch_mm / ratio, pitch=pull * ratio)
    return Finding(
        name="pull_accumulated",
        status=status,
        value=round(value, 4),
        limit=round(room, 4),
        unit="mm",
        rule=words("pull_accumulated.rule", limit=f"{room:.2f}"),
        if_ignored=words("pull_accumulated.if_ignored"),
        remedy=None if status == "pass" else remedy,
    )


def chain_speeds(bike: Bike) -> Finding:
    """Chain's class against the cassette's, and whether the chain clears the neighbouring cogs."""
    cogs, speeds, cassette = len(bike.cogs), bike.chain.speeds, bike.cassette
    gap = wear.side_gap_mm(cassette.pitch_mm, cassette.cog_mm, speeds)
    if cogs == 1:
        gap = float("inf")
    status, why = _speeds_verdict(cogs, speeds, gap, wear.inner_width_mm(speeds) - cassette.cog_mm)
    return Finding(
        name="chain_speeds",
        status=status,
        value=speeds,
        limit=cogs,
        unit="speeds",
        rule=words("chain_speeds.rule", gap="no neighbour" if cogs == 1 else f"{gap:.2f} mm"),
        if_ignored=words(f"chain_speeds.if_ignored_{why}"),
        remedy=None if status == "pass" else words("chain_speeds.remedy", cogs=cogs),
    )


def _speeds_verdict(cogs: int, speeds: int, gap_mm: float, inner_mm: float) -> tuple[Status, str]:
    """Status, and what goes wrong: cogs too thick inside, chain too wide, near its neighbours or narrow."""
    if inner_mm <= 0:
        return "fail", "inner"
    if gap_mm < limit("side_gap", "fail_mm"):
        return "fail", "wide"
    status: Status = "pass" if speeds == cogs or cogs == 1 else "caution"
    return status, "near" if speeds <= cogs else "narrow"


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


def lines_mm(bike: Bike) -> tuple[np.ndarray, np.ndarray]:
    """Where each ring and each cog stands, from the frame's centre plane [mm]; smallest first."""
    cassette, crank = bike.cassette, bike.crank
    rings = chainline.ring_lines_mm(crank.chainline_mm, crank.ring_gap_mm, len(bike.rings))
    cogs = chainline.cog_lines_mm(
        bike.frame.hub_spacing_mm, cassette.locknut_gap_mm, cassette.cog_mm, cassette.pitch_mm, len(bike.cogs)
    )
    return rings, cogs


def chainline_match(bike: Bike) -> Finding:
    """Middle of the rings against the middle of the cogs; a single ring against the figure of its class."""
    return _single_line(bike) if len(bike.rings) == 1 and len(bike.cogs) > 1 else _double_line(bike)


def _single_line(bike: Bike) -> Finding:
    """A single ring's chainline is set by crank and frame: the leaflet's figure, or its class's by the hub."""
    row = _single_class(bike.frame.hub_spacing_mm)
    off = bike.crank.chainline_mm - row["mm"]
    status = _status(abs(off), row["within_mm"], limit("chainline", "fail_mm"))
    return Finding(
        name="chainline",
        status=status,
        value=round(off, 4),
        limit=row["within_mm"],
        unit="mm",
        rule=words("chainline.rule_single", line=f"{row['mm']:g}", limit=f"{row['within_mm']:g}"),
        if_ignored=words("chainline.if_ignored"),
        remedy=None if status == "pass" else words("chainline.remedy_single", line=f"{row['mm']:g}"),
    )


def _single_class(hub_mm: float) -> dict[str, Any]:
    """The class of single-ring cranks whose hub is nearest to this one."""
    rows: list[dict[str, Any]] = table("fit_limits")["single_ring"]["classes"]
    return min(rows, key=lambda row: abs(row["hub_mm"] - hub_mm))


def _double_line(bike: Bike) -> Finding:
    rings, cogs = lines_mm(bike)
    off = chainline.middle_mm(rings) - chainline.middle_mm(cogs)
    passes = limit("chainline", "pass_mm")
    status = _status(abs(off), passes, limit("chainline", "fail_mm"))
    key = "chainline.remedy_outboard" if off > 0 else "chainline.remedy_inboard"
    nearest = math.copysign(max(abs(off) - passes, 0), off)
    remedy = words(key, move=abs(nearest), line=bike.crank.chainline_mm - nearest)
    return Finding(
        name="chainline",
        status=status,
        value=round(off, 4),
        limit=passes,
        unit="mm",
        rule=words("chainline.rule", limit=f"{passes:g}"),
        if_ignored=words("chainline.if_ignored"),
        remedy=None if status == "pass" else remedy,
    )


def chain_angle(bike: Bike) -> Finding:
    """Worst angle of the chain, and the gears beyond the usual limit."""
    rings, cogs = lines_mm(bike)
    run = bike.frame.chainstay_mm
    angles = np.abs(chainline.gear_angles_deg(rings, cogs, run))
    named, passes = limit("chain_angle", "crossed_deg"), limit("chain_angle", "pass_deg")
    status = _status(float(angles.max()), passes, limit("chain_angle", "fail_deg"))
    crossed = tuple((bike.rings[i], bike.cogs[j]) for i, j in np.argwhere(angles > named + 1e-9))
    remedy = _angle_remedy(rings, cogs, run) if status == "fail" else words("chain_angle.remedy")
    return Finding(
        name="chain_angle",
        status=status,
        value=round(float(angles.max()), 4),
        limit=passes,
        unit="deg",
        rule=words("chain_angle.rule", limit=f"{passes:g}", crossed=f"{named:g}"),
        if_ignored=words("chain_angle.if_ignored"),
        remedy=None if status == "pass" else remedy,
        gears=crossed,
    )


def _angle_remedy(rings: np.ndarray, cogs: np.ndarray, run_mm: float) -> str:
    """How far to move the rings so that the two worst gears are equally crossed."""
    inward, outward = float(rings.max() - cogs.min()), float(cogs.max() - rings.min())
    move = (inward - outward) / 2
    best = float(chainline.chain_angle_deg((inward + outward) / 2, run_mm))
    return words(
        "chain_angle.remedy_line", way="inboard" if move > 0 else "outboard", move=abs(move), best=best
    )


CHECKS: tuple[Callable[[Bike], Finding | None], ...] = (
    total_capacity,
    largest_cog,
    smallest_cog,
    front_difference,
    pull_per_click,
    pull_accumulated,
    chain_speeds,
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
