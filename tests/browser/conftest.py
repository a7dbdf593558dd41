"""The app in a real Chromium: one server and one browser for all tests, a fresh page for each."""

import sys
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

ROOT = Path(__file__).parents[2]
# Two busy cores may be slow; a result that must come is waited for.
expect.set_options(timeout=30_000)
PHONE = {"width": 360, "height": 740}


@pytest.fixture(scope="session")
def app_url(browser, serve, tmp_path_factory):
    """The app's address; the browser comes first, so that without one nothing is started."""
    folder = tmp_path_factory.mktemp("app")
    command = [sys.executable, "-m", "streamlit", "run", str(ROOT / "app.py")]
    options = ["--server.headless=true", "--server.port"]
    store = str(folder / "sessions.sqlite")
    with serve([*command, *options], ROOT, folder / "server.log", TUNEKIT_STORE=store, NO_PROXY="*") as port:
        yield f"http://127.0.0.1:{port}"


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
        expect(self.page.get_by_role("heading", level=1, name=text)).to_be_visible()

    def sees(self, text: str) -> None:
        expect(self.page.get_by_text(text).first).to_be_visible()

    def at_rest(self) -> None:
        """The script has run to its end, so that no rerun takes away what is about to be tapped."""
        expect(self.page.get_by_test_id("stApp")).to_have_attribute("data-test-script-state", "notRunning")

    def turn_to(self, name: str) -> None:
        """A page by the phone's list of all pages, which may still be open from the last time."""
        self.at_rest()
        if not self.page.locator(".st-key-all_pages details[open]").count():
            self.page.locator("summary", has_text="All pages").click()
        self.page.locator(".st-key-all_pages").get_by_role("link", name=name, exact=True).click()

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
