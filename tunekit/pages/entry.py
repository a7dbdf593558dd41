"""The script that runs for every tap: the router and the page that it turns to."""

from tunekit.pages.router import run

run()
