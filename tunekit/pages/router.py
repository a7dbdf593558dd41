"""Which pages there are, in the order of the work. Each is a script in this folder."""

from pathlib import Path

import streamlit as st

from tunekit.show.words import say

HERE = Path(__file__).parent
PAGES = ("start", "bike", "fit", "chain", "gears", "wires", "setup_walk", "log", "advice", "sheet")


def page_file(name: str) -> Path:
    """The script of a page, as `st.switch_page` and `st.page_link` want it."""
    return HERE / f"{name}.py"


def run() -> None:
    """Set the page up and run the one that was asked for."""
    st.set_page_config(page_title="tunekit", page_icon="🔧", layout="centered")
    st.html(HERE / "assets" / "stand.css")
    pages = [
        st.Page(page_file(name), title=say(f"nav.{name}"), url_path=name, default=name == "start")
        for name in PAGES
    ]
    here = st.navigation(pages, position="top")
    here.run()
    # A key of each page's own, else the list stays open on the page that was chosen from it.
    with (
        st.container(key="all_pages"),
        st.expander(say("nav.all"), key=f"list_on_{here.url_path or 'start'}"),
    ):
        for page in pages:
            st.page_link(page, width="stretch")
