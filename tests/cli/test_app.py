"""`tunekit app` serves the pages, to this machine only, from any folder."""

import http.client
import json
import socket
import sys
import urllib.request
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing
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


def ask(port: int, path: str = "/", **headers: str) -> tuple[int, Mapping[str, str], bytes]:
    """Status, headers and body of one request with the headers of one's choice."""
    with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=10)) as link:
        link.putrequest("GET", path, skip_host="Host" in headers)
        for name, value in headers.items():
            link.putheader(name, value)
        link.endheaders()
        with link.getresponse() as answer:
            return answer.status, answer.headers, answer.read()


@pytest.mark.parametrize("path", ["/", "/log", "/_stcore/health", "/_stcore/metrics", "/_stcore/host-config"])
@pytest.mark.parametrize(
    "host", ["elsewhere.example", "localhost.elsewhere.example", "", "127.0.0.1:8@elsewhere"]
)
def test_a_foreign_name_is_refused_everywhere(port: int, path: str, host: str) -> None:
    status, _, body = ask(port, path, Host=host)
    assert status == 403
    assert len(body) < 200


@pytest.mark.parametrize("path", ["/", "/_stcore/health", "/static/none.js"])
def test_every_answer_says_what_a_browser_may_do(port: int, path: str) -> None:
    """OWASP ASVS 5.0, V3.4: content policy without inline scripts, no framing, no sniffing, no referrer."""
    told = ask(port, path)[1]
    rules = dict(rule.split(" ", 1) for rule in told["content-security-policy"].split("; "))
    assert rules["default-src"] == rules["frame-ancestors"] == "'none'"
    assert "unsafe" not in rules["script-src"]
    assert "http" not in told["content-security-policy"]
    assert told["x-frame-options"] == "DENY"
    assert told["x-content-type-options"] == "nosniff"
    assert told["referrer-policy"] == "no-referrer"


def test_messages_are_trusted_from_the_app_s_own_address_alone(port: int) -> None:
    told = json.loads(ask(port, "/_stcore/host-config")[2])
    assert told["allowedOrigins"] == [f"http://127.0.0.1:{port}"]


def socket_answer(port: int, host: str, origin: str | None) -> bytes:
    """The first line that the websocket's door gives."""
    lines = [
        "GET /_stcore/stream HTTP/1.1", f"Host: {host}", "Connection: Upgrade", "Upgrade: websocket",
        "Sec-WebSocket-Version: 13", "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==",
        *([f"Origin: {origin}"] if origin else []),
    ]  # fmt: skip
    with socket.create_connection(("127.0.0.1", port), timeout=10) as door:
        door.sendall(("\r\n".join(lines) + "\r\n\r\n").encode())
        return door.recv(4096).splitlines()[0]


def test_the_websocket_opens_to_the_app_s_own_page_alone(port: int) -> None:
    own = f"127.0.0.1:{port}"
    assert b"101" in socket_answer(port, own, f"http://{own}")
    for host, origin in [
        (own, "http://localhost:9999"), (own, "http://127.0.0.1:9999"), (own, "http://elsewhere.example"),
        (own, "null"), ("elsewhere.example", "http://elsewhere.example"),
    ]:  # fmt: skip
        assert b"403" in socket_answer(port, host, origin), (host, origin)
