"""What every answer and every request is held to, whatever the page.

- `HEADERS`: the content policy (nothing inline, nothing from elsewhere) and its like
- `Guard`: refuses foreign hosts, forms of other sites and bodies that are too large
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any
from urllib.parse import urlsplit

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

HEADERS = {
    "content-security-policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
        "font-src 'self'; connect-src 'self'; form-action 'self'; object-src 'none'; "
        "base-uri 'none'; frame-ancestors 'none'"
    ),
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
}
MOST_BYTES = 1_200_000
"""Largest body of a request: an order file may have a million bytes."""
_SAFE = ("GET", "HEAD")
_HOSTS = ("127.0.0.1", "localhost", "[::1]")


class Guard:
    """Stands before the pages. Asks for this machine's own name, and forms of our own pages."""

    def __init__(self, app: App) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it with a sentence; headers go on every answer."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                raw = message.setdefault("headers", [])
                raw += [(name.encode(), text.encode()) for name, text in HEADERS.items()]
            await send(message)

        headers = {name.decode("latin-1"): text.decode("latin-1")
                   for name, text in scope["headers"]}  # fmt: skip
        refused = _refused(scope["method"], headers)
        if refused:
            await _answer(with_headers, *refused)
            return
        await self.app(scope, _counted(receive), with_headers)


def _refused(method: str, headers: dict[str, str]) -> tuple[int, str] | None:
    """Status and sentence of a request that is not taken."""
    host = headers.get("host", "")
    name = host if host.endswith("]") else host.rpartition(":")[0] or host
    if name not in _HOSTS:
        return 421, "this server answers to 127.0.0.1 and localhost only"
    if int(headers.get("content-length") or 0) > MOST_BYTES:
        return 413, f"more than {MOST_BYTES // 1000} kB are not taken"
    if method not in _SAFE and not _own_page(headers, host):
        return 403, "a form is taken from a page of this server only"
    return None


def _own_page(headers: dict[str, str], host: str) -> bool:
    """Whether a form comes from a page of ours: as the browser says, or by its origin."""
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site in ("same-origin", "none")
    return urlsplit(headers.get("origin", "")).netloc == host


def _counted(receive: Receive) -> Receive:
    """The body as it comes, cut off where it grows beyond what it said or may have."""
    taken = 0

    async def counted() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > MOST_BYTES:
            return {"type": "http.disconnect"}
        return message

    return counted


async def _answer(send: Send, status: int, text: str) -> None:
    body = text.encode()
    headers = [(b"content-type", b"text/plain; charset=utf-8"),
               (b"content-length", str(len(body)).encode())]  # fmt: skip
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
