"""The bike: choose the nearest starter, then correct what differs. Each change is checked and kept."""

import streamlit as st

from tunekit.bike import Bike
from tunekit.bike.starters import starter, starter_names, starter_rows, starter_title
from tunekit.fit import check_fit
from tunekit.pages import bike_form, desk
from tunekit.session import Session
from tunekit.show.words import say

AFTER = {"derailleur": "bike", "noisy": "log", "swap": "chain"}


def begin(name: str) -> None:
    """Lay a starter bike on the desk and turn to the page that its way in leads to."""
    desk.put(Session(title=starter_title(name), bike=starter(name)))
    st.session_state["starter"] = {"name": name, "session": st.session_state[desk.SESSION]}
    desk.go(AFTER[st.session_state.get("way", "derailleur")])


def choose() -> None:
    """The starter bikes, one tap each."""
    st.title(say("bike.choose"), anchor=False)
    st.write(say("bike.choose_help"))
    for name in starter_names():
        if st.button(starter_title(name), key=f"starter_{name}", width="stretch"):
            begin(name)


def sources() -> None:
    """Where each of the starter's figures comes from, while its session is on the desk."""
    chosen = st.session_state.get("starter")
    if not chosen or chosen["session"] != st.session_state[desk.SESSION]:
        return
    with st.expander(say("bike.sources", starter=starter_title(chosen["name"]))):
        st.markdown("\n".join(f"- {bike_form.source_line(row)}" for row in starter_rows(chosen["name"])))


def verdict(bike: Bike) -> None:
    """Does it go together as it now stands, in a line."""
    report = check_fit(bike)
    troubles = [say(f"finding.{f.name}") for f in report.findings if f.status != "pass"]
    line = f"**{say(f'fit.{report.status}')}** {', '.join(troubles)}"
    desk.VERDICT[report.status](line)


def correct() -> None:
    """The form of the bike on the desk."""
    found = desk.need()
    st.title(say("bike.title"), anchor=False)
    st.info(say("bike.leaflet"))
    bike_form.show(found)
    sources()
    verdict(found.session.bike)
    desk.next_page("fit")
    desk.next_page("log", main=False)


if st.session_state.get(desk.SESSION) is None and "way" in st.session_state:
    choose()
else:
    correct()
