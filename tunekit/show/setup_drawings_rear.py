"""Drawings of the set-up walk at the rear derailleur."""

from collections.abc import Callable

from tunekit.data.amounts import number_text
from tunekit.show.setup_shown import Shown
from tunekit.show.style import MUTED, PAPER, TEXT
from tunekit.show.svg import (
    ACCENT,
    ANTICLOCKWISE,
    CLOCKWISE,
    METAL,
    arrow,
    box,
    circle,
    line,
    path,
    screw,
    seen,
    sheet,
    text,
    toothed,
)

BEHIND = "seen from behind"
GEAR_SIDE = "seen from the gear side"
COGS = (112, 98, 84, 70, 56, 44)
"""Heights of the cogs edge on, the largest at the left toward the spokes."""


def cassette(x: float = 40) -> str:
    """Cogs edge on with two spokes inboard of them, seen from behind."""
    cogs = "".join(box(x + 26 * k, 38, 8, height) for k, height in enumerate(COGS))
    spokes = "".join(line(x - 12 - 5 * k, 34, x - 22 - 9 * k, 160, ink=MUTED, wide=1.5) for k in range(2))
    return spokes + cogs


def _pulley(x: float, y: float) -> str:
    """The guide pulley edge on, with its middle marked."""
    return box(x - 5, y, 10, 30, fill=PAPER, wide=2.5) + line(x, y - 6, x, y + 36, ink=ACCENT, dash="2 4")


def _sides() -> str:
    inboard = text(12, 232, "← inboard", anchor="start", ink=MUTED)
    return inboard + text(250, 232, "outboard →", anchor="end", ink=MUTED)


def _stop(it: Shown, name: str, mark: str, moves: str, x: float, drop: float) -> str:
    """The pulley under an end cog and the stop's screw beside it."""
    return sheet(
        seen(BEHIND),
        cassette(),
        line(x, 34, x, drop + 40, ink=ACCENT, wide=2, dash="5 4"),
        _pulley(x, drop),
        text(max(x, 12), drop + 52, mark, anchor="start" if x < 96 else "middle"),
        screw(306, 104, name, it.rotation or CLOCKWISE),
        text(306, 182, it.amount if it.rotation else moves, size=14, ink=ACCENT),
        _sides(),
    )


def _high_stop(it: Shown) -> str:
    # The outer edge of the smallest cog is the right edge of the last bar.
    return _stop(it, "high limit", f"outer edge of cog {it.bike.cogs[0]}", "→ stop inboard", 178, 100)


def _low_stop(it: Shown) -> str:
    return _stop(it, "low limit", f"centre of cog {it.bike.cogs[-1]}", "→ stop outboard", 44, 156)


def _barrel(rotation: str, mark: str) -> str:
    return sheet(
        seen("from the side, and from the housing end"),
        box(10, 100, 52, 60),
        text(10, 182, "derailleur", anchor="start", ink=MUTED),
        box(62, 118, 20, 24, fill=PAPER),
        box(82, 106, 42, 48),
        *(line(90 + 9 * k, 108, 90 + 9 * k, 152, wide=1.5) for k in range(4)),
        path("M 124 130 C 176 130 190 130 200 92", ink=MUTED, wide=9),
        text(103, 92, "barrel adjuster"),
        text(212, 146, "housing", ink=MUTED),
        screw(294, 124, "", rotation, r=30),
        text(354, 184, mark, anchor="end"),
        text(180, 228, "unscrewing moves the pulley inboard", ink=MUTED),
    )


def _barrel_out(it: Shown) -> str:
    return _barrel(ANTICLOCKWISE, it.target or "eighth turns")


def _barrel_in(it: Shown) -> str:
    return _barrel(CLOCKWISE, "eighth turns")


def _barrel_middle(it: Shown) -> str:
    return _barrel(it.rotation, it.amount) if it.rotation else behind(it)


def _micro(side: str, mark: str) -> str:
    start, end = (140, 78) if side == "inboard" else (78, 140)
    return sheet(
        seen(BEHIND),
        cassette(),
        _pulley(109, 128),
        arrow(start, 186, end, 186),
        text(284, 92, "micro-adjust"),
        text(284, 122, mark, size=19, ink=ACCENT),
        text(284, 146, side, size=19, ink=ACCENT),
        _sides(),
    )


def _micro_middle(it: Shown) -> str:
    return behind(it) if it.inboard is None else _micro("inboard" if it.inboard else "outboard", it.amount)


def behind(it: Shown) -> str:
    """The pulley straight under its cog."""
    return sheet(
        seen(BEHIND),
        cassette(),
        _pulley(122, 118),
        line(122, 34, 122, 190, ink=ACCENT, dash="5 4"),
        text(122, 204, "pulley under its cog"),
        text(290, 100, "look along", size=17),
        text(290, 122, "the cog", size=17),
        _sides(),
    )


def _gap(it: Shown) -> str:
    return sheet(
        seen(GEAR_SIDE),
        toothed(110, 92, 52, 22),
        text(110, 98, f"cog {it.bike.cogs[-1]}"),
        toothed(136, 196, 16, 9),
        arrow(122, 150, 131, 176, both=True),
        text(156, 166, it.target or "gap", size=20, anchor="start", ink=ACCENT),
        text(166, 214, "guide pulley", anchor="start"),
        screw(304, 100, "B screw", it.rotation or CLOCKWISE),
        text(304, 178, it.amount if it.rotation else "→ wider gap", size=14, ink=ACCENT),
    )


RIM = (
    ("12", 120, 52, 120, 76),
    ("3", 196, 128, 208, 134),
    ("6", 120, 204, 120, 232),
    ("9", 44, 128, 56, 134),
)
"""The clock's places on the rim, and where their words stand."""


def _hanger(it: Shown) -> str:
    marks = []
    for place, (name, x, y, word_x, word_y) in enumerate(RIM):
        words = f"{name}: {number_text(it.readings[place], 1)} mm" if it.readings else f"{name} o'clock"
        marks.append(circle(x, y, 6, fill=ACCENT, ink=ACCENT))
        marks.append(text(word_x, word_y, words, anchor="middle" if x == word_x else "start"))
    return sheet(
        seen(GEAR_SIDE),
        circle(120, 128, 76, wide=5, ink=MUTED),
        circle(126, 142, 7, fill=METAL),
        line(126, 142, 122, 196, ink=ACCENT, wide=5),
        *marks,
        *(
            text(296, 60 + 20 * k, words, ink=MUTED)
            for k, words in enumerate(("same rim", "point at all", "four places"))
        ),
    )


def _torque(it: Shown) -> str:
    return sheet(
        seen("seen from the bolt's head"),
        screw(96, 118, "", CLOCKWISE, r=34),
        box(96, 110, 150, 16),
        circle(96, 118, 14, fill=PAPER),
        text(250, 90, "N m", size=26, ink=ACCENT),
        text(236, 162, "the figure on the part"),
        text(236, 182, "outranks every other", ink=MUTED),
    )


def _links(it: Shown) -> str:
    parts = []
    for k in range(6):
        x, outer = 40 + 48 * k, k % 2 == 0
        parts.append(box(x - 8, 96, 64, 34) if outer else box(x - 8, 102, 64, 22, fill=PAPER))
        parts.append(text(x + 24, 160, str(k + 1), size=18))
    return sheet(
        seen("count every link, outer and inner"),
        *parts,
        *(circle(40 + 48 * k, 113, 6, fill=TEXT) for k in range(7)),
        arrow(40, 74, 88, 74, both=True),
        text(64, 62, "12.7 mm"),
        text(180, 212, it.target, size=28, ink=ACCENT),
    )


def _route(it: Shown) -> str:
    chain = (
        "M 340 52 L 190 30 A 44 44 0 1 0 178 116 C 200 124 232 130 228 152 "
        "C 222 176 156 178 162 206 C 164 220 176 220 186 220 L 340 226"
    )
    return sheet(
        seen(GEAR_SIDE),
        circle(190, 74, 44, fill=METAL),
        circle(214, 150, 14, fill=PAPER),
        circle(176, 206, 14, fill=PAPER),
        path(chain, ink=ACCENT, wide=3.5),
        text(236, 146, "in front", anchor="start"),
        text(148, 198, "behind", anchor="end"),
        text(352, 80, "to the ring", anchor="end", ink=MUTED),
    )


DRAWINGS: dict[str, Callable[[Shown], str]] = {
    "barrel_in": _barrel_in,
    "barrel_middle": _barrel_middle,
    "barrel_out": _barrel_out,
    "behind": behind,
    "gap": _gap,
    "hanger": _hanger,
    "high_stop": _high_stop,
    "links": _links,
    "low_stop": _low_stop,
    "micro_inboard": lambda it: _micro("inboard", "step by step"),
    "micro_middle": _micro_middle,
    "micro_outboard": lambda it: _micro("outboard", "step by step"),
    "route": _route,
    "torque": _torque,
}
