"""Plain text for a shell: aligned columns and wrapped sentences, at most 80 wide."""

import textwrap
from collections.abc import Iterable, Sequence

WIDTH = 80


def columns(head: Sequence[str], rows: Iterable[Sequence[object]], right: Iterable[int] = ()) -> str:
    """A table with its head; columns numbered in `right` are set flush right, the last one wraps to fit."""
    cells = [[str(cell) for cell in row] for row in (head, *rows)]
    widths = [max(len(row[place]) for row in cells) for place in range(len(head))]
    numbers = frozenset(right)
    taken = sum(widths[:-1]) + 2 * (len(widths) - 1)
    room = max(WIDTH - taken, 20)
    lines: list[str] = []
    for row in cells:
        set_flush = [
            cell.rjust(width) if place in numbers else cell.ljust(width)
            for place, (cell, width) in enumerate(zip(row[:-1], widths, strict=False))
        ]
        last = row[-1].rjust(widths[-1]) if len(head) - 1 in numbers else row[-1]
        first, *more = textwrap.wrap(last, room, drop_whitespace=False) if len(last) > room else [last]
        lines.append("  ".join([*set_flush, first]).rstrip())
        lines.extend(" " * taken + rest.strip() for rest in more)
    return "\n".join(lines)


def wrapped(text: str, indent: str = "", first: str | None = None) -> str:
    """A sentence over as many lines as it needs; `first` opens the first line."""
    opening = indent if first is None else first
    return textwrap.fill(text, WIDTH, initial_indent=opening, subsequent_indent=indent or " " * len(opening))


def paragraphs(*parts: str) -> str:
    """The parts that hold something, a blank line between."""
    return "\n\n".join(part for part in parts if part)


def signed(value: float, decimals: int = 1) -> str:
    """+0.3 or −0.3; a zero has no sign."""
    text = f"{value:.{decimals}f}"
    return text.replace("-", "−") if float(text) < 0 else f"+{text}" if float(text) > 0 else text.lstrip("-")


def percent(share: float, decimals: int = 0) -> str:
    """79 %, with a space that does not break."""
    return f"{100 * share:.{decimals}f}\u00a0%"
