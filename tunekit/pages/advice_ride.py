"""The ride: after a change, or when riding a few gears tells most. Answered by taps alone."""

from typing import Literal

import streamlit as st

from tunekit.diagnosis.advice import Gear, Move
from tunekit.pages import desk
from tunekit.session import Heard, Session
from tunekit.session.rides import last_ride, last_words, open_troubles
from tunekit.show.words import gear_and_moment, gears_by_moment, label, say

EVERYWHERE = tuple(
    Gear(ring=None, cog=None, moment=moment) for moment in ("to_larger_cog", "to_smaller_cog", "pedalling")
)
"""What a ride through every gear both ways answers."""
Fields = dict[str, object]


def clean(place: Heard | Gear) -> Fields:
    """That place, and it was good."""
    return {"kind": "heard", "ring": place.ring, "cog": place.cog, "moment": place.moment, "what": "clean"}


def again(entry: Heard) -> Fields:
    """The same word once more."""
    return entry.model_dump(exclude={"at"})


def after_change(session: Session, move: Move | None, barred: frozenset[tuple[int, int]]) -> None:
    """The bike was changed: one tap says what the ride was like, in the gears named and no others."""
    troubles = tuple(t for t in open_troubles(session.log) if (t.ring, t.cog) not in barred)
    places = {(entry.ring, entry.cog, entry.moment) for entry in troubles}
    gears = move.gears if move and move.kind == "heard" else ()
    fresh = [gear for gear in gears if (gear.ring, gear.cog, gear.moment) not in places]
    good = [*map(clean, troubles), *map(clean, fresh)]
    with st.container(border=True, key="order_ride"):
        st.markdown(f"**{say('advice.ride_title')}**")
        st.markdown("\n".join(f"- {line}" for line in (*before(troubles), *gears_by_moment(fresh))))
    tap(say("advice.ride_all_good"), "main_ride_good", good, primary=True)
    tap(say("advice.ride_same"), "main_ride_same", [again(entry) for entry in troubles])
    if st.button(say("advice.ride_else"), key="main_ride_else", width="stretch"):
        desk.go("log")


def before(troubles: tuple[Heard, ...]) -> list[str]:
    """The troubled gears, those of one word on one line, and what they did."""
    words = dict.fromkeys(entry.what for entry in troubles)
    return [
        say("advice.ride_was", gears=line, word=label("heard", word).lower())
        for word in words
        for line in gears_by_moment(entry for entry in troubles if entry.what == word)
    ]


def tap(text: str, key: str, entries: list[Fields], primary: bool = False) -> None:
    """One button that writes these entries; no button when there are none to write."""
    if entries:
        kind: Literal["primary", "secondary"] = "primary" if primary else "secondary"
        st.button(text, key=key, type=kind, width="stretch", on_click=desk.add_all, args=(entries,))


def gear_list(session: Session, move: Move) -> None:
    """The gears to ride, in order, each answered good or not right."""
    said = last_words(last_ride(session.log))
    good = [clean(gear) for gear in move.gears or EVERYWHERE]
    tap(say("advice.ride_all_good"), "main_ride_good", good, primary=True)
    for number, gear in enumerate(move.gears):
        word = said.get((gear.ring, gear.cog, gear.moment))
        st.markdown(
            f"{number + 1}. {gear_and_moment(gear)}" + (f" ({label('heard', word.what)})" if word else "")
        )
        with st.container(horizontal=True, key=f"ride_{number}", gap="xsmall"):
            tap_gear(number, gear)
    if st.button(say("to.log"), key="main_ride_log", width="stretch"):
        desk.go("log")


def tap_gear(number: int, gear: Gear) -> None:
    st.button(
        say("advice.gear_good"), key=f"ride_good_{number}", on_click=desk.add_all, args=([clean(gear)],)
    )
    if st.button(say("advice.gear_bad"), key=f"ride_bad_{number}"):
        st.session_state["picked_gear"] = {"ring": gear.ring, "cog": gear.cog}
        desk.go("log")
