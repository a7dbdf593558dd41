"""Sheet: the page to hand over with the bike, and the session file."""

import streamlit as st

from tunekit.pages import desk
from tunekit.session import session_to_text
from tunekit.show.sheet import sheet_html
from tunekit.show.words import say

found = desk.need()
st.title(say("sheet.title"), anchor=False)
st.write(say("sheet.help"))
st.download_button(
    say("sheet.download"),
    data=sheet_html(found.session),
    file_name="tunekit-sheet.html",
    mime="text/html",
    key="main_sheet",
    type="primary",
    on_click="ignore",
    width="stretch",
)
st.write(say("sheet.session_help"))
st.download_button(
    say("sheet.session"),
    data=session_to_text(found.session),
    file_name="tunekit-session.json",
    mime="application/json",
    key="main_session",
    on_click="ignore",
    width="stretch",
)
