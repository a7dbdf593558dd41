"""The frame to tap: every section with its length, every point with what sits there.

The places come from `runs_drawing`; `templates/runs_tap.svg` draws them. What is tapped is the mark
nearest to the finger, so a mark may be smaller than a finger; `key` is ("section", one, other) or
("point", name).
"""

from dataclasses import dataclass

from tunekit.runs import RunPlan
from tunekit.show.rendering import rendered
from tunekit.show.runs_drawing import Spot, Stroke, canvas

Key = tuple[str, ...]

STRETCH = 1.3
"""The schema is drawn taller than wide, so that there is room between marks on a phone."""
MARK = (112.0, 76.0)
"""Width and height of a mark with its surroundings, in units of the drawing."""
SHARES = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.82)


@dataclass(frozen=True, slots=True, kw_only=True)
class TapMark:
    """A mark: a "section" with its length, or a "point", "device" or "place" for junctions."""

    key: Key
    kind: str
    at: Spot
    text: str
    name: str
    chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TapFrame:
    """Everything to draw."""

    height: float
    strokes: tuple[Stroke, ...]
    marks: tuple[TapMark, ...]


def tap_frame(plan: RunPlan, chosen: Key = ()) -> TapFrame:
    """The frame with its marks; the chosen one is marked."""
    base = canvas(plan)
    spots = {name: (x, y * STRETCH) for name, (x, y) in base.spots.items()}
    outline = tuple(
        Stroke(kind="outline", spots=tuple((x, y * STRETCH) for x, y in line)) for line in base.outline
    )
    tubes = tuple(Stroke(kind="tube", spots=tuple(spots[name] for name in s.between)) for s in plan.sections)
    return TapFrame(
        height=base.height * STRETCH,
        strokes=(*outline, *tubes),
        marks=(*_sections(plan, spots, chosen), *_points(plan, spots, chosen)),
    )


def _sections(plan: RunPlan, spots: dict[str, Spot], chosen: Key) -> list[TapMark]:
    """A length on each section, with a tick once it is measured; moved where it would cover another mark."""
    taken, found = list(spots.values()), []
    for section in plan.sections:
        (x1, y1), (x2, y2) = (spots[name] for name in section.between)
        tries = [(x1 + share * (x2 - x1), y1 + share * (y2 - y1)) for share in SHARES]
        at = max(tries, key=lambda spot: min(1.0, *(_apart(spot, other) for other in taken)))
        taken.append(at)
        key = ("section", *section.between)
        text = f"{section.mm:g}{' ✓' if section.measured else ''}"
        name = " – ".join(plan.called(point) for point in section.between)
        found.append(TapMark(key=key, kind="section", at=at, text=text, name=name, chosen=key == chosen))
    return found


def _apart(one: Spot, other: Spot) -> float:
    """1 and more when two marks do not touch."""
    return max(abs(one[0] - other[0]) / MARK[0], abs(one[1] - other[1]) / MARK[1])


def _points(plan: RunPlan, spots: dict[str, Spot], chosen: Key) -> list[TapMark]:
    """A square where a device sits, a ring where a junction may sit, else a dot."""
    devices, places = {device.at for device in plan.devices}, {place.at for place in plan.places}
    found = []
    for point in plan.points:
        kind = "device" if point.name in devices else "place" if point.name in places else "point"
        key = ("point", point.name)
        found.append(
            TapMark(
                key=key, kind=kind, at=spots[point.name], text="", name=point.called, chosen=key == chosen
            )
        )
    return found


def tap_svg(frame: TapFrame) -> str:
    """The drawing as SVG text, user's words escaped."""
    return rendered("runs_tap.svg", frame=frame)
