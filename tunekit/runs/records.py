"""What `plan_runs` answers: plain frozen records, so that a page, a shell and a sheet show the same thing.

Lengths are millimetres, angles degrees. Points are the plan's names; `start` and `end` are what a person
reads.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Wire:
    """One wire, numbered in the order of pulling; `start` is the end nearer to the battery."""

    label: str
    start: str
    end: str
    route: tuple[str, ...]
    """Points it passes, both ends included."""
    need_mm: int
    """Along the route with its slack, rounded up."""
    slack_mm: float
    """The part of `need_mm` that is there for movement."""
    length_mm: float
    """The wire to buy."""
    excess_mm: float
    stow_at: str | None
    """The point where the excess is coiled; None when there is none."""
    stow: str
    """Where and how, in a sentence; "" when there is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Junction:
    """One junction and where it sits."""

    label: str
    at: str
    ports: int
    used: int
    wires: tuple[str, ...]
    """Labels of the wires plugged in, the one toward the battery first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Continuity:
    """The way from the battery to a device: what to ring out when it is dead."""

    device: str
    path: tuple[str, ...]
    """Labels of wires and junctions, from the battery."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CablePiece:
    """One piece of housing, or one stretch of bare inner wire."""

    label: str
    kind: str
    """"housing" or "bare"."""
    start: str
    end: str
    route: tuple[str, ...]
    """Points it passes, both ends included."""
    length_mm: float
    """With its slack."""
    slack_mm: float
    bend_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CableRun:
    """One mechanical cable: what to cut, what to buy, and how hard it drags."""

    label: str
    name: str
    pulls: str
    pieces: tuple[CablePiece, ...]
    housing_mm: float
    inner_mm: float
    """Run and spare before trimming."""
    inner_bought_mm: float | None
    """The shortest inner wire of the list that is long enough; None when the plan lists none."""
    ferrules: int
    end_caps: int
    bend_deg: float
    """All bends added up."""
    force_ratio: float
    """Pull at the lever for each newton at the derailleur."""
    drag_mm: float
    """How far the pulley is predicted to stop short, either way (`tunekit.mechanics.cable`)."""
    drag_sd_mm: float
    most_bend_deg: float | None
    """Bends at which such a run would just spoil the indexing; None when none would."""
    verdict: str
    """Whether clean indexing is likely, in a sentence."""
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLine:
    """One line of the parts list."""

    part: str
    """"wire", "junction", "inner", "housing", "ferrule" or "end_cap"."""
    name: str
    count: int
    spare: int
    advice: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PullStep:
    """One step of the pulling, in order."""

    label: str | None
    """The wire it is about, or None."""
    command: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tag:
    """What to write on both ends of a wire."""

    label: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """Signal word and sentence."""

    signal: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RunSheet:
    """Everything to order, and everything to do, before the old cable comes out."""

    title: str
    wires: tuple[Wire, ...]
    junctions: tuple[Junction, ...]
    cables: tuple[CableRun, ...]
    parts: tuple[PartLine, ...]
    part_count: int
    """Wires and junctions, spares not counted."""
    excess_mm: float
    """Of all wires together."""
    proven: bool
    """True when no wiring with fewer parts, or as many and less excess, exists; False when the time box
    cut in."""
    pulling: tuple[PullStep, ...]
    tags: tuple[Tag, ...]
    continuity: tuple[Continuity, ...]
    tests: tuple[str, ...]
    """Before the frame is closed, chain and cranks off."""
    tests_after: tuple[str, ...]
    """Once cranks and chain are on again."""
    """What to test before the frame is closed, in order."""
    cautions: tuple[Caution, ...]
    unmeasured: tuple[tuple[str, str], ...]
    """Sections whose length is still the starter's and that a run uses."""
    typical_stock: bool
    """True while the list of what can be bought is the typical one."""
