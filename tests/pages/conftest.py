"""The app under test, with a store of its own and its errors shown in full."""

import re
from pathlib import Path

import pytest
from streamlit import config
from streamlit.testing.v1 import AppTest

from tunekit import Session
from tunekit.bike.starters import starter
from tunekit.session.store import Store

ROOT = Path(__file__).parents[2]


def as_read(text: str) -> str:
    """A page's Markdown as a reader sees it, but for bold and lists."""
    return re.sub(r"\\([^\w\s])", r"\1", text).replace("\u2060", "")


class App:
    """AppTest with the few gestures that these tests make; no page may ever raise."""

    def __init__(self) -> None:
        self.at = AppTest.from_file(str(ROOT / "tunekit/pages/entry.py"), default_timeout=60)
        self.run()

    def run(self) -> None:
        self.at.run()
        assert [error.message for error in self.at.exception] == []

    def tap(self, key: str) -> None:
        self.at.button(key=key).click()
        self.run()

    def turn_to(self, name: str) -> None:
        self.at.switch_page(f"{name}.py")
        self.run()

    @property
    def title(self) -> str:
        return self.at.title[0].value

    @property
    def text(self) -> str:
        """All that a reader sees, but for the widgets."""
        shown = (
            *self.at.markdown,
            *self.at.caption,
            *self.at.error,
            *self.at.warning,
            *self.at.info,
            *self.at.success,
        )
        return as_read("\n".join(element.value for element in shown))

    @property
    def session(self) -> Session:
        """The session on the desk, from the disk."""
        return Store().load(self.at.session_state["session"]).session


@pytest.fixture(autouse=True)
def own_store(tmp_path, monkeypatch):
    monkeypatch.setenv("TUNEKIT_STORE", str(tmp_path / "sessions.sqlite"))


@pytest.fixture(autouse=True)
def errors_in_full():
    """The app hides them from users (config.toml); a test must see them."""
    before = config.get_option("client.showErrorDetails")
    config.set_option("client.showErrorDetails", "full")
    yield
    config.set_option("client.showErrorDetails", before)


@pytest.fixture
def app():
    return App()


@pytest.fixture
def road(app):
    """The app with the 11 speed road double on its log page."""
    app.tap("main_noisy")
    app.tap("starter_road-double-11")
    assert app.session.bike == starter("road-double-11")
    return app
