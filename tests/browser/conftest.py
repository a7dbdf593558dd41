"""The app in a real Chromium: one server and one browser for all tests, a fresh page for each."""

import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

ROOT = Path(__file__).parents[2]
PHONE = {"width": 360, "height": 740}


def free_port() -> int:
    with socket.socket() as place:
        place.bind(("127.0.0.1", 0))
        return int(place.getsockname()[1])


def wait_for(url: str, server: subprocess.Popen, log: Path) -> None:
    for _ in range(300):
        if server.poll() is not None:
            break
        try:
            with urllib.request.urlopen(f"{url}/_stcore/health", timeout=1) as answer:
                if answer.read() == b"ok":
                    return
        except (urllib.error.URLError, OSError):
            time.sleep(0.1)
    pytest.fail(f"the app did not start:\n{log.read_text()}")


@pytest.fixture(scope="session")
def app_url(browser, tmp_path_factory):
    """The app's address. Output goes to a file, since a full pipe would stop the server."""
    folder = tmp_path_factory.mktemp("app")
    port, log = free_port(), folder / "server.log"
    command = [sys.executable, "-m", "streamlit", "run", str(ROOT / "app.py")]
    options = [f"--server.port={port}", "--server.headless=true"]
    env = {**os.environ, "TUNEKIT_STORE": str(folder / "sessions.sqlite"), "NO_PROXY": "*"}
    with log.open("w") as out:
        server = subprocess.Popen(
            [*command, *options], cwd=ROOT, env=env, stdout=out, stderr=subprocess.STDOUT
        )
        try:
            wait_for(f"http://127.0.0.1:{port}", server, log)
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()
            server.wait(timeout=20)


class Bench:
    """A page of the app and the few gestures of the tests. Waiting is always for a result that must come."""

    def __init__(self, page: Page, url: str) -> None:
        self.page = page
        self.asked: list[str] = []
        page.on("request", lambda request: self.asked.append(request.url))
        page.on("websocket", lambda link: self.asked.append(link.url))
        page.goto(url)
        self.titled("What is on the stand?")

    def tap(self, key: str) -> None:
        self.page.locator(f".st-key-{key} button").click()

    def titled(self, text: str) -> None:
        expect(self.page.get_by_role("heading", level=1, name=text)).to_be_visible(timeout=20_000)

    def sees(self, text: str) -> None:
        expect(self.page.get_by_text(text).first).to_be_visible(timeout=20_000)

    def on_log_page(self) -> None:
        """The noisy way in, with the 11 speed road double."""
        self.tap("main_noisy")
        self.titled("Which of these is nearest?")
        self.tap("starter_road-double-11")
        self.titled("What do you hear?")


@pytest.fixture
def new_page(browser):
    """Pages of a given size, closed at the end."""
    contexts = []

    def opened(**options) -> Page:
        contexts.append(browser.new_context(**options))
        return contexts[-1].new_page()

    yield opened
    for context in contexts:
        context.close()


@pytest.fixture
def bench(new_page, app_url):
    return Bench(new_page(viewport={"width": 1280, "height": 1000}), app_url)


@pytest.fixture
def phone(new_page, app_url):
    return Bench(new_page(viewport=PHONE, has_touch=True), app_url)
