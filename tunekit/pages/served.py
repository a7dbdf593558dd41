"""The same as the checkout's app.py, for an installed tunekit: `tunekit app` runs this file."""

import streamlit as st

from tunekit.pages.guard import GUARD
from tunekit.pages.router import page_file, told

app = st.App(page_file("entry"), middleware=GUARD, on_script_error=told)
