"""Advice: what to do now, big; why; what I think is wrong; what it will change; what else there is."""

import streamlit as st

from tunekit.diagnosis import advise
from tunekit.diagnosis.advice import Advice, Move
from tunekit.pages import advice_ride, desk, pictures, setup_place
from tunekit.pages.advice_answer import answer_buttons
from tunekit.pages.plain import plain
from tunekit.session import Session, session_from_text, session_to_text
from tunekit.session.rides import awaits_ride, not_sure_since_change, open_troubles
from tunekit.session.store import Kept
from tunekit.show.figures_log import cause_bars, offset_figure, offsets_tell
from tunekit.show.figures_setup import move_picture
from tunekit.show.words import (
    cause_label,
    chance_text,
    entry_text,
    evidence_text,
    first_text,
    label,
    minutes_left_text,
    move_help,
    move_name,
    move_text,
    nearly_clear_text,
    number_text,
    say,
    until_text,
    whole_minutes,
)

RIDE_LATER = "ride_later"
ASK_AGAIN = "ask_again"
PICTURE_PX = 460  # wide enough to read; a phone shows it in its own width


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
    if calming := nearly_clear_text(advice, move, open_troubles(found.session.log)):
        st.success(calming)
    if move.first:
        first_look(found, move)
        return
    with st.container(border=True, key="order_now"):
        if move.caution:
            st.warning(move.caution)
        st.markdown(f"**{move_text(move, found.session.bike)}**")
        if move.until:
            st.write(until_text(move.until))
        notes = [say("advice.workshop") if move.workshop else "", move_help(move)]
        if any(notes):
            st.caption(" ".join(note for note in notes if note))
    if move.kind == "heard":
        advice_ride.gear_list(found.session, move)
    else:
        answer_buttons(move, found.session.bike)
    st.write(say("advice.why", why=move.why))
    st.caption(say("advice.minutes", minutes=whole_minutes(move.minutes)))
    picture(found, move)
    if move.kind != "heard":
        setup_place.offer(found.session, move.what, "advice")


def first_look(found: Kept, move: Move) -> None:
    """The look that must come out good before the step, alone on the page: one instruction at a time."""
    if move.first is None:
        return
    look = Move(kind="measured", what=move.first.what, cog=move.first.cog, minutes=1.0, why="")
    with st.container(border=True, key="order_first"):
        if move.caution:
            st.warning(move.caution)
        st.markdown(f"**{say('advice.first', look=first_text(move.first))}**")
    answer_buttons(look, found.session.bike)
    st.write(say("advice.then", step=move_text(move, found.session.bike)))
    st.write(say("advice.why", why=move.why))
    picture(found, look)


def picture(found: Kept, move: Move) -> None:
    """Where the thing to turn or look at is, which way it turns, seen from where."""
    drawn = move_picture(move, found.session.bike)
    if drawn:
        st.image(drawn.svg, alt=drawn.alt, width=PICTURE_PX)


def nothing(advice: Advice, session: Session) -> None:
    """No next move: clear, or everything was answered "not sure"."""
    skipped = not_sure_since_change(session.log)
    if advice.next and skipped:
        st.info(say("advice.skipped", names=", ".join(skip_name(name) for name in dict.fromkeys(skipped))))
        if st.button(say("advice.ask_again"), key="main_ask_again", width="stretch"):
            st.session_state[ASK_AGAIN] = len(session.log)
            st.rerun()
        return
    if advice.end == "right":
        st.success(say("advice.clear", chance=chance_text(advice.clear)))
    elif advice.end == "ask":
        st.info(say("advice.end_ask"))
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
    if not offsets_tell(advice):
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
                f"**{say('advice.other', name=move_name(move), minutes=whole_minutes(move.minutes))}**"
            )
            if move.caution:
                st.warning(move.caution)
            if move.first:
                st.write(say("advice.first", look=first_text(move.first)))
            st.write(move_text(move, session.bike))
            st.caption(move.why)
            if move.kind != "heard" and not move.first:
                answer_buttons(move, session.bike, name=f"other{number}_")


def evidence(advice: Advice, session: Session) -> None:
    if not advice.evidence and not advice.set_aside:
        return
    with st.expander(say("advice.evidence")):
        for item in advice.evidence:
            text = plain(entry_text(session.log[item.entry]))
            st.markdown(f"- {evidence_text(item, text)}")
        if advice.set_aside:
            st.markdown(f"**{say('advice.aside')}**")
        for aside in advice.set_aside:
            st.markdown(f"- {plain(entry_text(session.log[aside.entry]))}: {aside.why}")


def now(found: Kept, advice: Advice, move: Move | None) -> None:
    """What to do: ride after a change, nothing, or the next move; undo below it, out of the thumb's way."""
    log = found.session.log
    rides = not advice.known and not (move and move.first)
    if rides and awaits_ride(log) and st.session_state.get(RIDE_LATER) != len(log):
        if move is not None and move.caution:
            st.warning(move.caution)
        advice_ride.after_change(found.session, move, frozenset(advice.barred))
        if st.button(say("advice.ride_later"), key=RIDE_LATER + "_button", width="stretch"):
            st.session_state[RIDE_LATER] = len(log)
            st.rerun()
    elif move is None:
        nothing(advice, found.session)
    else:
        order(found, advice, move)
    desk.last_entry(found)
    if move is None or move.kind != "heard":
        desk.next_page("log", main=False)
    if move is not None:
        desk.next_page("sheet", main=False)


def thinking(advice: Advice, session: Session, move: Move | None) -> None:
    """What is behind it: the causes, the picture of the change, the other moves, the entries that counted."""
    what_is_wrong(advice, session)
    what_changes(advice, session)
    others(advice, session, move)
    evidence(advice, session)
    if move is not None:
        st.caption(minutes_left_text(advice))


found = desk.need()
session = found.session
st.title(say("advice.title"), anchor=False)
advice = advice_on(session_to_text(session))
move = to_do(advice, session)
with st.container(key="advice_desk"):
    left, right = st.columns(2, gap="large")
    with left:
        now(found, advice, move)
    with right:
        thinking(advice, session, move)
