"""Makes tunekit/data/learned/counts.csv: the fit part of the open reports and the textbook cases that go with it.

python tests/reports/learn.py
"""

import json
from pathlib import Path
from typing import Any

import split

from tunekit.diagnosis.reports import write_counts
from tunekit.diagnosis.reports.learn import count_reports

ROOT = Path(__file__).parents[2]


def textbook() -> list[dict[str, Any]]:
    """The textbook cases of the fit part that speak of causes, as reports."""
    rows = json.loads((ROOT / "tests" / "diagnosis" / "cases.json").read_text(encoding="utf-8"))
    return [row for row in rows if not split.is_check(row)]


def known() -> list[dict[str, Any]]:
    """Everything that the shipped counts are made of."""
    return [*map(split.today, split.rows("fit")), *textbook()]


if __name__ == "__main__":
    write_counts(count_reports(known()), ROOT / "tunekit" / "data" / "learned" / "counts.csv")
