"""Log: tap the gear, tap what it does. Each tap is on disk before the screen answers."""

import streamlit as st

from tunekit.data import table
from tunekit.known import barred
from tunekit.pages import desk, log_other, pictures
from tunekit.pages.plain import plain
from tunekit.session import Told
from tunekit.session.rides import last_ride
from tunekit.session.session import Session
from tunekit.session.store import Kept
from tunekit.session.vocabulary import RING_SHIFTS, WHAT_BY_KIND
from tunekit.show.figures_log import gear_map, gear_states, heard_by_gear
from tunekit.show.words import entry_text, gear_text, help_text, label, opened, say

PICKED = "picked_gear"
RING = "ring_ridden"


def pick(ring: int | None, cog: int | None) -> None:
    st.session_state[PICKED] = {"ring": ring, "cog": cog}
    if ring is not None:
        st.session_state[RING] = ring


def unpick() -> None:
    st.session_state.pop(PICKED, None)


def write(entries: list[dict[str, object]]) -> None:
    """Write what was said and go back to the gears; after a refusal the words stay."""
    desk.add_all(entries)
    if desk.PROBLEM not in st.session_state:
        unpick()


def picked(session: Session) -> dict[str, int | None] | None:
    """The gear last tapped, if this bike has it."""
    gear: dict[str, int | None] | None = st.session_state.get(PICKED)
    if gear and gear["ring"] in (*session.bike.rings, None) and gear["cog"] in (*session.bike.cogs, None):
        return gear
    return None


def gear_buttons(session: Session) -> None:
    """Every gear of the bike, ring by ring, with its mark since the last turn."""
    states = gear_states(session)
    for ring in session.bike.rings[::-1]:
        st.markdown(f"**{say('log.ring', ring=ring)}**")
        with st.container(horizontal=True, key=f"cogs_of_{ring}", gap="xsmall"):
            for cog in session.bike.cogs:
                mark = say(f"mark.{states[ring, cog]}")
                st.button(
                    f"{cog} {mark}".strip(),
                    key=f"gear_{ring}_{cog}",
                    on_click=pick,
                    args=(ring, cog),
                )
    st.button(say("log.every"), key="gear_every", on_click=pick, args=(None, None))


def place(moment: str, gear: dict[str, int | None]) -> dict[str, int | None]:
    """Where a word at that moment belongs: ring shifts to the ring, everything else to the gear."""
    return {"ring": gear["ring"], "cog": None} if moment in RING_SHIFTS else gear


def word_button(moment: str, what: str, gear: dict[str, int | None], text: str = "", **more: str) -> None:
    name = "_".join((moment, what, *more.values()))
    st.button(
        text or label("heard", what),
        key=f"word_{name}",
        on_click=write,
        args=([{"kind": "heard", "moment": moment, "what": what, **place(moment, gear), **more}],),
    )


def moments(session: Session, gear: dict[str, int | None]) -> list[str]:
    """The moments that this gear can have: no shift comes to an end cog from beyond it."""
    cogs, rings = session.bike.cogs, session.bike.rings
    impossible = {
        "to_larger_cog": gear["cog"] == cogs[0] or len(cogs) == 1,
        "to_smaller_cog": gear["cog"] == cogs[-1] or len(cogs) == 1,
        "to_larger_ring": gear["ring"] == rings[0] or len(rings) == 1,
        "to_smaller_ring": gear["ring"] == rings[-1] or len(rings) == 1,
    }
    return [moment for moment in table("offered") if not impossible.get(moment, False)]


def all_good(session: Session, gear: dict[str, int | None]) -> list[dict[str, object]]:
    """A good gear in full: prompt from either side and quiet when pedalled."""
    shifts = ("to_larger_cog", "to_smaller_cog", "pedalling")
    return [
        {"kind": "heard", "moment": moment, "what": "clean", **gear}
        for moment in moments(session, gear)
        if moment in shifts
    ]


def rest_good(session: Session, ring: int) -> list[dict[str, object]]:
    """The same for every gear on that ring of which nothing is said since the last turn."""
    told = {*heard_by_gear(session), *barred(session)}
    silent = [cog for cog in session.bike.cogs if (ring, cog) not in told]
    return [entry for cog in silent for entry in all_good(session, {"ring": ring, "cog": cog})]


def rest_button(session: Session, ring: int) -> None:
    st.button(
        say("log.rest_good", ring=ring),
        key="rest_good",
        width="stretch",
        on_click=desk.add_all,
        args=(rest_good(session, ring),),
    )


def what_it_does(session: Session, gear: dict[str, int | None]) -> None:
    """The second tap, in the place of the first: what the gear does, by moment."""
    name = opened(gear_text(gear["ring"], gear["cog"]))
    st.title(say("log.picked", gear=name), anchor=False)
    st.button(say("log.back"), key="back_to_gears", icon=":material/arrow_back:", on_click=unpick)
    st.button(
        say("log.all_good" if gear["cog"] is not None else "log.all_good_everywhere"),
        key="main_all_good",
        width="stretch",
        on_click=write,
        args=(all_good(session, gear),),
    )
    possible = moments(session, gear)
    for moment in possible:
        first = first_words(session, moment)
        if first:
            moment_row(moment, first, gear, "first")
    with st.expander(say("log.more")):
        for moment in possible:
            moment_row(moment, more_words(session, moment), gear, "more")
    with st.expander(say("log.meaning")):
        st.markdown("\n".join(meaning(what) for what in WHAT_BY_KIND["heard"]))


def meaning(what: str) -> str:
    return f"- **{label('heard', what)}**: {help_text('heard', what)}"


def first_words(session: Session, moment: str) -> list[str]:
    """The words at hand: the commonest, and those of this bike's front derailleur and motors."""
    row, bike = table("offered")[moment], session.bike
    side = bike.front if moment in RING_SHIFTS else bike.rear
    front = row.get("front", []) if bike.front else row.get("front", [])[-1:]
    motor = row.get("electronic", []) if side and side.actuation == "electronic" else []
    return [*motor, *row["first"], *front]


def more_words(session: Session, moment: str) -> list[str]:
    """The words behind one more tap."""
    row, first = table("offered")[moment], first_words(session, moment)
    return [what for what in (*row.get("electronic", []), *row["more"]) if what not in first]


def moment_row(moment: str, whats: list[str], gear: dict[str, int | None], name: str) -> None:
    named = gear["cog"] is not None
    st.markdown(f"**{label('moment', moment) if named else opened(say(f'moment.{moment}'))}**")
    with st.container(horizontal=True, key=f"moment_{moment}_{name}", gap="xsmall"):
        for what in whats:
            word_button(moment, what, gear)
        if name == "more" and moment == "pedalling":
            sides_and_turns(moment, gear)


def sides_and_turns(moment: str, gear: dict[str, int | None]) -> None:
    """The words that say on which side, or once per turn of what."""
    word_button(moment, "rattle", gear, say("log.rattle_in"), side="inboard")
    word_button(moment, "rattle", gear, say("log.rattle_out"), side="outboard")
    for per in table("words/vocabulary")["per"]:
        word_button(moment, "tick", gear, say("log.tick_per", per=label("per", per)), per=per)


def told(session: Session) -> None:
    """What the owner reports, one tap each."""
    said = {entry.what for entry in session.log if isinstance(entry, Told)}
    with st.expander(say("log.told")), st.container(horizontal=True, key="told_row", gap="xsmall"):
        for what in WHAT_BY_KIND["told"]:
            st.button(
                f"{'✓ ' if what in said else ''}{label('told', what)}",
                key=f"told_{what}",
                disabled=what in said,
                on_click=desk.add,
                args=("told",),
                kwargs={"what": what},
            )


def entries(session: Session) -> None:
    with st.expander(say("log.list")):
        lines = [
            say("log.line", number=number, text=plain(entry_text(entry)))
            for number, entry in enumerate(session.log, 1)
        ]
        st.markdown("\n".join(lines[::-1]) or say("log.empty"))


def which_gear(found: Kept) -> None:
    """The first tap, and what else there is to write or read."""
    session = found.session
    desk.last_entry(found)
    st.write(say("log.pick"))
    gear_buttons(session)
    ring = st.session_state.get(RING, session.bike.rings[-1])
    rest_button(session, ring if ring in session.bike.rings else session.bike.rings[-1])
    desk.next_page("advice")
    told(session)
    log_other.show(session)
    if last_ride(session.log):
        pictures.show(gear_map(session), "gear_map", say("map.title"))
    entries(session)


found = desk.need()
gear = picked(found.session)
if gear is None:
    st.title(say("log.title"), anchor=False)
    which_gear(found)
else:
    what_it_does(found.session, gear)
