"""One check against an outside source, shaped so that a test and a row of the VALIDATION table come from it.

A test file here holds its rows in `ROWS` and runs them with

    @against_print(ROWS)
    def test_held_against_print(row: Published) -> None:
        row.hold()
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import pytest

STATUSES = ("seen", "seen+recalc", "calc", "memory", "mixed", "common practice", "independent")
"""As in the file of facts; independent = another library or another way of working it out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """A quantity, what we make it, what was printed, and by whom."""

    quantity: str
    ours: Callable[[], object]
    """Called when the test or the table runs, so that the value is always this checkout's."""
    published: float
    tol: float
    source: str
    status: str
    unit: str = ""
    misprint: bool = False
    """True when the printed value is known to be wrong: ours must then differ by more than `tol`."""

    @property
    def value(self) -> float:
        """Our value as a plain number."""
        return float(self.ours())  # type: ignore[arg-type]

    @property
    def holds(self) -> bool:
        """Whether ours agrees with print, or with good reason does not."""
        near = abs(self.value - self.published) <= self.tol + 1e-12
        return near is not self.misprint

    def hold(self) -> None:
        """Fail with both values and the source."""
        must = "must differ from the misprint" if self.misprint else "must agree with"
        assert self.holds, (
            f"{self.quantity}: {self.value} {must} {self.published} ± {self.tol} ({self.source})"
        )


def against_print(rows: Iterable[Published]) -> pytest.MarkDecorator:
    """Parametrise `row`, each test named by what is held against what."""
    rows = tuple(rows)
    assert all(row.status in STATUSES for row in rows)
    ids = [
        f"{row.quantity} {'is not the misprint in' if row.misprint else 'against'} {row.source}"
        for row in rows
    ]
    return pytest.mark.parametrize("row", rows, ids=[text.replace("×", "x") for text in ids])
