"""The bike's form, built from the model: every field of every part, checked there, kept when it passes.

What was typed stays on the form when it is refused; the session stays as it was.
"""

import json
from types import NoneType
from typing import Any, get_args

import streamlit as st

from tunekit.bike import Bike, SessionError
from tunekit.bike import model as parts
from tunekit.bike.starters import StarterRow
from tunekit.data import table
from tunekit.pages import desk
from tunekit.pages.plain import plain
from tunekit.session.store import Kept
from tunekit.show.words import say

GROUPS: dict[str, type[parts.Part]] = {
    "rear": parts.RearDerailleur,
    "front": parts.FrontDerailleur,
    "chain": parts.Chain,
    "cassette": parts.Cassette,
    "crank": parts.Crank,
    "frame": parts.Frame,
    "wheel": parts.Wheel,
}
TEETH = ("rings", "cogs")
LISTS = {("cassette", "pitches_mm"), ("wheel", "hub_gears")}
"""Fields of several numbers."""
BASE = "form_base"
REFUSED = "form_refused"


def key_of(group: str, field: str) -> str:
    return f"bike_{group}_{field}"


def word(group: str, field: str, what: str = "label") -> str:
    return str(table("words/bike")[group][field][what])


def source_line(row: StarterRow) -> str:
    """One starter figure with its status: "Chainstay, mm: 410 (typical)"."""
    group, _, field = row.field.rpartition(".")
    value = ", ".join(map(str, row.value)) if isinstance(row.value, tuple) else row.value
    source = f", {row.source}" if row.source else ""
    return f"{word(group or 'teeth', field)}: {value} ({row.status}{source})"


def fill(bike: Bike) -> None:
    """Put the bike's figures on the form."""
    for name in TEETH:
        st.session_state[key_of("teeth", name)] = ", ".join(map(str, getattr(bike, name)))
    st.session_state[key_of("front", "fitted")] = bike.front is not None
    for group, kind in GROUPS.items():
        part = getattr(bike, group) or kind()
        for field in kind.model_fields:
            held = getattr(part, field)
            # A list is typed as text, and an empty one means that there is none.
            listed = ", ".join(f"{value:g}" for value in held or ()) if (group, field) in LISTS else held
            st.session_state[key_of(group, field)] = listed


def teeth_from(name: str, text: str) -> list[int]:
    """The tooth counts typed; raises SessionError when they are not whole numbers."""
    try:
        return [int(piece) for piece in text.replace(";", ",").replace(" ", ",").split(",") if piece]
    except ValueError:
        example = "34, 50" if name == "rings" else "11, 12, 13"
        raise SessionError(
            say("bike.teeth_rule", label=word("teeth", name), got=text[:60], example=example)
        ) from None


def entered(group: str, field: str) -> Any:
    """What stands in one field; raises SessionError when a list holds what is no number."""
    value = st.session_state[key_of(group, field)]
    if (group, field) not in LISTS:
        return value
    pieces = value.replace(";", ",").replace(" ", ",").split(",")
    try:
        return [float(piece) for piece in pieces if piece] or GROUPS[group].model_fields[field].default
    except ValueError:
        raise SessionError(say("bike.list_rule", label=word(group, field), got=value[:60])) from None


def typed() -> Bike:
    """The bike as it stands on the form; raises SessionError with one sentence."""
    teeth = {name: st.session_state[key_of("teeth", name)] for name in TEETH}
    fields: dict[str, Any] = {name: teeth_from(name, text) for name, text in teeth.items()}
    for group, kind in GROUPS.items():
        fields[group] = {field: entered(group, field) for field in kind.model_fields}
    if not st.session_state[key_of("front", "fitted")]:
        fields["front"] = None
    return Bike.build(**fields)


def save() -> None:
    """Keep the form's bike, or remember why not (a widget's callback)."""
    try:
        bike = typed()
    except SessionError as error:
        st.session_state[REFUSED] = str(error)
        return
    if desk.change(bike=bike):
        st.session_state.pop(REFUSED, None)
        st.session_state[BASE] = bike.model_dump_json()
    else:
        st.session_state[REFUSED] = st.session_state.pop(desk.PROBLEM)


def rename() -> None:
    desk.change(title=st.session_state["bike_name"])


def number(group: str, field: str, whole: bool) -> None:
    st.number_input(
        word(group, field),
        key=key_of(group, field),
        value=None,
        step=1 if whole else 0.1,
        format="%d" if whole else "%g",
        help=word(group, field, "help"),
        on_change=save,
        persist_state="session",
    )


def input_for(group: str, field: str, annotation: Any) -> None:
    """A widget for one field, by its type."""
    if annotation is bool or (group, field) in LISTS:
        widget = st.toggle if annotation is bool else st.text_input
        widget(
            word(group, field),
            key=key_of(group, field),
            help=word(group, field, "help"),
            on_change=save,
            persist_state="session",
        )
        return
    kinds = {kind for kind in (get_args(annotation) or (annotation,)) if kind is not NoneType}
    if all(isinstance(kind, str) for kind in kinds):
        st.segmented_control(
            word(group, field),
            sorted(kinds),
            key=key_of(group, field),
            format_func=table("words/bike")["choice"].__getitem__,
            required=True,
            on_change=save,
            persist_state="session",
        )
    else:
        number(group, field, whole=float not in kinds and "float" not in str(annotation))


def group_of(group: str, kind: type[parts.Part]) -> None:
    with st.expander(table("words/bike")["group"][group]):
        if group == "front":
            key = key_of("front", "fitted")
            st.toggle(word("front", "fitted"), key=key, on_change=save, persist_state="session")
            if not st.session_state[key]:
                return
        for field, info in kind.model_fields.items():
            input_for(group, field, info.annotation)


def show(found: Kept) -> None:
    """The form, its problem if any, and the session's name."""
    current = found.session.bike.model_dump_json()
    base = json.dumps([found.id, current])
    if st.session_state.get(BASE) not in (base, current):
        fill(found.session.bike)
        st.session_state.pop(REFUSED, None)
    st.session_state[BASE] = base
    refused = st.session_state.get(REFUSED)
    if refused:
        st.error(say("bike.not_saved", problem=plain(refused)))
    else:
        st.caption(say("bike.saved"))
    st.session_state["bike_name"] = found.session.title
    st.text_input(say("bike.name"), key="bike_name", max_chars=200, on_change=rename)
    for name in TEETH:
        st.text_input(
            word("teeth", name),
            key=key_of("teeth", name),
            help=word("teeth", name, "help"),
            on_change=save,
            persist_state="session",
        )
    for group, kind in GROUPS.items():
        group_of(group, kind)
