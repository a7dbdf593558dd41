"""The buttons under an instruction: did it, yes, no, not sure, or a reading."""

import streamlit as st

from tunekit.bike import Bike
from tunekit.diagnosis.advice import Move
from tunekit.pages import desk
from tunekit.session.vocabulary import YES_NO
from tunekit.show.words import amount_text, move_text, say, unit

CLOCKS = ("12", "3", "6", "9")
AMOUNTS = {
    "turns": (0.125, 0.25, 0.5, 0.75, 1.0),
    "steps": (1, 2, 3, 4, 5),
    "mm": (0.5, 1, 2, 3),
    "°": (1, 2, 3),
}
"""Other amounts that a hand may have turned, offered as buttons so that nobody types with greasy hands."""


def answer_buttons(move: Move, bike: Bike, name: str = "") -> None:
    """Write what was done or found; `name` keeps two sets of buttons on one page apart."""
    if move.kind == "turned":
        turned_buttons(move, name)
    elif move.kind == "fitted":
        write_button(say("advice.did"), f"main_{name}did", "fitted", placed(move), primary=not name)
    elif move.what in YES_NO:
        yes_no_buttons(move, bike, name)
    else:
        reading(move, bike, name)


def placed(move: Move, **fields: object) -> dict[str, object]:
    """The move's own word and place, as an entry's fields."""
    return {"what": move.what, "ring": move.ring, "cog": move.cog, **fields}


def write_button(text: str, key: str, kind: str, fields: dict[str, object], *, primary: bool = True) -> None:
    """A main button that writes one entry."""
    st.button(
        text,
        key=key,
        type="primary" if primary else "secondary",
        width="stretch",
        on_click=desk.add,
        args=(kind,),
        kwargs=fields,
    )


def turned_buttons(move: Move, name: str) -> None:
    write_button(
        say("advice.did"),
        f"main_{name}did",
        "turned",
        {"what": move.what, "amount": move.amount},
        primary=not name,
    )
    amounts = AMOUNTS.get(unit("turned", move.what))
    if not amounts:
        return
    with st.expander(say("advice.other_amount"), key=f"{name}amounts"):
        for way, sign in (("plus", 1), ("minus", -1)):
            with st.container(horizontal=True, key=f"{name}amounts_{way}", gap="xsmall"):
                for size in amounts:
                    st.button(
                        f"{amount_text(move.what, size)} {say(f'way.{move.what}.{way}')}",
                        key=f"{name}amount_{way}_{size}",
                        on_click=desk.add,
                        args=("turned",),
                        kwargs={"what": move.what, "amount": float(sign * size)},
                    )


def not_sure(move: Move, bike: Bike, name: str) -> None:
    """An answer like any other: noted, and the next best thing is asked instead."""
    note = say("advice.not_sure_note", question=move_text(move, bike))
    fields: dict[str, object] = {"text": note, "step": move.what}
    write_button(say("answer.not_sure"), f"main_{name}not_sure", "noted", fields, primary=False)


def yes_no_buttons(move: Move, bike: Bike, name: str) -> None:
    with st.container(horizontal=True, key=f"{name}yes_no", gap="xsmall"):
        for answer, value in (("yes", 1), ("no", 0)):
            fields = placed(move, value=value)
            write_button(
                say(f"answer.{answer}"), f"main_{name}{answer}", "measured", fields, primary=not name
            )
    not_sure(move, bike, name)


def figure_input(move: Move, key: str, clock: str) -> None:
    text = say("advice.value", unit=unit("measured", move.what))
    if clock:
        text = f"{text}, {say('advice.clock', clock=clock)}"
    st.number_input(text, value=None, step=0.1, format="%.3g", key=key)


def write_reading(move: Move, keys: list[str]) -> None:
    """Write the figures typed (a button's callback); a missing one is said in a sentence."""
    figures = [st.session_state[key] for key in keys]
    if None in figures:
        st.session_state[desk.PROBLEM] = say("advice.no_reading", unit=unit("measured", move.what))
        return
    desk.add("measured", **placed(move, value=figures if len(figures) > 1 else figures[0]))


def reading(move: Move, bike: Bike, name: str) -> None:
    """One figure, or the hanger gauge's four; in a form, so that one tap after typing writes it."""
    clocks = CLOCKS if move.what == "hanger_rim_mm" else ("",)
    keys = [f"{name}reading_{move.what}_{clock}" for clock in clocks]
    with st.form(f"{name}reading_{move.what}", border=False):
        with st.container(key=f"{name}rim_fields" if len(clocks) > 1 else None):
            for key, clock in zip(keys, clocks, strict=True):
                figure_input(move, key, clock)
        st.form_submit_button(
            say("advice.write"),
            key=f"main_{name}write",
            type="secondary" if name else "primary",
            width="stretch",
            on_click=write_reading,
            args=(move, keys),
        )
    not_sure(move, bike, name)
