"""What all tests share: the property tests' settings, a served app, and the browser, whose tests run last."""

import os
import shutil
import socket
import subprocess
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from hypothesis import settings

# Property tests judge answers, not the clock: two busy cores are no reason to fail.
# CI draws the same cases each time.
settings.register_profile("workshop", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True, database=None, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "workshop")

CHROMIUM_FLAGS = (
    "--no-sandbox",  # root in CI
    "--disable-dev-shm-usage",  # small /dev/shm in containers
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Browser tests last, so that the quick ones speak first."""
    items.sort(key=lambda item: item.get_closest_marker("browser") is not None)


@contextmanager
def served(command: list[str], folder: Path, log: Path, **env: str) -> Iterator[int]:
    """The port at which the command serves the app from that folder, once it answers there."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    options = {"cwd": folder, "env": {**os.environ, **env}, "stdin": subprocess.DEVNULL}
    with log.open("wb") as out:  # a pipe that nobody empties would stop the server
        app = subprocess.Popen([*command, str(port)], stdout=out, stderr=subprocess.STDOUT, **options)
        try:
            if not _answers(port, app):
                pytest.fail(f"the app did not start:\n{log.read_text('utf-8', 'replace')}")
            yield port
        finally:
            app.terminate()
            app.wait(timeout=20)


def _answers(port: int, app: subprocess.Popen[bytes]) -> bool:
    for _ in range(600):
        if app.poll() is not None:
            break
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/_stcore/health", timeout=2) as answer:
                if answer.read() == b"ok":
                    return True
        except OSError:
            time.sleep(0.1)
    return False


@pytest.fixture(scope="session")
def serve():
    return served


def chromium() -> str:
    """The system's Chromium; skips with the reason, or fails where CI promises one."""
    found = os.environ.get("TUNEKIT_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if found and Path(found).exists():
        return found
    reason = "no Chromium here: install it, or set TUNEKIT_CHROMIUM to its path"
    return pytest.fail(reason) if os.environ.get("CI") else pytest.skip(reason)


@pytest.fixture(scope="session")
def browser():
    path = chromium()
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=path, headless=True, args=list(CHROMIUM_FLAGS))
        yield started
        started.close()
