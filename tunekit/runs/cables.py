"""Mechanical cables: what to cut, what to buy, and the drag to expect."""

import itertools
from math import isfinite

from tunekit.data import phrase, table
from tunekit.mechanics.cable import Drag, Segment, cable_drag
from tunekit.runs.plan import Cable, RunPlan, Section
from tunekit.runs.records import CablePiece, CableRun
from tunekit.runs.routes import slack_mm


def _figure(name: str) -> float:
    return float(table("frames")["cable"][name]["value"])


def _piece(plan: RunPlan, via: tuple[str, ...], kind: str, label: str) -> CablePiece:
    """Housing follows the frame with slack for what moves; bare wire is drawn straight."""
    steps = [plan.section(one, other) for one, other in itertools.pairwise(via)]
    sections: list[Section] = [section for section in steps if section is not None]
    slack = sum(slack_mm(section) for section in sections) if kind == "housing" else 0.0
    return CablePiece(
        label=label,
        kind=kind,
        start=plan.called(via[0]),
        end=plan.called(via[-1]),
        route=via,
        length_mm=sum(section.mm for section in sections) + slack,
        slack_mm=slack,
        bend_deg=sum(section.bend_deg for section in sections),
    )


def pieces(plan: RunPlan, cable: Cable, label: str) -> tuple[CablePiece, ...]:
    """Housing from the lever to the first stop, bare wire to the next, housing again, and so on."""
    cuts = [0, *(cable.via.index(stop) for stop in cable.stops), len(cable.via) - 1]
    spans = [cable.via[start : end + 1] for start, end in itertools.pairwise(cuts)]
    kinds = ("housing", "bare")
    return tuple(_piece(plan, span, kinds[n % 2], f"{label}.{n + 1}") for n, span in enumerate(spans))


def _notes(cable: Cable, parts: tuple[CablePiece, ...]) -> tuple[str, ...]:
    """Cutting, and a last loop that is too short to bend kindly."""
    notes, least = [phrase("runs", "cable.cut")], _figure("shortest_rear_loop_mm")
    if (
        cable.pulls == "rear"
        and len(parts) > 1
        and parts[-1].kind == "housing"
        and parts[-1].length_mm < least
    ):
        notes.append(
            phrase("runs", "cable.loop_short", mm=f"{parts[-1].length_mm:.0f}", least=f"{least:.0f}")
        )
    return tuple(notes)


def _segments(parts: tuple[CablePiece, ...]) -> list[Segment]:
    """The pieces as the friction model wants them, from the derailleur to the lever."""
    return [
        Segment(length_mm=piece.length_mm, bend_deg=piece.bend_deg, housing=piece.kind == "housing")
        for piece in reversed(parts)
        if piece.length_mm >= 1
    ]


def _verdict(drag: Drag, quiet_mm: float) -> str:
    """Clean, doubtful within the model's own uncertainty, or unlikely."""
    key = "clean" if drag.drag_mm + drag.sd_mm <= quiet_mm else "doubtful" if drag.clean else "unlikely"
    return phrase("runs", f"cable.{key}", quiet=f"{quiet_mm:.2f}")


def cable_run(plan: RunPlan, cable: Cable, label: str) -> CableRun:
    """One cable's pieces, totals and predicted drag."""
    parts = pieces(plan, cable, label)
    housing = [piece for piece in parts if piece.kind == "housing"]
    inner = sum(piece.length_mm for piece in parts) + _figure("inner_spare_mm")
    quiet = cable.quiet_mm or _figure("quiet_mm")
    drag = cable_drag(_segments(parts), cable_ratio=cable.cable_ratio, quiet_mm=quiet)
    return CableRun(
        label=label,
        name=cable.name,
        pulls=cable.pulls,
        pieces=parts,
        housing_mm=sum(piece.length_mm for piece in housing),
        inner_mm=inner,
        inner_bought_mm=min((length for length in plan.stock.inner_mm if length >= inner), default=None),
        ferrules=2 * len(housing),
        end_caps=1,
        bend_deg=drag.bend_deg,
        notes=_notes(cable, parts),
        force_ratio=drag.force_ratio,
        drag_mm=drag.drag_mm,
        drag_sd_mm=drag.sd_mm,
        most_bend_deg=drag.most_bend_deg if isfinite(drag.most_bend_deg) else None,
        verdict=_verdict(drag, quiet),
    )
