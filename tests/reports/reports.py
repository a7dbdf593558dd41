"""The open reports as sessions: real complaints, coded, whose cause was found afterwards (reports.json)."""

import json
from pathlib import Path
from typing import Any

from tunekit import Session

HERE = Path(__file__).parent


def report_rows() -> list[dict[str, Any]]:
    """Every open report as it was coded."""
    rows: list[dict[str, Any]] = json.loads((HERE / "reports.json").read_text(encoding="utf-8"))
    return rows


def report_sessions() -> list[tuple[str, Session]]:
    """Name and session of every open report."""
    return [(row["id"], Session.model_validate(row["session"])) for row in report_rows()]
