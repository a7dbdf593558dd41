"""How a page shows a picture, and lets one pick the gear that it shows."""

from typing import Any

import streamlit as st

from tunekit.bike import Bike
from tunekit.show.words import say


def show(figure: Any, key: str, alt: str) -> None:
    """A figure of `tunekit.show` in its own look, with its takeaway for those who cannot see it."""
    st.plotly_chart(figure, key=f"picture_{key}", alt=alt, theme=None, config={"displayModeBar": False})


def pick_gear(bike: Bike, key: str) -> tuple[int, int]:
    """The ring and cog to be shown; the largest pair to begin with."""
    return _pick("ring", bike.rings, key), _pick("cog", bike.cogs, key)


def _pick(part: str, teeth: tuple[int, ...], key: str) -> int:
    name = f"{key}_{part}"
    if st.session_state.get(name) not in teeth:
        st.session_state[name] = teeth[-1]
    if len(teeth) == 1:
        return teeth[0]
    picked = st.segmented_control(
        say(f"gears.{part}"), teeth, key=name, required=True, persist_state="session", format_func=str
    )
    return picked or teeth[-1]
