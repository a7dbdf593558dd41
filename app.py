"""Opens the pages: `streamlit run app.py`, or `tunekit app`."""

from tunekit.pages.router import run

run()
