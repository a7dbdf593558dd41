"""Drawings of the set-up walk that are the same for every bike."""

from collections.abc import Callable

from tunekit.show.setup_drawings_rear import BEHIND, GEAR_SIDE, cassette
from tunekit.show.setup_shown import Shown
from tunekit.show.style import MUTED, PAPER, TEXT
from tunekit.show.svg import ACCENT, METAL, arrow, box, circle, line, path, seen, sheet, text, toothed


def _wheel(it: Shown) -> str:
    return sheet(
        seen("seen from the side"),
        circle(180, 160, 30, fill=METAL),
        path("M 120 40 L 150 150 Q 180 200 210 150 L 240 40", wide=5),
        circle(180, 160, 8, fill=TEXT),
        arrow(180, 56, 180, 116),
        text(246, 170, "axle fully in", anchor="start"),
    )


def _look(it: Shown) -> str:
    frame = "M 70 190 L 130 80 L 240 80 L 290 190 M 130 80 L 180 190 L 240 80 M 70 190 L 180 190"
    return sheet(
        seen(GEAR_SIDE),
        path(frame, wide=5),
        path("M 240 80 L 256 112 L 248 120 L 262 140", ink=ACCENT, wide=3),
        text(300, 100, "cracks?", ink=ACCENT),
    )


def _housing(it: Shown) -> str:
    return sheet(
        seen(GEAR_SIDE),
        box(24, 150, 60, 16),
        path("M 84 158 C 220 158 300 150 290 70 C 286 40 250 40 240 60", ink=MUTED, wide=9),
        text(170, 200, "smooth loops, ferrules seated"),
        arrow(300, 130, 330, 110),
    )


def _pluck(it: Shown) -> str:
    return sheet(
        seen("bare wire beside the frame"),
        line(30, 120, 330, 120, wide=3),
        path("M 30 120 Q 180 98 330 120", ink=ACCENT, wide=2),
        arrow(180, 160, 180, 128),
        text(180, 190, "pluck here: taut?"),
    )


def _battery(it: Shown) -> str:
    return sheet(
        box(90, 80, 160, 80, fill=PAPER, wide=3),
        box(250, 104, 14, 32),
        box(100, 90, 110, 60),
        text(180, 196, "charged before you begin"),
    )


def _plug(it: Shown) -> str:
    return sheet(
        box(210, 100, 90, 44),
        box(60, 108, 84, 28, fill=PAPER, wide=2.5),
        line(20, 122, 60, 122, wide=4),
        arrow(150, 122, 204, 122),
        text(180, 176, "straight in, until it clicks"),
    )


def _wires(it: Shown) -> str:
    return sheet(
        path("M 20 80 C 120 80 150 150 240 150 L 340 150", ink=MUTED, wide=6),
        circle(240, 110, 30, fill=METAL),
        text(240, 66, "crank axle, clamps, ports"),
        arrow(240, 142, 240, 196),
        text(180, 222, "wire clear of what moves or pinches"),
    )


def _leaflet(it: Shown) -> str:
    return sheet(
        box(120, 50, 120, 150, fill=PAPER, wide=3),
        *(line(138, 80 + 20 * k, 222, 80 + 20 * k, ink=MUTED) for k in range(5)),
        text(180, 224, "the part's own leaflet"),
    )


def _ruler(it: Shown) -> str:
    return sheet(
        seen("on the taut lower run"),
        *(circle(40 + 23 * k, 90, 8, fill=METAL) for k in range(13)),
        line(40, 90, 316, 90, wide=5),
        box(36, 116, 290, 32, fill=PAPER),
        *(line(40 + 23 * k, 116, 40 + 23 * k, 130, wide=1.5) for k in range(13)),
        arrow(40, 176, 316, 176, both=True),
        text(178, 204, "24 links, new 304.8 mm", size=18),
    )


def _teeth(it: Shown) -> str:
    good = "M 40 150 L 58 90 Q 66 76 74 90 L 92 150 L 118 150 L 136 90 Q 144 76 152 90 L 170 150"
    hooked = "M 204 150 L 232 92 Q 250 78 248 96 L 244 150 L 270 150 L 296 92 Q 314 78 312 96 L 310 150"
    return sheet(
        seen(GEAR_SIDE),
        path(good, fill=METAL),
        path(hooked, fill=METAL, ink=ACCENT, wide=3),
        text(105, 190, "good"),
        text(262, 190, "hooked: worn", ink=ACCENT),
    )


def _cassette(it: Shown) -> str:
    return sheet(
        seen(BEHIND),
        cassette(90),
        arrow(66, 176, 250, 176, both=True),
        text(160, 206, "do the cogs move?"),
    )


def _ring(it: Shown) -> str:
    return sheet(
        seen(GEAR_SIDE),
        toothed(170, 124, 66, 28),
        text(170, 130, "ring"),
        arrow(276, 100, 276, 150, both=True),
        text(290, 130, "true?", anchor="start"),
    )


def _gears(it: Shown) -> str:
    return sheet(
        seen(BEHIND),
        cassette(90),
        arrow(100, 176, 236, 176, both=True),
        text(168, 206, "every cog, both ways", size=17),
    )


DRAWINGS: dict[str, Callable[[Shown], str]] = {
    "battery": _battery,
    "cassette": _cassette,
    "gears": _gears,
    "housing": _housing,
    "leaflet": _leaflet,
    "look": _look,
    "pluck": _pluck,
    "plug": _plug,
    "ring": _ring,
    "ruler": _ruler,
    "teeth": _teeth,
    "wheel": _wheel,
    "wires": _wires,
}
