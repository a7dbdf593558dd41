"""The rest of the log's words: what was measured, turned, fitted or noted, in one small form."""

import streamlit as st

from tunekit.pages import desk
from tunekit.session import Session
from tunekit.session.vocabulary import WHAT_BY_KIND, YES_NO
from tunekit.show.words import label, say, unit

KINDS = ("measured", "turned", "fitted", "noted")


def choose_what(kind: str) -> str:
    return st.selectbox(
        say("log.what"),
        WHAT_BY_KIND[kind],
        format_func=lambda what: label(kind, what),
        key=f"other_{kind}_what",
    )


def choose_place(session: Session, kind: str) -> dict[str, int | None]:
    """The cog and ring meant, if any."""

    def choice(part: str, teeth: tuple[int, ...]) -> int | None:
        return st.selectbox(
            say(f"log.at_{part}"),
            (None, *teeth),
            format_func=lambda tooth: say("log.nowhere") if tooth is None else str(tooth),
            key=f"other_{kind}_{part}",
        )

    return {"cog": choice("cog", session.bike.cogs), "ring": choice("ring", session.bike.rings)}


def number(text: str, key: str) -> float | None:
    return st.number_input(text, value=None, step=0.1, format="%.3g", key=key)


def measured(session: Session) -> dict[str, object] | None:
    what = choose_what("measured")
    if what == "hanger_rim_mm":
        st.write(say("log.rim"))
        readings = [number(clock, f"other_rim_{clock}") for clock in ("12", "3", "6", "9")]
        return None if None in readings else {"what": what, "value": readings}
    place = choose_place(session, "measured")
    if what in YES_NO:
        answers = {say("answer.yes"): 1, say("answer.no"): 0}
        said = st.segmented_control(label("measured", what), list(answers), key="other_yes_no")
        return None if said is None else {"what": what, "value": answers[said], **place}
    value = number(say("log.value", unit=unit("measured", what)), "other_value")
    return None if value is None else {"what": what, "value": value, **place}


def turned(session: Session) -> dict[str, object] | None:
    what = choose_what("turned")
    if what == "hanger":
        return {"what": what}
    ways = {"plus": say(f"way.{what}.plus"), "minus": say(f"way.{what}.minus")}
    amount = number(say("log.amount", unit=unit("turned", what), **ways), "other_amount")
    return None if amount is None else {"what": what, "amount": amount}


def fitted(session: Session) -> dict[str, object] | None:
    what = choose_what("fitted")
    place = choose_place(session, "fitted") if what in ("cog", "cog_spacer", "rings") else {}
    links = None
    if what == "chain":
        links = st.number_input(say("log.links"), value=None, step=2, key="other_links")
    return {"what": what, "links": links, **place}


def noted(session: Session) -> dict[str, object] | None:
    text = st.text_area(say("log.text"), max_chars=2000, key="other_text")
    return {"text": text.strip()} if text.strip() else None


FIELDS = {"measured": measured, "turned": turned, "fitted": fitted, "noted": noted}


def show(session: Session) -> None:
    """The form, behind one tap."""
    with st.expander(say("log.other")):
        kind = st.segmented_control(
            say("log.kind"),
            KINDS,
            default="measured",
            required=True,
            format_func=lambda kind: say(f"log.kinds_{kind}"),
            key="other_kind",
        )
        fields = FIELDS[kind](session)
        st.button(
            say("log.write"),
            key="main_write_other",
            width="stretch",
            disabled=fields is None,
            on_click=desk.add,
            args=(kind,),
            kwargs=fields or {},
        )
