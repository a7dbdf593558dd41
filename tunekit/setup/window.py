"""The quiet window: from its two edges the middle, how sure it is, and whether the edges can be true.

Method: find the position where the chain first rubs on each side, set the middle of the two (blog "Advanced
rear derailleur fine tuning", 2012; seen).
"""

from functools import partial

from tunekit.bike import Bike
from tunekit.data import phrase
from tunekit.data.amounts import number_text
from tunekit.setup.records import QuietWindow
from tunekit.setup.replay import Search
from tunekit.setup.rows import Row
from tunekit.setup.screws import mm_per_unit, settable

say = partial(phrase, "setup")
TYPICAL_STEP_MM = 0.2
"""Only for the sentence, where the leaflet's step was not typed (common practice, no source)."""


def quiet_window(row: Row, found: Search, bike: Bike) -> QuietWindow | None:
    """The window, once both edges are in the log and stand the right way round; else None.

    An edge is found at the first search step past it, on both sides alike, so the middle is unbiased and
    right to half a step either way.
    """
    if found.outboard is None or found.inboard is None or found.inboard <= found.outboard:
        return None
    what = "rear_barrel" if row.unit == "turns" else "rear_micro_adjust"
    return QuietWindow(
        outboard=found.outboard,
        inboard=found.inboard,
        unit=row.unit,
        middle=settable(what, (found.outboard + found.inboard) / 2),
        sure=row.step / 2,
        mm_per_unit=mm_per_unit(what, bike) or TYPICAL_STEP_MM,
    )


def doubt(found: Search, window: QuietWindow | None, bike: Bike) -> str | None:
    """Why the two edges cannot both be true, or None."""
    if found.outboard is None or found.inboard is None:
        return None
    if window is None:
        edges = {"outboard": number_text(found.outboard, 3), "inboard": number_text(found.inboard, 3)}
        return say("window.crossed", **edges)
    width_mm = window.width * window.mm_per_unit
    # A chain that leaves one neighbour meets the other before the pulley has gone a whole cog further.
    if width_mm >= bike.cassette.pitch_mm:
        return say(
            "window.wide", width_mm=number_text(width_mm, 1), pitch=number_text(bike.cassette.pitch_mm)
        )
    return None


def sure_text(window: QuietWindow) -> str:
    """How sure the middle is, in turns or steps and millimetres at the pulley."""
    return say(
        f"window.{window.unit}",
        sure=number_text(window.sure),
        mm=number_text(window.sure * window.mm_per_unit),
        width=number_text(window.width, 3),
        width_mm=number_text(window.width * window.mm_per_unit, 1),
    )
