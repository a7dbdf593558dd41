"""The run sheet: one self-contained page without scripts, to print on A4 or Letter.

This module gathers what the page says; `templates/runs_sheet.html` says it.
"""

from markupsafe import Markup

from tunekit.runs import RunPlan, RunSheet
from tunekit.runs.records import CableRun, Junction
from tunekit.show.rendering import rendered
from tunekit.show.runs_drawing import runs_svg, takeaway
from tunekit.show.signal import SIGNAL


def counted(count: int, name: str) -> str:
    """1 wire, 2 wires"""
    return f"{count} {name}" + ("" if count == 1 else "s")


def verdict(sheet: RunSheet) -> str:
    """The plan in one line."""
    wires = (
        f"{counted(len(sheet.wires), 'wire')} and {counted(len(sheet.junctions), 'junction')}, "
        if sheet.wires
        else ""
    )
    left = f"{sheet.excess_mm:g} mm left over in all." if sheet.wires else ""
    cables = f"{counted(len(sheet.cables), 'cable')} to cut." if sheet.cables else ""
    return " ".join(filter(None, (wires + left, cables)))


def search_text(sheet: RunSheet) -> str:
    """How sure it is that nothing better exists."""
    if not sheet.wires:
        return ""
    if sheet.proven:
        return "Proven: no wiring from this list has fewer parts, or as many with less left over."
    return "The search ran out of time: this wiring works, but a better one may exist."


def provisos(sheet: RunSheet) -> list[str]:
    """What is still a guess."""
    found = []
    if sheet.unmeasured:
        found.append(
            f"Measure before you order: {counted(len(sheet.unmeasured), 'length')} in use still typical."
        )
    if sheet.typical_stock:
        found.append("The list of lengths is a typical one: put your supplier's in its place.")
    return found


def cable_lengths(run: CableRun) -> str:
    """What to cut and to buy for one cable."""
    bought = f", buy {run.inner_bought_mm:.0f} mm" if run.inner_bought_mm else ""
    small = f"{counted(run.ferrules, 'ferrule')}, {counted(run.end_caps, 'end cap')}."
    inner = f"inner wire {run.inner_mm:.0f} mm before trimming{bought}"
    return f"Housing {run.housing_mm:.0f} mm in all; {inner}; {small}"


def cable_drag(run: CableRun) -> str:
    """Friction and drag in a sentence."""
    return (
        f"Bends add up to {run.bend_deg:.0f}°, so the lever must pull {run.force_ratio:.2f} times the "
        "force at the "
        f"derailleur; drag predicted at the {'pulley' if run.pulls == 'rear' else 'cage'}: "
        f"{run.drag_mm:.2f} mm ± {run.drag_sd_mm:.2f} mm."
    )


def _junction(plan: RunPlan, junction: Junction) -> dict[str, object]:
    free = junction.ports - junction.used
    return {
        "label": junction.label,
        "ports": junction.ports,
        "place": plan.called(junction.at),
        "wires": ", ".join(junction.wires),
        "free": counted(free, "port") if free else "",
    }


def _cable(run: CableRun) -> dict[str, object]:
    return {
        "label": run.label,
        "name": run.name,
        "pieces": run.pieces,
        "lengths": cable_lengths(run),
        "drag": cable_drag(run),
        "verdict": run.verdict,
        "notes": run.notes,
    }


def runs_html(plan: RunPlan, sheet: RunSheet) -> str:
    """The whole sheet as text; the same plan gives the same sheet."""
    return rendered(
        "runs_sheet.html",
        title=sheet.title or "Run sheet",
        sheet=sheet,
        verdict=verdict(sheet),
        provisos=provisos(sheet),
        cautions=[{"signal": SIGNAL[caution.signal], "text": caution.text} for caution in sheet.cautions],
        # The drawing comes out of its own template, where every text was escaped.
        drawing=Markup(runs_svg(plan, sheet)),
        takeaway=takeaway(sheet),
        junctions=[_junction(plan, junction) for junction in sheet.junctions],
        cables=[_cable(run) for run in sheet.cables],
        search=search_text(sheet),
    )
