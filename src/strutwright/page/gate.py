"""Who may speak to the page: browsers on this machine that were shown it, by its own address, and in small words."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any, TypeAlias
from urllib.parse import urlsplit

MOST_BODY = 2 * 1024 * 1024
"""Bytes that one request may bring."""
LOOPBACK = ("127.0.0.1", "localhost", "[::1]")
_HEADERS = (
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"SAMEORIGIN"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
)
Scope: TypeAlias = MutableMapping[str, Any]
Message: TypeAlias = MutableMapping[str, Any]
Receive: TypeAlias = Callable[[], Awaitable[Message]]
Send: TypeAlias = Callable[[Message], Awaitable[None]]
App: TypeAlias = Callable[[Scope, Receive, Send], Awaitable[None]]


class Gate:
    """An ASGI layer that refuses what does not come from a page of this server. A name that a foreign site lets point
    here, or a foreign page that opens a connection, fails by its Host or Origin."""

    def __init__(self, app: App, port: int) -> None:
        self.app, self.port = app, port

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        why = self.refused(scope)
        if why and scope["type"] == "websocket":
            await receive()
            await send({"type": "websocket.close", "code": 1008, "reason": why})
        elif why:
            await _refuse(send, 413 if "bytes" in why else 403, why)
        else:
            await self.app(scope, _counted(receive) if scope["type"] == "http" else receive, _marked(send))

    def refused(self, scope: Scope) -> str:
        """Return why a request is refused, "" for one that is not."""
        headers = {name.lower(): value.decode("latin-1") for name, value in scope["headers"]}
        if not self.own(headers.get(b"host", "")):
            return "this page is for browsers on this machine only"
        origin = headers.get(b"origin")
        if origin is not None and not (urlsplit(origin).scheme == "http" and self.own(urlsplit(origin).netloc)):
            return "another page may not speak to this one"
        if headers.get(b"sec-fetch-site", "same-origin") == "cross-site" and scope.get("method") != "GET":
            return "another page may not speak to this one"
        long = headers.get(b"content-length", "0")
        if not long.isdigit() or int(long) > MOST_BODY:
            return f"more than {MOST_BODY} bytes at once"
        return ""

    def own(self, place: str) -> bool:
        """Return whether a host and port are this server's own."""
        host, _, port = place.rpartition(":")
        return host in LOOPBACK and port == str(self.port)


def _counted(receive: Receive) -> Receive:
    """What a request brings, which may not grow beyond what it said."""
    seen = 0

    async def counted() -> Message:
        nonlocal seen
        message = await receive()
        seen += len(message.get("body", b""))
        if seen > MOST_BODY:
            return {"type": "http.disconnect"}
        return message

    return counted


def _marked(send: Send) -> Send:
    async def marked(message: Message) -> None:
        if message["type"] == "http.response.start":
            message["headers"] = [*message.get("headers", []), *_HEADERS]
        await send(message)

    return marked


async def _refuse(send: Send, status: int, why: str) -> None:
    body = why.encode()
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
