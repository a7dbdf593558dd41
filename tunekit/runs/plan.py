"""The run plan: the frame as points and measured sections, what is plugged in where, and what can be bought.

A plan names a starter frame and replaces its values one by one, or spells everything out.
Lengths are millimetres along the path that a wire or housing takes; angles are degrees. A whole plan may be
as short as this:

    starter = "road"                 # or time_trial, gravel, trail, small
    actuation = "electronic"         # or cable
    measured = [{between = ["stem", "head_tube"], mm = 95}]
    stock = {wires_mm = [300, 500, 900, 1200], junction_ports = [3, 4]}
"""

from typing import Annotated, Literal, Self

from pydantic import Field, ValidationError, model_validator

from tunekit.bike.errors import PlanError, one_sentence
from tunekit.bike.model import Part

VERSION: Literal[1] = 1

DeviceKind = Literal[
    "lever", "button", "front_derailleur", "rear_derailleur", "battery", "charging_port", "wireless_unit"
]
SlackFor = Literal["bars_turn", "stem_clamps", "suspension_moves", "battery_pulled_out"]
Opening = Literal["none", "hole", "panel", "bottom_bracket"]

Name = Annotated[str, Field(min_length=1, max_length=60)]
Length = Annotated[float, Field(ge=0, le=5000)]
Bend = Annotated[float, Field(ge=0, le=1080)]
Ports = Annotated[int, Field(ge=1, le=12)]


def _rows(most: int, least: int = 0) -> object:
    """A list in the file, a tuple in memory."""
    return Field(strict=False, min_length=least, max_length=most)


class Point(Part):
    """A place on the frame that a run starts at, ends at or passes."""

    name: Name
    label: Annotated[str, Field(max_length=60)] = ""
    """How people call it; empty takes the name with spaces for underscores."""
    x: Annotated[float, Field(ge=-10000, le=10000)] | None = None
    y: Annotated[float, Field(ge=-10000, le=10000)] | None = None
    """Where it stands on the drawing (right and up); a schema, not to scale."""
    hollow: bool = False
    """Inside a tube: spare length can be coiled here and a junction could sit here."""
    opening: Opening = "none"
    """How a hand, a hook or a magnet gets in."""

    @property
    def called(self) -> str:
        """The name people read."""
        return self.label or self.name.replace("_", " ")


class Section(Part):
    """The path between two neighbouring points."""

    between: Annotated[tuple[Name, Name], Field(strict=False)]
    mm: Length
    """Along the path, bars straight ahead, suspension at rest."""
    measured: bool = False
    """True once a tape has replaced the typical value."""
    slack_mm: Length | None = None
    """Extra for movement; null takes the typical value for `slack_for`, or none."""
    slack_for: SlackFor | None = None
    """What moves here."""
    bend_deg: Bend = 0.0
    """All bends of the section added up, whichever way they go."""
    inside: bool = False
    """Runs inside a tube, out of sight."""
    most_wires: Annotated[int, Field(ge=1, le=20)] | None = None
    """How many wires the hole or grommet lets through; null when nobody need count."""
    pinch: bool = False
    """A clamp, a cup or a bearing can pinch what passes here."""


class Device(Part):
    """Something that a wire plugs into."""

    name: Name
    kind: DeviceKind
    at: Name
    ports: Ports = 1
    """With two or more it passes the signal on."""
    slack_mm: Length | None = None
    slack_for: SlackFor | None = None


class Place(Part):
    """A point where junctions may sit."""

    at: Name
    ports: Annotated[tuple[Ports, ...], _rows(12)] = ()
    """Junction sizes that fit here; empty takes every size that can be bought."""
    most: Annotated[int, Field(ge=1, le=8)] = 1
    """How many may sit here."""


class Stock(Part):
    """What can be bought. The user's own list replaces the typical one."""

    wires_mm: Annotated[tuple[Annotated[float, Field(gt=0, le=5000)], ...], _rows(100, 1)]
    junction_ports: Annotated[tuple[Ports, ...], _rows(12)]
    inner_mm: Annotated[tuple[Annotated[float, Field(gt=0, le=10000)], ...], _rows(20)] = ()
    typical: bool = False
    """True while nobody has replaced the starter's list."""


class Cable(Part):
    """A mechanical cable, from lever to derailleur."""

    name: Name
    pulls: Literal["rear", "front"]
    via: Annotated[tuple[Name, ...], _rows(40, 2)]
    """Every point from the lever to the derailleur."""
    stops: Annotated[tuple[Name, ...], _rows(40)] = ()
    """Points of `via` at which housing ends or starts again; the first piece is housing. Empty: housing
    throughout."""
    old: bool = False
    """True when it comes out: its inner wire can guide what goes in."""
    cable_ratio: Annotated[float, Field(ge=0.3, le=4)] = 1.7
    """Millimetres at the pulley (or cage) for each millimetre of cable."""
    quiet_mm: Annotated[float, Field(ge=0.01, le=5)] | None = None
    """How far off the pulley may stop and still run quietly; null takes a typical value."""


class RunPlan(Part):
    """Everything `plan_runs` needs to know."""

    tunekit_runs: Literal[1] = VERSION
    title: Annotated[str, Field(max_length=200)] = ""
    starter: str | None = None
    """The starter frame it began as."""
    points: Annotated[tuple[Point, ...], _rows(100, 2)]
    sections: Annotated[tuple[Section, ...], _rows(300, 1)]
    devices: Annotated[tuple[Device, ...], _rows(60)] = ()
    places: Annotated[tuple[Place, ...], _rows(40)] = ()
    stock: Stock
    cables: Annotated[tuple[Cable, ...], _rows(4)] = ()

    @model_validator(mode="before")
    @classmethod
    def _from_starter(cls, raw: object) -> object:
        from tunekit.runs.starters import filled_in

        return filled_in(raw) if isinstance(raw, dict) else raw

    @classmethod
    def build(cls, **fields: object) -> Self:
        """A checked plan; raises PlanError with one sentence instead of pydantic's report."""
        try:
            return cls.model_validate(fields)
        except ValidationError as error:
            raise PlanError(one_sentence(error)) from None

    def point(self, name: str) -> Point:
        """The point of that name; the plan has been checked, so it is there."""
        return next(point for point in self.points if point.name == name)

    def called(self, name: str) -> str:
        """What people call that point."""
        return self.point(name).called

    def section(self, one: str, other: str) -> Section | None:
        """The section between two points, either way round."""
        return next((s for s in self.sections if set(s.between) == {one, other}), None)
