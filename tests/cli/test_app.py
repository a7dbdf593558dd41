"""`tunekit app` serves the pages, to this machine only, from any folder."""

import os
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest


@pytest.fixture(scope="module", params=[["--no-browser"], []], ids=["no browser", "browser"])
def port(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    """The port of an app that a user with an empty home starts for the first time, in a folder of its own."""
    folder = tmp_path_factory.mktemp("elsewhere")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        chosen = free.getsockname()[1]
    start = "import sys; from tunekit.cli import main; sys.exit(main())"
    command = [sys.executable, "-c", start, "app", *request.param, "--port", str(chosen)]
    with (folder / "app.log").open("wb") as log:
        app = subprocess.Popen(
            command,
            cwd=folder,
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=subprocess.STDOUT,
            env={
                **os.environ,
                "TUNEKIT_STORE": str(folder / "store.sqlite"),
                "HOME": str(folder),
                "BROWSER": "true",
            },
        )
        try:
            wait_until_well(chosen, app, folder / "app.log")
            yield chosen
        finally:
            app.terminate()
            app.wait(timeout=20)


def wait_until_well(port: int, app: subprocess.Popen[bytes], log: Path) -> None:
    for _ in range(300):
        if app.poll() is not None:
            break
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/_stcore/health", timeout=2) as answer:
                if answer.read() == b"ok":
                    return
        except OSError:
            time.sleep(0.2)
    raise AssertionError(log.read_text(encoding="utf-8", errors="replace"))


def test_the_first_page_is_served(port: int) -> None:
    with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=10) as answer:
        assert answer.status == 200


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux has all of 127.0.0.0/8 as its loopback")
def test_only_127_0_0_1_is_listened_on(port: int) -> None:
    """A server on all interfaces would answer at 127.0.0.2 too."""
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(("127.0.0.2", port), timeout=5)
