"""Which wire or junction explains that some devices do not answer: an idea as generic as a tree.

A break takes away everything behind it, seen from the battery. So a wire or junction explains a dead
device when no device behind it answers, and the fewest breaks that explain all are the widest such branches.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from tunekit.bike.errors import PlanError, shown
from tunekit.data import phrase
from tunekit.runs.records import RunSheet


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """Something whose failure takes away exactly the branch."""

    kind: str
    """"battery", "wire", "junction" or "device"."""
    label: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DeadBranch:
    """Devices that went dead together, and what explains it, likeliest first."""

    devices: tuple[str, ...]
    suspects: tuple[Suspect, ...]
    why: str


def explain_dead(sheet: RunSheet, responding: Iterable[str]) -> tuple[DeadBranch, ...]:
    """The fewest breaks that explain which devices answer; () when all do.

    responding : names of the devices that answer (the battery is not asked).

    Raises
    ------
    PlanError
        when a name is none of the sheet's devices.
    """
    paths = {row.device: row.path for row in sheet.continuity}
    answering = set(responding)
    unknown = sorted(answering - set(paths))
    if unknown:
        raise PlanError(
            f"responding must name devices of the plan, {shown(list(paths))} (got {shown(unknown)}); "
            "correct the name."
        )
    behind = _behind(paths)
    dead = {name for name in paths if name not in answering}
    broken = {label: names for label, names in behind.items() if names <= dead}
    widest = [names for names in set(broken.values()) if not any(names < other for other in broken.values())]
    return tuple(
        _branch(sheet, names, broken) for names in sorted(widest, key=lambda names: _place(paths, names))
    )


def _place(paths: dict[str, tuple[str, ...]], names: frozenset[str]) -> int:
    return min(list(paths).index(name) for name in names)


def _behind(paths: dict[str, tuple[str, ...]]) -> dict[str, frozenset[str]]:
    """Per wire, junction and device the devices that lose the battery when it fails."""
    labels = list(dict.fromkeys(label for path in paths.values() for label in path))
    behind = {
        label: frozenset(name for name, path in paths.items() if label in path or name == label)
        for label in labels
    }
    return {"battery": frozenset(paths), **behind, **{n: behind.get(n, frozenset({n})) for n in paths}}


def _branch(sheet: RunSheet, names: frozenset[str], broken: dict[str, frozenset[str]]) -> DeadBranch:
    """The branch's suspects: from the battery outward, so a wire stands before what hangs on it."""
    devices = tuple(row.device for row in sheet.continuity if row.device in names)
    suspects = tuple(_suspect(sheet, label) for label, behind in broken.items() if behind == names)
    listed = " and ".join(devices) if len(devices) < 3 else f"{', '.join(devices[:-1])} and {devices[-1]}"
    first = " or ".join(suspect.text for suspect in suspects)
    key = "one" if len(devices) == 1 else "several"
    sentence = phrase("runs", f"dead.{key}", suspect=first, devices=listed)
    return DeadBranch(devices=devices, suspects=suspects, why=sentence[:1].upper() + sentence[1:])


def _suspect(sheet: RunSheet, label: str) -> Suspect:
    wire = next((wire for wire in sheet.wires if wire.label == label), None)
    junction = next((junction for junction in sheet.junctions if junction.label == label), None)
    if wire:
        text = phrase("runs", "dead.wire", label=label, start=wire.start, end=wire.end)
        return Suspect(kind="wire", label=label, text=text)
    if junction:
        place = junction.at.replace("_", " ")
        return Suspect(
            kind="junction", label=label, text=phrase("runs", "dead.junction", label=label, place=place)
        )
    kind = "battery" if label == "battery" else "device"
    return Suspect(kind=kind, label=label, text=phrase("runs", f"dead.{kind}", name=label))
