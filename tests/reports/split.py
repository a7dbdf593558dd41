"""The open reports divided once into fit and check, by id, a twin with its report.

    python split.py fit|check [OUT.json]    reports as they were coded, as the benches want them

Nothing is fitted to the check part, and nobody looks at its single cases.
"""

import hashlib
import json
import sys
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE / "bench"))
SAME_TEXT = {"T-012": "R-143", "T-016": "R-027", "T-114": "R-068", "T-117": "R-042"}
"""Textbook cases that tell the same event as a report and go with it."""
PARTS = 5
"""One part in so many is kept for checking."""


def own(row: dict[str, Any]) -> str:
    """The event that a report tells: its own id, or that of the report which tells it too."""
    name: str = row["id"]
    return str(row.get("twin_of") or SAME_TEXT.get(name, name))


def number(row: dict[str, Any], parts: int) -> int:
    """In which of so many parts a report falls, twins together."""
    return int(hashlib.md5(own(row).encode()).hexdigest(), 16) % parts


def is_check(row: dict[str, Any]) -> bool:
    """Whether a report or textbook case belongs to the part that nothing is fitted to."""
    return number(row, PARTS) == 0


def rows(part: str) -> list[dict[str, Any]]:
    """The reports of one part as they were coded, the newer words in a list beside them."""
    read = json.loads((HERE / "reports.json").read_text(encoding="utf-8"))
    return [row for row in read if is_check(row) == (part == "check")]


def today(row: dict[str, Any]) -> dict[str, Any]:
    """The report with its newer words put in, once: nothing is left to put in a second time."""
    import newer

    return {**row, "session": newer.session(row), "newer": []}


if __name__ == "__main__":
    part, *out = sys.argv[1:]
    text = json.dumps(rows(part))
    Path(out[0]).write_text(text, encoding="utf-8") if out else print(text)
