"""A mechanic who follows the walk, and answers each step as told."""

import pytest

from tunekit import Session
from tunekit.bike.starters import starter
from tunekit.session import make_entry
from tunekit.setup import Step, Walk, answer, setup_steps
from tunekit.setup.rows import rows

ON_TARGET = {
    "rim": (40.0, 40.0, 40.0, 40.0),
    "done": None,
    "word": "clean",
}


def good_answer(step: Step) -> object:
    """What a mechanic answers when the step went well."""
    row, form = rows()[step.id], step.asks.form
    if form == "yes_no":
        return "yes" if row.good == 1 else "no"
    if form in ON_TARGET:
        return ON_TARGET[form]
    if step.asks.what.startswith("quiet_edge"):
        return 0.25 if step.asks.unit == "turns" else 2.0
    if row.torque:
        return row.torque[0]
    assert step.target is not None
    return 0.25 if step.target.value is None else step.target.value  # what nobody typed, the leaflet says


class Bench:
    """A session and the hands on it."""

    def __init__(self, name: str = "road-double-10", walk: str | None = None) -> None:
        self.session = Session(bike=starter(name))
        self.name = walk

    @property
    def walk(self) -> Walk:
        return setup_steps(self.session, self.name)

    def step(self, id: str) -> Step:
        found = self.walk.step(id)
        assert found is not None, id
        return found

    def log(self, kind: str, **fields: object) -> None:
        self.session = self.session.with_entry(make_entry(kind, **fields))

    def write(self, fields: dict[str, object]) -> None:
        self.session = self.session.with_entry(make_entry(**fields))

    def say(self, id: str, given: object) -> Step:
        """Answer a step; the step as it is then."""
        self.write(answer(self.step(id), given))
        return self.step(id)

    def follow(self, until: str | None = None) -> None:
        """Do step after step as the walk asks, each well, up to (not including) `until`."""
        for _ in range(80):
            walk = self.walk
            step = walk.step(walk.current) if walk.current else None
            if step is None or step.id == until:
                return
            self.write(answer(step, good_answer(step)))
        raise AssertionError(f"the walk never ends; it stands at {self.walk.current}")


@pytest.fixture
def bench():
    return Bench


@pytest.fixture
def cable():
    return Bench("road-double-10", "rear_cable")


@pytest.fixture
def electronic():
    return Bench("road-electronic", "rear_electronic")
