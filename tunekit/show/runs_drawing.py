"""The frame as a schema with every run on it: where lines, marks and texts stand.

Only places are worked out here; `templates/runs_drawing.svg` draws them, and so does the page's figure.
Units are those of the drawing: 1000 wide, y downward. Texts are set one after another where they cover
nothing else.
"""

import itertools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import hypot

from tunekit.data import table
from tunekit.runs import RunPlan, RunSheet
from tunekit.show.rendering import rendered

Spot = tuple[float, float]

WIDTH = 1000.0
MARGIN_X, MARGIN_Y = 90.0, 60.0
FONT = 31.0
GAP = 13.0
"""Between runs that share a section."""
SHARES = [0.5 + sign * 0.05 * n for n in range(9) for sign in (-1, 1)]
"""Where along its line a run's text may stand, from the middle outward."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """A line: "tube" with sections, "outline" without, a "wire", "housing" or "bare" inner wire."""

    kind: str
    spots: tuple[Spot, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A "device", a "junction" or a bare "point"."""

    kind: str
    at: Spot


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """A text centred on its spot; `kind` is "run" or that of the mark it belongs to."""

    kind: str
    text: str
    at: Spot

    @property
    def half(self) -> Spot:
        """Half of its width and height, as estimated for a plain typeface."""
        size = FONT * (0.82 if self.kind == "point" else 1.0)
        return (0.33 if self.kind == "run" else 0.29) * size * len(self.text) + 6, 0.58 * size


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """Everything to draw."""

    height: float
    strokes: tuple[Stroke, ...]
    marks: tuple[Mark, ...]
    texts: tuple[Text, ...]
    takeaway: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Canvas:
    """Where every point of the plan stands, lines that only make it look like a frame, and the height of
    it all."""

    spots: dict[str, Spot]
    outline: tuple[tuple[Spot, ...], ...]
    height: float


def canvas(plan: RunPlan) -> Canvas:
    """The plan's points scaled to the width."""
    raw: dict[str, Spot] = {p.name: (p.x, p.y) for p in plan.points if p.x is not None and p.y is not None}
    for number, point in enumerate(p for p in plan.points if p.name not in raw):
        raw[point.name] = _beside_neighbours(plan, point.name, raw, number)
    lines = [[(x, y) for x, y in line] for line in _outline(plan)]
    corners = [*raw.values(), *(spot for line in lines for spot in line)]
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    top, bottom = max(y for _, y in corners), min(y for _, y in corners)
    scale = min((WIDTH - 2 * MARGIN_X) / max(right - left, 1.0), 900.0 / max(top - bottom, 1.0))

    def placed(spot: Spot) -> Spot:
        return MARGIN_X + (spot[0] - left) * scale, MARGIN_Y + (top - spot[1]) * scale

    return Canvas(
        spots={name: placed(spot) for name, spot in raw.items()},
        outline=tuple(tuple(map(placed, line)) for line in lines),
        height=(top - bottom) * scale + 2 * MARGIN_Y,
    )


def _outline(plan: RunPlan) -> list[list[list[float]]]:
    """The starter frames' outline, for plans whose tubes still stand where the starter put them."""
    common, spots = table("frames"), {point.name: (point.x, point.y) for point in plan.points}
    anchors = {name: common["points"][name] for name in common["outline"]["anchors"]}
    same = all(spots.get(name) == (spot["x"], spot["y"]) for name, spot in anchors.items())
    return common["outline"]["lines"] if same else []


def _beside_neighbours(plan: RunPlan, name: str, raw: dict[str, Spot], number: int) -> Spot:
    """A place for a point without coordinates: below its neighbours."""
    near = [raw[other] for s in plan.sections if name in s.between for other in s.between if other in raw]
    if not near:
        return (100.0 * number, -100.0)
    return (
        sum(x for x, _ in near) / len(near) + 40.0 * (number + 1),
        sum(y for _, y in near) / len(near) - 90.0,
    )


def _ways(sheet: RunSheet) -> list[tuple[str, str, tuple[str, ...]]]:
    """Kind, text and route of every run."""
    wires = [("wire", f"{w.label} {w.length_mm:g}", w.route) for w in sheet.wires]
    return wires + [
        (p.kind, f"{p.label} {p.length_mm:.0f}", p.route) for run in sheet.cables for p in run.pieces
    ]


def _lanes(ways: list[tuple[str, str, tuple[str, ...]]]) -> dict[frozenset[str], list[int]]:
    """Per section the runs that share it, in order."""
    lanes: dict[frozenset[str], list[int]] = {}
    for number, (_, _, route) in enumerate(ways):
        for step in itertools.pairwise(route):
            lanes.setdefault(frozenset(step), []).append(number)
    return lanes


def _shifted(start: Spot, end: Spot, by: float) -> tuple[Spot, Spot]:
    """The line moved sideways; which side does not depend on its direction."""
    (x1, y1), (x2, y2) = start, end
    length = hypot(x2 - x1, y2 - y1) or 1.0
    sign = 1.0 if (x1, y1) < (x2, y2) else -1.0
    dx, dy = -(y2 - y1) / length * by * sign, (x2 - x1) / length * by * sign
    return (x1 + dx, y1 + dy), (x2 + dx, y2 + dy)


def _run_spots(
    number: int, route: tuple[str, ...], spots: dict[str, Spot], lanes: dict[frozenset[str], list[int]]
) -> tuple[Spot, ...]:
    """The run's line, beside the others in each section."""
    found: list[Spot] = []
    for one, other in itertools.pairwise(route):
        shared = lanes[frozenset((one, other))]
        found += _shifted(spots[one], spots[other], GAP * (shared.index(number) - (len(shared) - 1) / 2))
    return tuple(found)


class _Setter:
    """Sets texts so that none covers another."""

    def __init__(self, height: float) -> None:
        self.height = height
        self.taken: list[tuple[Spot, Spot]] = []

    def keep_free(self, at: Spot, half: float) -> None:
        """A mark stands here."""
        self.taken.append((at, (half, half)))

    def keep_line_free(self, spots: tuple[Spot, ...]) -> None:
        """A run passes here: beads along it, small enough that a text may still stand close."""
        for (x1, y1), (x2, y2) in zip(spots[::2], spots[1::2], strict=False):
            beads = max(int(hypot(x2 - x1, y2 - y1) / 25), 1)
            self.taken += [
                ((x1 + (x2 - x1) * n / beads, y1 + (y2 - y1) * n / beads), (4.0, 4.0))
                for n in range(beads + 1)
            ]

    def _cover(self, text: Text) -> float:
        """How much of what is there the text would cover, its overhang beyond the edge included."""
        (x, y), (w, h) = text.at, text.half
        beyond = max(w - x, 0) + max(x + w - WIDTH, 0) + max(h - y, 0) + max(y + h - self.height, 0)
        covered = 100.0 * beyond
        for (tx, ty), (tw, th) in self.taken:
            covered += max(0.0, w + tw - abs(x - tx)) * max(0.0, h + th - abs(y - ty))
        return covered

    def set(self, kind: str, words: str, candidates: Iterable[Spot], *, may_drop: bool = False) -> list[Text]:
        """The first candidate that covers nothing, else the one that covers least, or none when it may
        drop."""
        texts = [Text(kind=kind, text=words, at=spot) for spot in candidates]
        best = min(texts, key=self._cover)
        if may_drop and self._cover(best):
            return []
        self.taken.append((best.at, best.half))
        return [best]


def _along(spots: tuple[Spot, ...]) -> Iterator[Spot]:
    """Places for a run's text: on its longest stretch first, from the middle outward."""
    stretches = list(zip(spots[::2], spots[1::2], strict=False))
    for (x1, y1), (x2, y2) in sorted(stretches, key=lambda s: -hypot(s[1][0] - s[0][0], s[1][1] - s[0][1])):
        for share in SHARES:
            yield x1 + share * (x2 - x1), y1 + share * (y2 - y1)


def _around(at: Spot, half: Spot) -> Iterator[Spot]:
    """Places for a mark's text: right, left, above, below, and the corners, near first, moved in from the
    edge."""
    for far in (20.0, 44.0, 70.0, 100.0):
        w, h = half[0] + far, half[1] + far - 4
        for dx, dy in ((w, 0), (-w, 0), (0, -h), (0, h), (w, -h), (-w, -h), (w, h), (-w, h)):
            yield min(max(at[0] + dx, half[0]), WIDTH - half[0]), at[1] + dy


def _marks(plan: RunPlan, sheet: RunSheet, spots: dict[str, Spot]) -> list[tuple[Mark, str]]:
    """Junctions, devices, and points that hold neither, each with its words."""
    used = {name for _, _, route in _ways(sheet) for name in route}
    marks = [(Mark(kind="junction", at=spots[j.at]), f"{j.label}, {j.ports} ports") for j in sheet.junctions]
    devices: dict[str, list[str]] = {}
    for device in plan.devices if sheet.wires else ():
        devices.setdefault(device.at, []).append(device.name)
    marks += [(Mark(kind="device", at=spots[at]), ", ".join(names)) for at, names in devices.items()]
    held = {j.at for j in sheet.junctions} | set(devices)
    points = [p for p in plan.points if p.name in used and p.name not in held]
    return marks + [(Mark(kind="point", at=spots[p.name]), p.called) for p in points]


def runs_drawing(plan: RunPlan, sheet: RunSheet) -> Drawing:
    """The frame with every run, its label and length."""
    base = canvas(plan)
    spots, ways, setter = base.spots, _ways(sheet), _Setter(base.height)
    lanes = _lanes(ways)
    lines = [_run_spots(number, route, spots, lanes) for number, (_, _, route) in enumerate(ways)]
    marks = _marks(plan, sheet, spots)
    for mark, _ in marks:
        setter.keep_free(mark.at, 6.0 if mark.kind == "point" else 16.0)
    texts: list[Text] = []
    for (_, text, _), line in zip(ways, lines, strict=True):
        texts += setter.set("run", text, _along(line))
    for line in lines:
        setter.keep_line_free(line)
    for mark, words in marks:
        half = Text(kind=mark.kind, text=words, at=mark.at).half
        texts += setter.set(mark.kind, words, _around(mark.at, half), may_drop=mark.kind == "point")
    outline = [Stroke(kind="outline", spots=line) for line in base.outline]
    tubes = [Stroke(kind="tube", spots=tuple(spots[name] for name in s.between)) for s in plan.sections]
    runs = [Stroke(kind=kind, spots=line) for (kind, _, _), line in zip(ways, lines, strict=True)]
    return Drawing(
        height=base.height,
        strokes=(*outline, *tubes, *runs),
        marks=tuple(mark for mark, _ in marks),
        texts=tuple(texts),
        takeaway=takeaway(sheet),
    )


def takeaway(sheet: RunSheet) -> str:
    """What the drawing shows, in a sentence for those who do not see it."""
    wires = f"{len(sheet.wires)} wires and {len(sheet.junctions)} junctions" if sheet.wires else ""
    cables = f"{len(sheet.cables)} cables" if sheet.cables else ""
    return (
        f"The frame from the side with {' and '.join(filter(None, (wires, cables)))}; a schema, not to scale."
    )


def runs_svg(plan: RunPlan, sheet: RunSheet) -> str:
    """The drawing as an SVG text of its own, user's words escaped."""
    return rendered("runs_drawing.svg", drawing=runs_drawing(plan, sheet))
