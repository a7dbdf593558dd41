"""Advice: what to do now, big; why; what I think is wrong; what it will change; what else there is."""

import streamlit as st

from tunekit.diagnosis import advise
from tunekit.diagnosis.advice import Advice, Move
from tunekit.pages import advice_ride, desk, pictures, setup_place
from tunekit.pages.advice_answer import answer_buttons
from tunekit.session import Session, session_from_text, session_to_text
from tunekit.session.rides import awaits_ride, not_sure_since_change
from tunekit.session.store import Kept
from tunekit.show.figures_log import cause_bars, chance_text, offset_figure
from tunekit.show.words import (
    cause_label,
    entry_text,
    label,
    move_help,
    move_name,
    move_text,
    number_text,
    say,
)

RIDE_LATER = "ride_later"
ASK_AGAIN = "ask_again"


@st.cache_data(max_entries=32, show_spinner=say("advice.working"))
def advice_on(text: str) -> Advice:
    """The advice for a session's text: the same text, the same advice."""
    advice: Advice = advise(session_from_text(text), seed=0)
    return advice


def to_do(advice: Advice, session: Session) -> Move | None:
    """The best thing to do that was not just answered "not sure"."""
    skipped = (
        () if st.session_state.get(ASK_AGAIN) == len(session.log) else not_sure_since_change(session.log)
    )
    moves = [advice.next, *advice.runners_up] if advice.next else []
    return next((move for move in moves if move and move.what not in skipped), None)


def order(found: Kept, advice: Advice, move: Move) -> None:
    """The instruction itself, its warning before it, its answers below."""
    if advice.clear >= 0.5:
        st.success(say("advice.mostly_clear", chance=chance_text(advice.clear)))
    with st.container(border=True, key="order_now"):
        if advice.caution:
            st.warning(advice.caution)
        st.markdown(f"**{move_text(move, found.session.bike)}**")
    notes = [say("advice.minutes", minutes=number_text(move.minutes, 0)), move_help(move)]
    if move.workshop:
        notes.insert(0, say("advice.workshop"))
    st.caption(" · ".join(note for note in notes if note))
    if move.kind == "heard":
        advice_ride.gear_list(found.session, move)
    else:
        answer_buttons(move, found.session.bike)
        setup_place.offer(found.session, move.what, "advice")
    st.write(say("advice.why", why=move.why))


def nothing(advice: Advice, session: Session) -> None:
    """No next move: clear, or everything was answered "not sure"."""
    skipped = not_sure_since_change(session.log)
    if advice.next and skipped:
        st.info(say("advice.skipped", names=", ".join(skip_name(name) for name in dict.fromkeys(skipped))))
        if st.button(say("advice.ask_again"), key="main_ask_again", width="stretch"):
            st.session_state[ASK_AGAIN] = len(session.log)
            st.rerun()
        return
    if advice.clear >= 0.5:
        st.success(say("advice.clear", chance=chance_text(advice.clear)))
    else:
        st.info(say("advice.nothing_next"))
    desk.next_page("sheet")


def skip_name(what: str) -> str:
    try:
        return label("measured", what)
    except KeyError:
        return what.replace("_", " ")


def what_is_wrong(advice: Advice, session: Session) -> None:
    top = ", ".join(f"{cause_label(c.name)} {chance_text(c.probability)}" for c in advice.causes[:4])
    pictures.show(cause_bars(advice), "causes", say("causes.alt", list=top))
    for tie in advice.ties:
        st.info(say("advice.tie", first=cause_label(tie.first), second=cause_label(tie.second)))
        if tie.check:
            st.caption(say("advice.tie_check", check=move_text(tie.check, session.bike)))
    st.caption(say("advice.chance_clear", chance=chance_text(advice.clear)))
    if not advice.sure:
        st.caption(say("advice.unsure"))


def what_changes(advice: Advice, session: Session) -> None:
    if not advice.offsets:
        return
    moves = any(offset.after_mm != offset.mm for offset in advice.offsets)
    st.subheader(say("advice.picture" if moves else "advice.picture_now"), anchor=False)
    now = [offset.mm for offset in advice.offsets]
    low, high, quiet = map(number_text, (min(now), max(now), advice.quiet_mm))
    alt = say("offset.alt", low=low, high=high, quiet=quiet)
    pictures.show(offset_figure(advice, session.bike), "offsets", alt)


def others(advice: Advice, session: Session, doing: Move | None) -> None:
    rest = [move for move in (advice.next, *advice.runners_up) if move and move is not doing]
    if not rest or advice.next is None:
        return
    with st.expander(say("advice.others")):
        for number, move in enumerate(rest):
            st.markdown(
                f"**{say('advice.other', name=move_name(move), minutes=number_text(move.minutes, 0))}**"
            )
            st.write(move_text(move, session.bike))
            st.caption(move.why)
            if move.kind != "heard":
                answer_buttons(move, session.bike, name=f"other{number}_")


def evidence(advice: Advice, session: Session) -> None:
    if not advice.evidence and not advice.set_aside:
        return
    with st.expander(say("advice.evidence")):
        for item in advice.evidence:
            key, factor = (
                ("for", item.factor) if item.factor >= 1 else ("against", 1 / max(item.factor, 1e-9))
            )
            text = desk.plain(entry_text(session.log[item.entry]))
            spoken = say(
                f"advice.evidence_{key}", text=text, factor=factor_text(factor), cause=cause_label(item.cause)
            )
            st.markdown(f"- {spoken}")
        if advice.set_aside:
            st.markdown(f"**{say('advice.aside')}**")
        for aside in advice.set_aside:
            st.markdown(f"- {desk.plain(entry_text(session.log[aside.entry]))}: {aside.why}")


def factor_text(factor: float) -> str:
    return say("advice.over_hundred") if factor > 100 else number_text(factor, 1 if factor < 10 else 0)


found = desk.need()
session = found.session
st.title(say("advice.title"), anchor=False)
desk.last_entry(found)
advice = advice_on(session_to_text(session))
move = to_do(advice, session)
if awaits_ride(session.log) and st.session_state.get(RIDE_LATER) != len(session.log):
    advice_ride.after_change(session, move)
    if st.button(say("advice.ride_later"), key=RIDE_LATER + "_button", width="stretch"):
        st.session_state[RIDE_LATER] = len(session.log)
        st.rerun()
elif move is None:
    nothing(advice, session)
else:
    order(found, advice, move)
what_is_wrong(advice, session)
what_changes(advice, session)
others(advice, session, move)
evidence(advice, session)
st.caption(
    say(
        "advice.left",
        minutes=number_text(advice.minutes_left, 0),
        without=number_text(advice.minutes_left_without_look, 0),
    )
)
desk.next_page("log", main=False)
desk.next_page("sheet", main=False)
