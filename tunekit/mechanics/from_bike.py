"""The side, top and front views of a bike as a session describes it, with typical values for the rest."""

from dataclasses import dataclass
from functools import lru_cache, partial

import numpy as np
from numpy.typing import ArrayLike

from tunekit.bike import Bike
from tunekit.bike.errors import TunekitError
from tunekit.data import table
from tunekit.mechanics import turns, wear
from tunekit.mechanics.bounds import Floats
from tunekit.mechanics.chainline import cog_lines_mm, gear_angles_deg, ring_lines_mm
from tunekit.mechanics.front import Cage, Clearance, RingStop, best_stops, chain_lines_mm, clearance
from tunekit.mechanics.geometry import SideView, body_reach_mm, possible_gaps_mm, typical
from tunekit.mechanics.hanger import Tilt, tilt_effect
from tunekit.mechanics.side_view import swing_band, with_gap_set
from tunekit.mechanics.sprocket import pitch_radius_mm
from tunekit.mechanics.top_view import TopView, moves_mm, offsets_mm, rate_error_mm
from tunekit.mechanics.turns import Rate


def side_view(bike: Bike) -> SideView:
    """The geometry of this bike; with a chain fitted, the gap is taken as set with that chain on, if it fits.

    The body is taken as one made for the larger of the leaflet's cog and the cassette's, so that a cassette
    past the leaflet's limit still gets its chain length; saying that it is past is `check_fit`'s part. On a
    cassette so small that such a body cannot come close enough, the gap is the least it can reach.
    Raises TunekitError on impossible geometry.
    """
    largest = max(bike.cogs[-1], bike.rear.largest_cog)
    made_for = _view(bike, (*bike.cogs[:-1], largest), None, bike.rear.pulley_gap_mm)
    body = body_reach_mm(made_for)
    least, _ = possible_gaps_mm(made_for, bike.cogs[-1], body)
    view = _view(bike, bike.cogs, body, max(bike.rear.pulley_gap_mm, least))
    links = bike.chain.links
    return with_gap_set(view, links) if links is not None and _fits(view, links) else view


def _hanger_mm(bike: Bike) -> tuple[float, float]:
    """Hub axis to the joint of the derailleur's body, back and down; one bolted to the axle brings its own."""
    back, down = bike.frame.hanger_back_mm, bike.frame.hanger_down_mm
    return (
        typical("hanger_back_mm") if back is None else back,
        typical("hanger_down_mm") if down is None else down,
    )


def wide_range(bike: Bike) -> bool:
    """Whether one ring and a wide cassette make it a bike of that class."""
    return (
        len(bike.rings) == 1
        and bike.cogs[-1] - bike.cogs[0] >= table("targets")["chain"]["wide_range"]["teeth"]
    )


def _view(bike: Bike, cogs: tuple[int, ...], body_mm: float | None, gap_mm: float) -> SideView:
    back, down = _hanger_mm(bike)
    return SideView(
        follow=typical("follow_wide" if wide_range(bike) else "follow"),
        hanger_back_mm=back,
        hanger_down_mm=down,
        rings=bike.rings,
        cogs=cogs,
        body_mm=body_mm,
        chainstay_mm=bike.frame.chainstay_mm,
        bb_drop_mm=bike.frame.bb_drop_mm,
        cage_mm=bike.rear.cage_mm,
        guide_teeth=bike.rear.guide_teeth,
        tension_teeth=bike.rear.tension_teeth,
        pulley_gap_mm=gap_mm,
    )


def _fits(view: SideView, links: int) -> bool:
    """Whether a chain is taut on the smallest ring and largest cog, where the B screw is set."""
    band = swing_band(view)
    return bool(band.shortest_links[0, 0, -1] <= links <= band.slack_links[0, 0, -1])


def travel_mm(bike: Bike, positions: int = 5) -> Floats:
    """Chainstay growth at evenly spaced travel positions, from the least through rest to the most [mm]."""
    least, most = bike.frame.chainstay_least_growth_mm, bike.frame.chainstay_growth_mm
    return np.unique([*np.linspace(least, 0.0, positions), *np.linspace(0.0, most, positions)])


def top_runs_mm(bike: Bike) -> Floats:
    """Free length of the top run in every gear [mm]: the common tangent of ring and cog; shape (rings, cogs)."""
    apart = pitch_radius_mm(bike.rings)[:, None] - pitch_radius_mm(bike.cogs)[None, :]
    return np.asarray(np.sqrt(bike.frame.chainstay_mm**2 - apart**2), float)


def lines_mm(bike: Bike) -> tuple[Floats, Floats]:
    """Where rings and cogs stand, from the frame's centre plane [mm]; shapes (rings,), (cogs,)."""
    crank, cassette = bike.crank, bike.cassette
    return (
        ring_lines_mm(crank.chainline_mm, crank.ring_gap_mm, len(bike.rings)),
        cog_lines_mm(
            bike.frame.hub_spacing_mm,
            cassette.locknut_gap_mm,
            cassette.cog_mm,
            bike.cog_pitches_mm,
            len(bike.cogs),
        ),
    )


def clicks_mm(bike: Bike, pulls_mm: ArrayLike | None = None) -> Floats:
    """Pulley movement of each click [mm]; an electronic derailleur is taken to match its cogs."""
    rear, cogs = bike.rear, len(bike.cogs)
    if rear.cable_ratio is None or (pulls_mm is None and rear.lever_pull_mm is None):
        return np.asarray(bike.cog_pitches_mm, float)
    return moves_mm(rear.lever_pull_mm if pulls_mm is None else pulls_mm, rear.cable_ratio, cogs)  # type: ignore[arg-type]


def top_view(
    bike: Bike,
    *,
    index_mm: float = 0.0,
    tilt: Tilt | None = None,
    drag_mm: float = 0.0,
    high_limit_mm: float = np.inf,
    low_limit_mm: float = np.inf,
    pulls_mm: ArrayLike | None = None,
) -> TopView:
    """The bike from above with what is known to be off; with nothing said, only the clicks' own error shows.

    `pulls_mm` is for levers whose clicks are uneven, one pull for each click from the smallest cog on.
    Raises TunekitError for a tilt on a bike whose side view cannot be drawn.
    """
    rings, cogs = lines_mm(bike)
    moves, pitches = clicks_mm(bike, pulls_mm), bike.cog_pitches_mm
    shift = np.zeros(len(cogs)) if tilt is None else tilt_effect(tilt, side_view(bike)).shift_mm
    offsets = partial(offsets_mm, moves, pitches, index_mm=index_mm, shift_mm=shift, drag_mm=drag_mm)
    offset = offsets(high_limit_mm=high_limit_mm, low_limit_mm=low_limit_mm)
    return TopView(
        rings=bike.rings,
        cogs=bike.cogs,
        ring_lines_mm=rings,
        cog_lines_mm=cogs,
        run_mm=top_runs_mm(bike),
        angle_deg=gear_angles_deg(rings, cogs, bike.frame.chainstay_mm),
        offset_mm=offset,
        rate_mm=rate_error_mm(moves, pitches),
        tilt_mm=shift,
        held=offset != offsets(),
    )


def chain_width_mm(bike: Bike) -> float:
    """Width over the pins of this bike's chain [mm]."""
    return wear.outer_width_mm(bike.chain.speeds)


def front_view(bike: Bike, angle_deg: float = 0.0) -> tuple[Cage, Floats]:
    """The front cage and the chain's middle at both ends of its plates [mm], shape (rings, cogs, 2).

    Raises TunekitError when the bike has no front derailleur.
    """
    if bike.front is None:
        raise TunekitError(
            "front must be given for the front cage's clearances (got null); add a front derailleur."
        )
    cage = Cage(width_mm=bike.front.cage_width_mm, angle_deg=angle_deg)
    rings, cogs = lines_mm(bike)
    return cage, chain_lines_mm(rings, cogs, top_runs_mm(bike), cage.ends_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontCheck:
    """The front cage of a bike and what it clears, ring by ring."""

    cage: Cage
    chain_mm: Floats
    """`chain_lines_mm` at both ends of the plates, distance from the centre plane."""
    width_mm: float
    """Outer width of the chain."""
    stops: tuple[RingStop, ...]
    clear: Clearance


def front_check(bike: Bike) -> FrontCheck:
    """Where the front cage should stand on each ring, and which gears still rub.

    Raises TunekitError when the bike has no front derailleur.
    """
    cage, chain_mm = front_view(bike)
    width = chain_width_mm(bike)
    stops = best_stops(bike.rings, bike.cogs, chain_mm, cage, width)
    clear = clearance(chain_mm, cage, [stop.position_mm for stop in stops], width)
    return FrontCheck(cage=cage, chain_mm=chain_mm, width_mm=width, stops=stops, clear=clear)


def hand_rate(what: str, bike: Bike) -> Rate | None:
    """What one turn or step of a turned word of the log moves on this bike [mm].

    None when only the part knows (no step typed), when the side view cannot be drawn, or for what is set in its
    own unit.
    """
    rear, front = bike.rear, bike.front
    match what:
        case "rear_barrel":
            return None if rear.cable_ratio is None else turns.rear_barrel(rear.cable_ratio)
        case "rear_micro_adjust":
            return None if rear.step_mm is None else turns.micro_adjust(rear.step_mm)
        case "front_micro_adjust":
            step_mm = front.step_mm if front else None
            return None if step_mm is None else turns.micro_adjust(step_mm)
        case "front_barrel":
            return turns.front_barrel()
        case "high_limit" | "low_limit" | "front_high_limit" | "front_low_limit":
            return turns.limit_screw()
        case "b_screw":
            return _b_screw(bike)
    return None


@lru_cache(maxsize=64)
def _b_screw(bike: Bike) -> Rate | None:
    """None on a bike whose side view cannot be drawn; fit says why."""
    try:
        return turns.b_screw(side_view(bike))
    except TunekitError:
        return None
