"""Sessions of the textbook cases and of the starter bikes, and tables that a test may change."""

import json
from collections.abc import Callable, Iterator
from copy import deepcopy
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules
from typing import Any, NamedTuple

import pytest

from tunekit import diagnosis
from tunekit.bike import Bike
from tunekit.bike.starters import starter, starter_names
from tunekit.data import table
from tunekit.diagnosis import Advice
from tunekit.session import Session, session_from_text

TABLES = ("causes", "checks", "repairs", "model", "hearing", "words/vocabulary")
ROOMS = [import_module(f"tunekit.diagnosis.{found.name}") for found in iter_modules(diagnosis.__path__)]
CACHED = {kept for room in ROOMS for kept in vars(room).values() if hasattr(kept, "cache_clear")} - {table}
"""Functions of the diagnosis that remember what they once read in a table."""


class Case(NamedTuple):
    """A log out of a published text, and the causes and first steps which that text accepts."""

    name: str
    source: str
    session: Session
    causes: list[str]
    moves: list[dict[str, Any]]

    def first(self, advice: Advice) -> bool:
        return advice.causes[0].name in self.causes

    def among_three(self, advice: Advice) -> bool:
        return any(cause.name in self.causes for cause in advice.causes[:3])

    def first_step(self, advice: Advice) -> bool:
        return any(_fits(advice, wanted) for wanted in self.moves)


def _fits(advice: Advice, wanted: dict[str, Any]) -> bool:
    """A step of that kind, what and sign; a null kind means that nothing is to be done."""
    if advice.next is None or wanted["kind"] is None:
        return advice.next is None and wanted["kind"] is None
    same = (advice.next.kind, advice.next.what) == (wanted["kind"], wanted["what"])
    return same and (wanted["sign"] is None or (advice.next.amount or 0.0) * wanted["sign"] > 0)


@pytest.fixture(scope="session")
def cases() -> list[Case]:
    rows = json.loads((Path(__file__).parent / "cases.json").read_text(encoding="utf-8"))
    return [
        Case(
            row["id"],
            row["source"],
            session_from_text(json.dumps(row["session"])),
            row["accept_causes"],
            row["accept_moves"],
        )
        for row in rows
    ]


@pytest.fixture(params=starter_names())
def bike(request: pytest.FixtureRequest) -> Bike:
    return starter(request.param)


@pytest.fixture
def fresh_tables() -> Iterator[Callable[[], None]]:
    """Puts the tables kept in memory back as they are on disk: when called, and when the test ends."""
    kept = {name: deepcopy(table(name)) for name in TABLES}

    def put_back() -> None:
        for name, whole in kept.items():
            table(name).clear()
            table(name).update(deepcopy(whole))
        for function in CACHED:
            function.cache_clear()

    yield put_back
    put_back()
