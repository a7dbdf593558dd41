"""The front cage on one ring, wherever a page shows it."""

import streamlit as st

from tunekit.bike import Bike
from tunekit.mechanics.from_bike import front_check
from tunekit.pages import pictures
from tunekit.show.figures_metal import front_cage_figure
from tunekit.show.words import say


def show(bike: Bike, ring: int) -> None:
    """Where the front cage should stand on that ring, and which of its gears still rub."""
    front, row = front_check(bike), bike.rings.index(ring)
    stop = front.stops[row]
    rubs = ", ".join(map(str, (*stop.trim_clear, *stop.rubs))) or say("gears.none")
    alt = say("gears.cage_alt", ring=ring, cogs=rubs)
    figure = front_cage_figure(stop, bike.cogs, front.chain_mm, front.clear, front.cage, front.width_mm, row)
    pictures.show(figure, "front_cage", alt)
    st.caption(alt)
