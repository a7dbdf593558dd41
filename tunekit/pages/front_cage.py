"""The front cage on one ring, wherever a page shows it."""

import streamlit as st

from tunekit.bike import Bike
from tunekit.mechanics.from_bike import chain_width_mm, front_view
from tunekit.mechanics.front import best_stops, clearance
from tunekit.pages import pictures
from tunekit.show.figures_metal import front_cage_figure
from tunekit.show.words import say


def show(bike: Bike, ring: int) -> None:
    """Where the front cage should stand on that ring, and which of its gears still rub."""
    cage, chain_mm = front_view(bike)
    width = chain_width_mm(bike)
    stops = best_stops(bike.rings, bike.cogs, chain_mm, cage, width)
    clear = clearance(chain_mm, cage, [stop.position_mm for stop in stops], width)
    row = bike.rings.index(ring)
    rubs = ", ".join(map(str, (*stops[row].trim_clear, *stops[row].rubs))) or say("gears.none")
    alt = say("gears.cage_alt", ring=ring, cogs=rubs)
    figure = front_cage_figure(stops[row], bike.cogs, chain_mm, clear, cage, width, row)
    pictures.show(figure, "front_cage", alt)
    st.caption(alt)
