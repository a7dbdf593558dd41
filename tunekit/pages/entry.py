"""The same as the checkout's app.py, for an installed tunekit: `tunekit app` runs this file."""

from tunekit.pages.router import run

run()
