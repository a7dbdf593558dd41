"""The VALIDATION table of DEVELOPERS.md, made by running every row of ROWS in the test files here.

python tests/published/validation.py            print the table
python tests/published/validation.py --write    put it between the markers in DEVELOPERS.md
"""

import importlib
import sys
from pathlib import Path
from types import ModuleType

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))

BEGIN, END = "<!-- validation:begin -->", "<!-- validation:end -->"
DOCUMENT = HERE.parents[1] / "DEVELOPERS.md"


def modules() -> list[ModuleType]:
    """Every test file here that holds ROWS, by name."""
    found = (importlib.import_module(path.stem) for path in sorted(HERE.glob("test_*.py")))
    return [module for module in found if hasattr(module, "ROWS")]


def _figure(value: float, tol: float) -> str:
    """As many decimals as the tolerance asks for, and one more."""
    places = 0 if tol >= 1 else len(f"{tol:.10f}".rstrip("0").split(".")[1]) if tol else 4
    text = f"{value:.{min(places + 1, 8)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _cell(text: str) -> str:
    return text.replace("|", "/").replace("\n", " ")


def rows() -> list[str]:
    """The table's lines: quantity, our value, published value, tolerance, source, status."""
    lines = ["| quantity | ours | published | within | source | status |", "|---|---|---|---|---|---|"]
    for module in modules():
        for row in module.ROWS:
            unit = f" {row.unit}" if row.unit else ""
            within = "misprint: must differ" if row.misprint else f"{row.tol:g}"
            ours, printed = _figure(row.value, row.tol), f"{row.published:.10g}"
            cells = (row.quantity, ours + unit, printed + unit, within, row.source, row.status)
            lines.append(f"| {' | '.join(map(_cell, cells))} |")
    return lines


def section() -> str:
    """What stands between the markers."""
    table = rows()
    return (
        f"\n{len(table) - 2} checks, made by `python tests/published/validation.py --write`:\n\n"
        + "\n".join([*table, ""])
    )


def updated(text: str) -> str:
    """The document with its section made new; ValueError when the markers are missing."""
    before, found, rest = text.partition(BEGIN)
    _, closed, after = rest.partition(END)
    if not (found and closed):
        raise ValueError(f"DEVELOPERS.md must hold {BEGIN} and {END}; add both on lines of their own")
    return f"{before}{BEGIN}{section()}{END}{after}"


def main() -> int:
    """Print the table, or write it."""
    if "--write" not in sys.argv[1:]:
        print("\n".join(rows()))
        return 0
    DOCUMENT.write_text(updated(DOCUMENT.read_text(encoding="utf-8")), encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
