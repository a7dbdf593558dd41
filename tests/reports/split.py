"""The open reports divided once into fit and check, by id, a twin with its report.

python split.py fit|check [OUT.json]
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


def is_check(row: dict[str, Any]) -> bool:
    """Whether a report or textbook case belongs to the part that nothing is fitted to."""
    own = row.get("twin_of") or SAME_TEXT.get(row["id"], row["id"])
    return int(hashlib.md5(own.encode()).hexdigest(), 16) % PARTS == 0


def rows(part: str) -> list[dict[str, Any]]:
    """The reports of one part, in today's words."""
    import newer

    read = json.loads((HERE / "reports.json").read_text(encoding="utf-8"))
    return [{**row, "session": newer.session(row)} for row in read if is_check(row) == (part == "check")]


if __name__ == "__main__":
    part, *out = sys.argv[1:]
    text = json.dumps(rows(part))
    Path(out[0]).write_text(text, encoding="utf-8") if out else print(text)
