"""Chainline and the chain's angle in every gear."""

import math

import numpy as np

from tunekit.bike import Bike
from tunekit.fit.limits import limit, status_of, words
from tunekit.fit.report import Finding
from tunekit.mechanics import chainline
from tunekit.mechanics.from_bike import lines_mm
from tunekit.targets import class_line


def chainline_match(bike: Bike) -> Finding:
    """Middle of the rings against the middle of the cogs; a single ring against the figure of its class."""
    return _single_line(bike) if len(bike.rings) == 1 and len(bike.cogs) > 1 else _double_line(bike)


def _single_line(bike: Bike) -> Finding:
    """A single ring's chainline is set by crank and frame: the leaflet's figure, or its class's by the hub."""
    line, within = class_line(bike)
    off = bike.crank.chainline_mm - line
    status = status_of(abs(off), within, limit("chainline", "fail_mm"))
    return Finding(
        name="chainline",
        status=status,
        value=round(off, 4),
        limit=within,
        unit="mm",
        rule=words("chainline.rule_single", line=f"{line:g}", limit=f"{within:g}"),
        if_ignored=words("chainline.if_ignored"),
        remedy=None if status == "pass" else words("chainline.remedy_single", line=f"{line:g}"),
    )


def _double_line(bike: Bike) -> Finding:
    rings, cogs = lines_mm(bike)
    off = chainline.middle_mm(rings) - chainline.middle_mm(cogs)
    passes = limit("chainline", "pass_mm")
    status = status_of(abs(off), passes, limit("chainline", "fail_mm"))
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
    status = status_of(float(angles.max()), passes, limit("chain_angle", "fail_deg"))
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
