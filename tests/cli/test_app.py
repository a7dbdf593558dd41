"""`tunekit app` serves the pages, to this machine only, from any folder."""

import socket
import sys
import urllib.request
from collections.abc import Callable, Iterator
from typing import Any

import pytest


@pytest.fixture(scope="module", params=[["--no-browser"], []], ids=["no browser", "browser"])
def port(
    request: pytest.FixtureRequest, serve: Callable[..., Any], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[int]:
    """The port of an app that a user with an empty home starts for the first time, in a folder of its own."""
    folder = tmp_path_factory.mktemp("elsewhere")
    start = "import sys; from tunekit.cli import main; sys.exit(main())"
    command = [sys.executable, "-c", start, "app", *request.param, "--port"]
    places = {"TUNEKIT_STORE": str(folder / "store.sqlite"), "HOME": str(folder), "BROWSER": "true"}
    with serve(command, folder, folder / "app.log", **places) as chosen:
        yield chosen


def test_the_first_page_is_served(port: int) -> None:
    with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=10) as answer:
        assert answer.status == 200


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux has all of 127.0.0.0/8 as its loopback")
def test_only_127_0_0_1_is_listened_on(port: int) -> None:
    """A server on all interfaces would answer at 127.0.0.2 too."""
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(("127.0.0.2", port), timeout=5)
