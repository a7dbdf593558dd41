"""Each target as a number for this bike. One function for each `from` of the table."""

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache, partial

from tunekit.bike import Bike, TunekitError
from tunekit.bike.errors import one_of
from tunekit.data import phrase
from tunekit.data.amounts import number_text, signed_turns_text
from tunekit.mechanics.from_bike import chain_width_mm, front_view
from tunekit.mechanics.front import clearance, set_by_gap_mm
from tunekit.setup.records import QuietWindow, Target
from tunekit.setup.rows import Row
from tunekit.targets import chain_lengths, target_of
from tunekit.targets import target as reading

say = partial(phrase, "setup")
GROWTH_TOLERANCE_MM = 3.0
"""Two tape readings of 1.5 mm each (judgement)."""
SUPPLIED = ("edge_outboard", "edge_inboard", "quiet_middle")
"""Targets that come from the search for the quiet window rather than from the bike."""
LEAST_STEPS_LEFT = 3.0
"""Until the quiet window is known (judgement)."""


def bike_words(bike: Bike) -> dict[str, object]:
    """This bike's figures for the gaps in the sentences."""
    return {
        "smallest": bike.cogs[0],
        "middle": bike.cogs[len(bike.cogs) // 2],
        "largest": bike.cogs[-1],
        "small_ring": bike.rings[0],
        "middle_ring": bike.rings[len(bike.rings) // 2],
        "large_ring": bike.rings[-1],
        "cogs": len(bike.cogs),
        "speeds": bike.chain.speeds,
        "cog_mm": number_text(bike.cassette.cog_mm),
        "pitch": number_text(bike.cassette.pitch_mm),
        "chainstay": number_text(bike.frame.chainstay_mm),
        "suspension": say("targets.suspension") if bike.frame.chainstay_growth_mm else "",
        "crossed_small": _crossed(bike, "inner"),
        "crossed_large": _crossed(bike, "outer"),
    }


@lru_cache(maxsize=64)
def _crossed(bike: Bike, stop: str) -> str:
    """Which cogs rub once the inner or outer stop is set as this walk sets it, and how far a trim must move.

    "" when none does, without a front derailleur, or when the side view cannot be drawn.
    """
    if bike.front is None:
        return ""
    try:
        cage, lines = front_view(bike)
    except TunekitError:
        return ""
    row, column = (0, -1) if stop == "inner" else (-1, 0)
    width, chain = chain_width_mm(bike), lines[[row]]
    gap = target_of(f"front_{stop}_gap_mm", bike) or 0.0
    air = clearance(chain, cage, [set_by_gap_mm(chain[0, column], cage, width, gap, stop)], width)
    beyond = (air.outer_mm if stop == "inner" else air.inner_mm)[0]
    rubbing = [cog for cog, left in zip(bike.cogs, beyond, strict=True) if left < 0]
    if not rubbing:
        return ""
    move = number_text(float(-beyond.min()), 1)
    return say(f"targets.crossed_{stop}", ring=bike.rings[row], cogs=one_of(map(str, rubbing)), move=move)


def _around(value: float, either_way: float, unit: str, why: str) -> Target:
    low, high = round(value - either_way, 6), round(value + either_way, 6)
    return Target(value=value, low=low, high=high, unit=unit, why=why)


def _read(watch: str, bike: Bike, why: str) -> Target:
    """The one target of a reading (tunekit/targets), with this walk's reason for it."""
    found = reading(watch, bike)
    if found is None:
        raise KeyError(watch)
    return Target(value=found.value, low=found.low, high=found.high, unit=found.unit, why=why)


def _outer_edge(bike: Bike) -> Target:
    return _read("high_limit_offset_mm", bike, say("targets.outer_edge", **bike_words(bike)))


def _cog_centre(bike: Bike) -> Target:
    return _read("low_limit_offset_mm", bike, say("targets.cog_centre", **bike_words(bike)))


def _rim_spread(bike: Bike) -> Target:
    """Spread of the four readings: none, when it is even all round."""
    found = replace(_read("hanger_rim_mm", bike, ""), value=0.0)
    high = number_text(found.high or 0.0)
    return replace(found, why=say("targets.rim_spread", high=high, **bike_words(bike)))


def _wear(bike: Bike) -> Target:
    found = _read("chain_wear_pct", bike, "")
    high = number_text(found.high or 0.0)
    return replace(found, why=say("targets.wear_limit", high=high, **bike_words(bike)))


def _chain_links(bike: Bike) -> Target:
    """What fit answers, so that the walk and the chain page never name two lengths."""
    found = _read("chain_length_links", bike, "")
    one = "targets.chain_one" if found.low == found.high else "targets.chain_links"
    why = say(
        one if chain_lengths(bike).window else "targets.chain_never",
        low=number_text(found.low or 0.0),
        high=number_text(found.high or 0.0),
        **bike_words(bike),
    )
    return replace(found, why=why)


def _pulley_gap(bike: Bike) -> Target:
    return _read("pulley_gap_mm", bike, say("targets.pulley_gap", **bike_words(bike)))


def _growth(bike: Bike) -> Target:
    return _around(bike.frame.chainstay_growth_mm, GROWTH_TOLERANCE_MM, "mm", say("targets.growth"))


def _ring_line(bike: Bike) -> Target:
    """Where crank and frame put a single ring: the figure on the bike's card, which is the leaflet's."""
    line = number_text(bike.crank.chainline_mm, 1)
    return _read("chainline_front_mm", bike, say("targets.ring_line", target=line))


def _open(row: Row, why: str) -> Target:
    return Target(value=None, low=None, high=None, unit=row.unit, why=why)


def _quiet_middle(row: Row, window: QuietWindow | None) -> Target:
    if window is None:
        return _open(row, say("targets.quiet_unknown"))
    edges = {
        "outboard": value_text(window.outboard, row.unit),
        "inboard": value_text(window.inboard, row.unit),
    }
    why = say("targets.quiet_middle", **edges)
    return _around(window.middle, row.step / 2, row.unit, why)


def _steps_left(row: Row, window: QuietWindow | None) -> Target:
    low = LEAST_STEPS_LEFT if window is None else float(-(-window.width // 2))
    why = say("targets.steps_unknown" if window is None else "targets.steps_left")
    return Target(value=low, low=low, high=None, unit=row.unit, why=why)


def _leaflet_turns(bike: Bike) -> Target:
    """Turns from touching by the motor's leaflet; open while nobody has typed them."""
    return _read("high_stop_backoff_turns", bike, say("targets.leaflet_turns"))


FROM_BIKE: dict[str, Callable[[Bike], Target]] = {
    "outer_edge": _outer_edge,
    "cog_centre": _cog_centre,
    "rim_spread": _rim_spread,
    "wear_limit": _wear,
    "chain_links": _chain_links,
    "pulley_gap": _pulley_gap,
    "ring_line": _ring_line,
    "growth": _growth,
    "leaflet_turns": _leaflet_turns,
}


def target_for(row: Row, bike: Bike, window: QuietWindow | None) -> Target | None:
    """The row's target on this bike; None when the answer is a word, yes or no, or the part's own torque."""
    if row.target is not None:
        return Target(value=row.target, low=row.low, high=row.high, unit=row.unit, why="")
    match row.target_from:
        case None:
            return None
        case "reading":
            return replace(_read(row.what, bike, ""), unit=row.unit)
        case "quiet_middle":
            return _quiet_middle(row, window)
        case "steps_left":
            return _steps_left(row, window)
        case "edge_outboard" | "edge_inboard":
            return _open(row, say(f"targets.{row.target_from}"))
    return FROM_BIKE[row.target_from](bike)


def target_text(target: Target | None) -> str:
    """The target as the hand reads it: "0.8 mm", "2 turns"; "" when there is none."""
    return "" if target is None or target.value is None else value_text(target.value, target.unit)


def value_text(value: float, unit: str) -> str:
    """A measured value with its unit and sign: "−¼ turn", "0.8 mm", "4 steps"."""
    return signed_turns_text(value) if unit == "turns" else f"{number_text(value, 3)} {unit}".strip()
