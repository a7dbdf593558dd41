"""Starter frames: typical lengths to begin with, replaced one by one by measured ones."""

from typing import TYPE_CHECKING, Any

from tunekit.bike.errors import one_of, shown
from tunekit.data import table

if TYPE_CHECKING:
    from tunekit.runs.plan import RunPlan

Raw = dict[str, Any]


def starter_frames() -> tuple[str, ...]:
    """Names of the starter frames."""
    return tuple(table("frames")["frames"])


def frame_label(name: str) -> str:
    """How people call a starter frame."""
    return str(table("frames")["frames"][name]["label"])


def starter_plan(name: str, actuation: str = "electronic") -> "RunPlan":
    """The starter frame's plan; raises PlanError when there is no such frame.

    `actuation` is "electronic" (its devices are planned, its cables come out) or "cable" (its cables are
    planned).
    """
    from tunekit.runs.plan import RunPlan

    return RunPlan.build(starter=name, actuation=actuation)


def _frame(name: object) -> Raw:
    frames = table("frames")["frames"]
    if not isinstance(name, str) or name not in frames:
        raise ValueError(f"starter must be {one_of(frames)} (got {shown(name)}); choose one of these")
    return frames[name]  # type: ignore[no-any-return]


def _starter_parts(name: object, actuation: object) -> Raw:
    """The starter's own rows, points spelled out from the common table."""
    frame, common = _frame(name), table("frames")
    if actuation not in ("electronic", "cable"):
        raise ValueError(
            f"actuation must be electronic or cable (got {shown(actuation)}); choose one of the two"
        )
    by_wire = actuation == "electronic"
    spots = {
        point: {**common["points"][point], **frame.get("moved", {}).get(point, {})}
        for point in frame["points"]
    }
    return {
        "title": frame["label"],
        "points": [{"name": point, **spot} for point, spot in spots.items()],
        "sections": frame["sections"],
        "devices": frame["devices"] if by_wire else [],
        "places": frame["places"] if by_wire else [],
        "stock": common["stock"],
        "cables": [{**cable, "old": by_wire} for cable in frame["cables"]],
    }


def _ends(row: object) -> list[str]:
    """The two points of a raw section or measured row, in alphabetical order; [] when it has none."""
    between = row.get("between") if isinstance(row, dict) else None
    return sorted(map(str, between)) if isinstance(between, list | tuple) else []


def _with_measured(sections: list[Raw], measured: object) -> list[Raw]:
    """The sections with measured lengths in place of typical ones."""
    rows: list[Any] = measured if isinstance(measured, list) else [measured]
    if not all(
        isinstance(row, dict) and set(row) == {"between", "mm"} and len(_ends(row)) == 2 for row in rows
    ):
        raise ValueError(
            'measured must be rows like {between = ["stem", "head_tube"], mm = 90}; correct them'
        )
    changed = [dict(section) if isinstance(section, dict) else section for section in sections]
    for row in rows:
        found = [section for section in changed if _ends(section) == _ends(row)]
        if not found:
            raise ValueError(
                f"measured names a section the frame lacks (got {shown(row['between'])}); correct the points"
            )
        found[0].update(mm=row["mm"], measured=True)
    return changed


def filled_in(raw: Raw) -> Raw:
    """A raw plan with everything it leaves out taken from its starter, and its measured lengths put in place.

    Raises ValueError("RULE; WHAT TO DO") on a starter or a section that does not exist.
    """
    whole = dict(raw)
    if whole.get("starter") is not None:
        actuation = whole.pop("actuation", "electronic")
        whole = {**_starter_parts(whole["starter"], actuation), **whole}
    measured = whole.pop("measured", None)
    if measured is not None and isinstance(whole.get("sections"), list | tuple):
        whole["sections"] = _with_measured(whole["sections"], measured)
    return whole


def typical_slack_mm(reason: str) -> float:
    """Typical slack for what moves there [mm]."""
    return float(table("frames")["slack"][reason]["mm"])
