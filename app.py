"""Opens the pages: `streamlit run app.py`, or `tunekit app`."""

import streamlit as st

from tunekit.pages.guard import GUARD
from tunekit.pages.router import page_file, told

app = st.App(page_file("entry"), middleware=GUARD, on_script_error=told)
