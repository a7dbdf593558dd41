"""Drawings of the set-up walk at the rings and the front derailleur."""

from collections.abc import Callable

from tunekit.show.setup_shown import Shown
from tunekit.show.style import MUTED, PAPER
from tunekit.show.svg import ACCENT, METAL, arrow, box, line, path, seen, sheet, text, toothed

ABOVE = "seen from above"


def _sides() -> str:
    inboard = text(12, 232, "← inboard", anchor="start", ink=MUTED)
    return inboard + text(348, 232, "outboard →", anchor="end", ink=MUTED)


def _height(it: Shown) -> str:
    return sheet(
        seen("seen from the side"),
        toothed(160, 300, 160, 60),
        path("M 70 92 Q 160 52 262 112 L 256 130 Q 160 74 76 110 Z", fill=METAL),
        arrow(160, 92, 160, 132, both=True),
        line(166, 112, 290, 142, ink=ACCENT, wide=1.5),
        text(348, 150, it.target, size=24, anchor="end", ink=ACCENT),
        text(160, 56, "outer plate"),
        text(160, 196, f"ring {it.bike.rings[-1]}"),
    )


def _angle(it: Shown) -> str:
    return sheet(
        seen(ABOVE),
        line(180, 36, 180, 190, wide=8, ink=MUTED),
        text(180, 210, f"ring {it.bike.rings[-1]}"),
        box(206, 56, 9, 116),
        path("M 226 56 L 240 172", ink=ACCENT, wide=2),
        text(262, 60, "front", anchor="start", ink=MUTED),
        text(262, 172, "tail", anchor="start", ink=MUTED),
        text(120, 112, "parallel", size=18),
        text(252, 118, "not so", anchor="start", ink=ACCENT),
        _sides(),
    )


def _plates() -> list[str]:
    """The cage's two plates and the chain between them; outboard is to the right."""
    return [
        box(96, 52, 12, 130),
        box(252, 52, 12, 130),
        box(166, 46, 30, 142, fill=PAPER),
        *(line(166, 58 + 22 * k, 196, 58 + 22 * k, wide=1.5) for k in range(6)),
        text(102, 206, "inner plate"),
        text(258, 206, "outer plate"),
        text(181, 206, "chain"),
    ]


def _gap(it: Shown, inner: bool) -> str:
    left, right, words_x, anchor = (110, 164, 90, "end") if inner else (198, 250, 270, "start")
    turn = text(180, 38, f"screw: {it.rotation}, {it.amount}", ink=ACCENT) if it.rotation else ""
    return sheet(
        seen(ABOVE),
        *_plates(),
        arrow(left, 112, right, 112, both=True),
        text(words_x, 118, it.target, size=17, ink=ACCENT, anchor=anchor),
        turn,
        _sides(),
    )


def _rub(it: Shown) -> str:
    return sheet(
        seen(ABOVE),
        *_plates(),
        line(181, 46, 140, 188, ink=ACCENT, dash="6 5"),
        line(181, 46, 222, 188, ink=ACCENT, dash="6 5"),
        text(88, 160, f"to cog {it.bike.cogs[-1]}", ink=ACCENT, anchor="end"),
        text(272, 160, f"to cog {it.bike.cogs[0]}", ink=ACCENT, anchor="start"),
        _sides(),
    )


def _chainline(it: Shown) -> str:
    return sheet(
        seen(ABOVE),
        line(60, 36, 60, 214, ink=MUTED, dash="8 6"),
        text(66, 228, "frame's centre", anchor="start", ink=MUTED),
        box(196, 150, 8, 56),
        text(214, 182, "ring", anchor="start"),
        *(box(140 + 18 * k, 46, 6, 40) for k in range(7)),
        text(300, 70, "cogs"),
        arrow(62, 140, 198, 140, both=True),
        text(126, 130, it.target, size=20, ink=ACCENT),
    )


DRAWINGS: dict[str, Callable[[Shown], str]] = {
    "angle": _angle,
    "chainline": _chainline,
    "front_gap_inner": lambda it: _gap(it, inner=True),
    "front_gap_outer": lambda it: _gap(it, inner=False),
    "front_rub": _rub,
    "height": _height,
}
