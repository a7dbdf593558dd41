"""The plan file: TOML or JSON, UTF-8, one plan."""

import json
import os
import tomllib
from typing import Any

from tunekit.bike.errors import PlanError, shown
from tunekit.runs.check import check_plan
from tunekit.runs.plan import VERSION, RunPlan
from tunekit.session.file import check_size, check_version, decoded, read_whole


def _parsed(text: str) -> Any:
    """The file's table, JSON when it opens with a brace, else TOML; raises PlanError naming the place."""
    is_json = text.lstrip().startswith(("{", "["))
    try:
        return json.loads(text) if is_json else tomllib.loads(text)
    except RecursionError:
        raise PlanError("file must be a run plan (got endless nesting); choose a plan file.") from None
    except ValueError as error:
        kind = "JSON" if is_json else "TOML"
        raise PlanError(
            f"file must be whole {kind} (it breaks: {shown(error, 80)}); correct that place."
        ) from None


def plan_from_text(text: str | bytes) -> RunPlan:
    """A checked plan from a file's text; raises PlanError with one line that names the field."""
    check_size(len(text), "plan", PlanError)
    raw = _parsed(decoded(text, "plan", PlanError))
    if not isinstance(raw, dict):
        raise PlanError("file must be a table of keys and values (got a list); choose a plan file.")
    check_version("tunekit_runs", raw.get("tunekit_runs"), VERSION, PlanError)
    plan = RunPlan.build(**{str(key): value for key, value in raw.items()})
    check_plan(plan)
    return plan


def plan_to_text(plan: RunPlan) -> str:
    """The plan as JSON, every value spelled out, readable by a person."""
    return json.dumps(plan.model_dump(mode="json"), indent=1, ensure_ascii=False) + "\n"


def load_plan(path: str | os.PathLike[str]) -> RunPlan:
    """Read a plan file, TOML or JSON; raises PlanError with one line that names the field."""
    return plan_from_text(read_whole(path, "plan", PlanError))
