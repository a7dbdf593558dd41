"""Wires and cables through a frame, before anything is threaded. scipy is imported only when a wiring is
searched."""

from tunekit.runs.check import check_plan
from tunekit.runs.dead import DeadBranch, Suspect, explain_dead
from tunekit.runs.file import load_plan, plan_from_text, plan_to_text
from tunekit.runs.plan import Cable, Device, Place, Point, RunPlan, Section, Stock
from tunekit.runs.records import RunSheet
from tunekit.runs.sheet import plan_runs
from tunekit.runs.starters import frame_label, starter_frames, starter_plan

__all__ = [
    "Cable",
    "DeadBranch",
    "Device",
    "Place",
    "Point",
    "RunPlan",
    "RunSheet",
    "Section",
    "Stock",
    "Suspect",
    "check_plan",
    "explain_dead",
    "frame_label",
    "load_plan",
    "plan_from_text",
    "plan_runs",
    "plan_to_text",
    "starter_frames",
    "starter_plan",
]
