"""What stands before every page: who may ask, and what a browser may do with the answer.

A pure ASGI middleware, since Starlette's own base class never sees a websocket.
"""

import base64
import hashlib
import re
from collections.abc import Awaitable, Callable, MutableMapping
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import streamlit as st
from starlette.middleware import Middleware
from streamlit import config

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]

_SCRIPT = re.compile(rb"<script(?![^>]*\bsrc=)[^>]*>(.*?)</script>", re.DOTALL)


def _inline_scripts() -> str:
    """The hashes of the scripts inside the framework's one page, so that no other inline script runs."""
    page = (Path(st.__file__).parent / "static" / "index.html").read_bytes()
    digests = [base64.b64encode(hashlib.sha256(found).digest()).decode() for found in _SCRIPT.findall(page)]
    return " ".join(f"'sha256-{digest}'" for digest in digests)


INLINE = _inline_scripts()


def policy(host: str) -> str:
    """What a browser may load and run; nothing from elsewhere, in nobody's frame.

    Styles are inline throughout the framework. Its components' scripts are blobs of the page itself.
    """
    rules = {
        "default-src": "'none'",
        "script-src": f"'self' blob: {INLINE}",
        "style-src": "'self' 'unsafe-inline'",
        "img-src": "'self' data: blob:",
        "media-src": "'self' data: blob:",
        "font-src": "'self' data:",
        "connect-src": f"'self' ws://{host} wss://{host}",
        "worker-src": "'self' blob:",
        "manifest-src": "'self'",
        "form-action": "'self'",
        "base-uri": "'self'",
        "frame-ancestors": "'none'",
    }
    return "; ".join(f"{name} {value}" for name, value in rules.items())


def headers(host: str) -> list[tuple[bytes, bytes]]:
    """The headers that go with every answer."""
    told = {
        "content-security-policy": policy(host),
        "x-frame-options": "DENY",
        "x-content-type-options": "nosniff",
        "referrer-policy": "no-referrer",
        "cross-origin-opener-policy": "same-origin",
        "cross-origin-resource-policy": "same-origin",
    }
    return [(name.encode(), value.encode("latin-1")) for name, value in told.items()]


def is_own(host: str) -> bool:
    """Whether a request's Host is a name of this app (server.allowedHosts)."""
    if not re.fullmatch(r"[A-Za-z0-9.\-]+(:[0-9]{1,5})?|\[[0-9a-fA-F:]+\](:[0-9]{1,5})?", host):
        return False
    name = (urlsplit(f"//{host}").hostname or "").rstrip(".")
    names = [allowed.strip().lower() for allowed in config.get_option("server.allowedHosts")]
    return any(
        name == own or (own.startswith("*.") and name.endswith(own[1:])) or own == "*" for own in names
    )


class Guard:
    """Refuses foreign names and foreign pages, and sends the headers with everything else."""

    def __init__(self, app: Callable[[Scope, Receive, Send], Awaitable[None]]) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request or one socket."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        asked = {name.decode("latin-1"): value.decode("latin-1") for name, value in scope["headers"]}
        host, origin = asked.get("host", ""), asked.get("origin")
        foreign = scope["type"] == "websocket" and origin is not None and urlsplit(origin).netloc != host
        if not is_own(host) or foreign:
            await _refuse(scope, send)
        elif scope["type"] == "websocket":
            await self.app(scope, receive, send)
        else:
            await self.app(scope, receive, _with_headers(send, host))


async def _refuse(scope: Scope, send: Send) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008})
        return
    body = b"This address is not one of the app's own names; open it as http://localhost or add server.allowedHosts."
    plain = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": 403, "headers": plain})
    await send({"type": "http.response.body", "body": body})


def _with_headers(send: Send, host: str) -> Send:
    async def sent(message: MutableMapping[str, Any]) -> None:
        if message["type"] == "http.response.start":
            message = {**message, "headers": [*message.get("headers", []), *headers(host)]}
        await send(message)

    return sent


GUARD = (Middleware(Guard),)
