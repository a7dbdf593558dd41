"""Clicks against cogs: the lever, the cable's pull, and the room beside the chain."""

import math

import numpy as np

from tunekit.bike import Bike
from tunekit.fit.limits import limit, status_of, words
from tunekit.fit.report import Finding, Status
from tunekit.mechanics import wear
from tunekit.mechanics.from_bike import clicks_mm
from tunekit.mechanics.top_view import rate_error_mm


def lever_clicks(bike: Bike) -> Finding | None:
    """Clicks of the lever against the steps between the cogs; spare ones stay unused."""
    clicks, needed = bike.rear.lever_clicks, len(bike.cogs) - 1
    if clicks is None or bike.control == "friction" or not needed:
        return None
    status: Status = "pass" if clicks >= needed else "fail"
    return Finding(
        name="lever_clicks",
        status=status,
        value=clicks,
        limit=needed,
        unit="clicks",
        rule=words("lever_clicks.rule"),
        if_ignored=words("lever_clicks.if_ignored"),
        remedy=None if status == "pass" else words("lever_clicks.remedy", needed=needed, cogs=clicks + 1),
    )


def _cable(bike: Bike) -> tuple[float, float] | None:
    """Lever pull and ratio, when a cable moves the rear derailleur click by click across more than one cog."""
    rear = bike.rear
    if rear.actuation != "cable" or len(bike.cogs) == 1 or bike.control == "friction":
        return None
    return float(rear.lever_pull_mm or 0), float(rear.cable_ratio or 0)


def pull_per_click(bike: Bike) -> Finding | None:
    """Shift equation for one click."""
    cable = _cable(bike)
    if cable is None:
        return None
    pull, ratio = cable
    pitch = max(bike.cog_pitches_mm, key=lambda gap: abs(pull * ratio - gap))
    passes = limit("pull_per_click", "pass_mm")
    # Beyond what half a digit in each printed figure explains, the parts do not belong together.
    explained = max(passes, limit("pull_figure", "half_digit") * (pull + ratio))
    value = abs(pull * ratio - pitch)
    status = status_of(value, passes, explained)
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
    clicks, room = len(bike.cogs) - 1, max(_room_mm(bike), 0.0)
    errors = rate_error_mm(clicks_mm(bike), bike.cog_pitches_mm)[::-1]
    value = float(errors[np.abs(errors).round(9).argmax()])
    status = status_of(abs(value), room, room + limit("pull_rounding", "per_click_mm") * clicks / 2)
    key = "pull_accumulated.remedy_measure" if status == "caution" else "pull_accumulated.remedy"
    remedy = words(key, pull=sum(bike.cog_pitches_mm) / clicks / ratio, pitch=pull * ratio)
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


def _room_mm(bike: Bike) -> float:
    """Room beside a centred chain where two cogs stand nearest; endless beside a single cog."""
    if len(bike.cogs) == 1:
        return math.inf
    return wear.side_gap_mm(min(bike.cog_pitches_mm), bike.cassette.cog_mm, bike.chain.speeds)


def chain_speeds(bike: Bike) -> Finding:
    """Chain's class against the cassette's, and whether the chain clears the neighbouring cogs."""
    cogs, speeds, cassette = len(bike.cogs), bike.chain.speeds, bike.cassette
    gap = _room_mm(bike)
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
