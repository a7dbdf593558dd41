"""Which pages there are, in the order of the work, and what is shown when one of them cannot answer."""

import logging
from pathlib import Path

import streamlit as st

from tunekit.bike import TunekitError
from tunekit.pages.plain import refuse
from tunekit.show.words import say

HERE = Path(__file__).parent
PAGES = ("start", "bike", "fit", "chain", "gears", "wires", "setup_walk", "log", "advice", "sheet")
BIKE = "bike"
"""The address names the session on the desk by this, so that a reload stays with its bike."""


def page_file(name: str) -> Path:
    """The script of a page, as `st.switch_page` and `st.page_link` want it."""
    return HERE / f"{name}.py"


def address() -> dict[str, str]:
    """What the address of every page carries on."""
    id = st.query_params.get(BIKE)
    return {BIKE: id} if id else {}


def told(fault: Exception) -> bool:
    """Show a fault of ours as a sentence of ours: the framework's own box offers to ask elsewhere."""
    if isinstance(fault, TunekitError):
        refuse(fault)
    else:
        logging.getLogger("tunekit").error("a page failed", exc_info=fault)
        st.error(say("desk.fault", kind=type(fault).__name__))
    return True


def run() -> None:
    """Set the page up and run the one that was asked for."""
    st.set_page_config(page_title="tunekit", page_icon="🔧", layout="centered")
    st.html(HERE / "assets" / "stand.css")
    pages = [
        st.Page(page_file(name), title=say(f"nav.{name}"), url_path=name, default=name == "start")
        for name in PAGES
    ]
    here = st.navigation(pages, position="top")
    try:
        here.run()
    except TunekitError as problem:
        # What a room says of this bike stands where its answer would stand; the rest of the page stays.
        refuse(problem)
    # A key of each page's own, else the list stays open on the page that was chosen from it.
    with (
        st.container(key="all_pages"),
        st.expander(say("nav.all"), key=f"list_on_{here.url_path or 'start'}"),
    ):
        for page in pages:
            st.page_link(page, width="stretch", query_params=address() or None)
