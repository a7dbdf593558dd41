"""Plain SVG, drawn by hand: strokes, words, arrows and screw heads on white, large enough for a phone.

Coordinates are those of a 360 x 240 sheet; the page scales it. Nothing is told by colour alone.
"""

from html import escape
from math import atan2, cos, pi, sin

from tunekit.show.style import FONT, INKS, MUTED, PAPER, TEXT

WIDTH, HEIGHT = 360, 240
ACCENT = INKS[1]
"""What is to be turned or measured, also drawn thicker."""
METAL = "#c3cad3"
CLOCKWISE, ANTICLOCKWISE = "clockwise", "anticlockwise"


def sheet(*parts: str) -> str:
    """The parts on one white sheet."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH * 2}" '
        f'height="{HEIGHT * 2}" font-family="{escape(FONT)}">'
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="{PAPER}"/>{"".join(parts)}</svg>'
    )


def text(x: float, y: float, words: str, *, size: int = 15, anchor: str = "middle", ink: str = TEXT) -> str:
    """Words with their middle (or start, or end) at x, on the line y."""
    place = f'x="{x:g}" y="{y:g}" font-size="{size}" text-anchor="{anchor}"'
    return f'<text {place} fill="{ink}">{escape(words)}</text>'


def line(
    x1: float, y1: float, x2: float, y2: float, *, ink: str = TEXT, wide: float = 2, dash: str = ""
) -> str:
    """A straight stroke."""
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{x1:g}" y1="{y1:g}" x2="{x2:g}" y2="{y2:g}" stroke="{ink}" stroke-width="{wide:g}"'
        f'{dashes} stroke-linecap="round"/>'
    )


def box(
    x: float, y: float, w: float, h: float, *, fill: str = METAL, ink: str = TEXT, wide: float = 1.5
) -> str:
    """A rectangle with soft corners."""
    return (
        f'<rect x="{x:g}" y="{y:g}" width="{w:g}" height="{h:g}" rx="2" fill="{fill}" stroke="{ink}" '
        f'stroke-width="{wide:g}"/>'
    )


def circle(
    x: float, y: float, r: float, *, fill: str = "none", ink: str = TEXT, wide: float = 2, dash: str = ""
) -> str:
    """A circle."""
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    stroke = f'stroke="{ink}" stroke-width="{wide:g}"{dashes}'
    return f'<circle cx="{x:g}" cy="{y:g}" r="{r:g}" fill="{fill}" {stroke}/>'


def path(points: str, *, fill: str = "none", ink: str = TEXT, wide: float = 2) -> str:
    """An SVG path."""
    return (
        f'<path d="{points}" fill="{fill}" stroke="{ink}" stroke-width="{wide:g}" stroke-linejoin="round" '
        'stroke-linecap="round"/>'
    )


def _head(x: float, y: float, angle: float, ink: str) -> str:
    """An arrow's head at (x, y), flying toward `angle` (radians, y downward)."""
    wings = " ".join(
        f"L {x + 11 * cos(angle + side):.1f} {y + 11 * sin(angle + side):.1f}"
        for side in (pi - 0.45, pi + 0.45)
    )
    return path(f"M {x:.1f} {y:.1f} {wings} Z", fill=ink, ink=ink, wide=1)


def arrow(x1: float, y1: float, x2: float, y2: float, *, ink: str = ACCENT, both: bool = False) -> str:
    """A straight arrow to (x2, y2), with a head at both ends if asked."""
    angle = atan2(y2 - y1, x2 - x1)
    parts = [line(x1, y1, x2, y2, ink=ink, wide=3), _head(x2, y2, angle, ink)]
    return "".join([*parts, _head(x1, y1, angle + pi, ink)] if both else parts)


def screw(x: float, y: float, label: str, rotation: str | None, *, r: float = 24) -> str:
    """A hex socket head seen from its head, the arrow round it showing which way it turns."""
    hexagon = " ".join(
        f"{'M' if k == 0 else 'L'} {x + 0.45 * r * cos(k * pi / 3):.1f} {y + 0.45 * r * sin(k * pi / 3):.1f}"
        for k in range(6)
    )
    parts = [circle(x, y, r, fill=METAL, wide=2.5), path(f"{hexagon} Z", fill=PAPER)]
    if rotation:
        parts.append(turning(x, y, r + 11, rotation))
        parts.append(text(x, y - r - 22, rotation, size=15, ink=ACCENT))
    parts.append(text(x, y + r + 30, label))
    return "".join(parts)


def turning(x: float, y: float, r: float, rotation: str) -> str:
    """Three quarters of a circle with an arrow head, clockwise or anticlockwise as seen on the sheet."""
    sweep = 1 if rotation == CLOCKWISE else 0
    start, end = (pi * 0.75, pi * 2.2) if sweep else (pi * 0.25, -pi * 1.2)
    x1, y1, x2, y2 = x + r * cos(start), y + r * sin(start), x + r * cos(end), y + r * sin(end)
    arc = path(f"M {x1:.1f} {y1:.1f} A {r:g} {r:g} 0 1 {sweep} {x2:.1f} {y2:.1f}", ink=ACCENT, wide=4)
    return arc + _head(x2, y2, end + (pi / 2 if sweep else -pi / 2), ACCENT)


def toothed(x: float, y: float, r: float, teeth: int) -> str:
    """A wheel with teeth."""
    tips = (2 * pi * k / teeth for k in range(teeth))
    spikes = [
        line(x + r * cos(a), y + r * sin(a), x + (r + 8) * cos(a), y + (r + 8) * sin(a), wide=5) for a in tips
    ]
    return circle(x, y, r, fill=METAL) + "".join(spikes)


def seen(words: str) -> str:
    """The view, in words at the top of the sheet."""
    return text(WIDTH / 2, 20, words, ink=MUTED)
