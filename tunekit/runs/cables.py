"""Mechanical cables: what to cut, what to buy, and the drag to expect."""

from typing import Any

from tunekit.data import phrase, table
from tunekit.runs.plan import Cable, RunPlan, Section
from tunekit.runs.records import CablePiece, CableRun
from tunekit.runs.routes import slack_mm


def _figure(name: str) -> float:
    return float(table("frames")["cable"][name]["value"])


def _piece(plan: RunPlan, via: tuple[str, ...], kind: str) -> CablePiece:
    """Housing follows the frame with slack for what moves; bare wire is drawn straight."""
    steps = [plan.section(one, other) for one, other in zip(via, via[1:], strict=False)]
    sections: list[Section] = [section for section in steps if section is not None]
    slack = sum(slack_mm(section) for section in sections) if kind == "housing" else 0.0
    return CablePiece(
        kind=kind,
        start=plan.called(via[0]),
        end=plan.called(via[-1]),
        length_mm=sum(section.mm for section in sections) + slack,
        slack_mm=slack,
        bend_deg=sum(section.bend_deg for section in sections),
    )


def pieces(plan: RunPlan, cable: Cable) -> tuple[CablePiece, ...]:
    """Housing from the lever to the first stop, bare wire to the next, housing again, and so on."""
    cuts = [0, *(cable.via.index(stop) for stop in cable.stops), len(cable.via) - 1]
    spans = [cable.via[start : end + 1] for start, end in zip(cuts, cuts[1:], strict=False)]
    return tuple(_piece(plan, span, "bare" if number % 2 else "housing") for number, span in enumerate(spans))


def _notes(cable: Cable, parts: tuple[CablePiece, ...]) -> tuple[str, ...]:
    """Cutting, and a last loop that is too short to bend kindly."""
    notes, least = [phrase("runs", "cable.cut")], _figure("shortest_rear_loop_mm")
    if cable.pulls == "rear" and len(parts) > 1 and parts[-1].kind == "housing" and parts[-1].length_mm < least:
        notes.append(phrase("runs", "cable.loop_short", mm=f"{parts[-1].length_mm:.0f}", least=f"{least:.0f}"))
    return tuple(notes)


def cable_run(plan: RunPlan, cable: Cable) -> CableRun:
    """One cable's pieces, totals and predicted drag."""
    parts = pieces(plan, cable)
    housing = [piece for piece in parts if piece.kind == "housing"]
    inner = sum(piece.length_mm for piece in parts) + _figure("inner_spare_mm")
    bend = sum(piece.bend_deg for piece in parts)
    friction = friction_of(bend, cable.cable_ratio)
    return CableRun(
        name=cable.name,
        pulls=cable.pulls,
        pieces=parts,
        housing_mm=sum(piece.length_mm for piece in housing),
        inner_mm=inner,
        inner_bought_mm=min((length for length in plan.stock.inner_mm if length >= inner), default=None),
        ferrules=2 * len(housing),
        end_caps=1,
        bend_deg=bend,
        notes=_notes(cable, parts),
        **friction,
    )


def friction_of(bend_deg: float, cable_ratio: float) -> dict[str, Any]:
    """Until tunekit.mechanics.cable lands: the capstan ratio alone."""
    from math import exp, radians

    low, mid, high = (exp(mu * radians(bend_deg)) for mu in (0.05, 0.1, 0.2))
    return {
        "force_ratio": mid, "force_ratio_low": low, "force_ratio_high": high,
        "drag_mm": 0.0, "drag_low_mm": 0.0, "drag_high_mm": 0.0, "verdict": "",
    }  # fmt: skip
