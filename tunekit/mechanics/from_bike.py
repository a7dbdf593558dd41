"""The side view of a bike as a session describes it: what is typed in, and typical values for the rest."""

import numpy as np

from tunekit.bike import Bike
from tunekit.mechanics.bounds import Floats
from tunekit.mechanics.geometry import SideView, body_reach_mm
from tunekit.mechanics.side_view import with_gap_set


def side_view(bike: Bike) -> SideView:
    """The geometry of this bike; with a chain fitted, the gap is taken as set with that chain on.

    The body is taken as one made for the larger of the leaflet's cog and the cassette's, so that a cassette
    past the leaflet's limit still gets its chain length; saying that it is past is `check_fit`'s part.
    Raises TunekitError on impossible geometry.
    """
    rear = bike.rear
    made_for = SideView(
        rings=bike.rings,
        cogs=(*bike.cogs[:-1], max(bike.cogs[-1], rear.largest_cog)),
        chainstay_mm=bike.frame.chainstay_mm,
        bb_drop_mm=bike.frame.bb_drop_mm,
        cage_mm=rear.cage_mm,
        guide_teeth=rear.guide_teeth,
        tension_teeth=rear.tension_teeth,
        pulley_gap_mm=rear.pulley_gap_mm,
    )
    view = SideView(
        rings=bike.rings,
        cogs=bike.cogs,
        body_mm=body_reach_mm(made_for),
        chainstay_mm=bike.frame.chainstay_mm,
        bb_drop_mm=bike.frame.bb_drop_mm,
        cage_mm=rear.cage_mm,
        guide_teeth=rear.guide_teeth,
        tension_teeth=rear.tension_teeth,
        pulley_gap_mm=rear.pulley_gap_mm,
    )
    return view if bike.chain.links is None else with_gap_set(view, bike.chain.links)


def travel_mm(bike: Bike, positions: int = 5) -> Floats:
    """Chainstay growth at evenly spaced travel positions, from none to the frame's worst [mm]."""
    growth = bike.frame.chainstay_growth_mm
    return np.linspace(0.0, growth, positions) if growth else np.zeros(1)
