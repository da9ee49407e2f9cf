"""Who may talk to the page: this browser, on this address, and nobody through it.

A page on the loopback address can be reached by every program of the machine and, through the browser, by
every site that is open in it. So: a secret in the opening address that becomes a cookie, checks of Host and
Origin against other sites and rebound names, bounded bodies, and headers that let the page run its own
script only.
"""

from __future__ import annotations

import hmac
import secrets
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, RedirectResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

MAX_BODY = 64 * 1024
OPENING = "/open"

_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; media-src 'self'; "
        "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    # Not "no-referrer": that would blank the Origin of the page's own forms, which is checked here.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}


class Guard:
    """ASGI middleware; `hosts` are the values of Host under which the page may be asked for."""

    def __init__(self, app: ASGIApp, *, hosts: frozenset[str]) -> None:
        self.app = app
        self.secret = secrets.token_urlsafe(32)
        self._hosts = hosts
        self._ticket = secrets.token_urlsafe(32)
        # Cookies know no ports: without this, two cases reviewed at once would log each other out.
        self._cookie = f"benchtalk-{secrets.token_hex(4)}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it in words."""
        if scope["type"] == "lifespan":
            return await self.app(scope, receive, send)
        if scope["type"] != "http":
            return None
        headers = Headers(scope=scope)
        refusal = self._refusal(scope, headers)
        if refusal is not None:
            return await PlainTextResponse(refusal[1] + "\n", refusal[0], dict(_HEADERS))(scope, receive, send)
        if scope["path"] == OPENING:
            response = RedirectResponse("/", 303, dict(_HEADERS))
            response.set_cookie(self._cookie, self._ticket, httponly=True, samesite="strict", path="/")
            return await response(scope, receive, send)

        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                out = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    out[name] = value
                out.setdefault("Cache-Control", "no-store")
            await send(message)

        return await self.app(scope, self._bounded(receive), send_guarded)

    def _refusal(self, scope: Scope, headers: Headers) -> tuple[int, str] | None:
        if headers.get("host", "").lower() not in self._hosts:
            return 421, "This page answers only on the address that it was opened on."
        origin = headers.get("origin")
        if origin is not None and origin.lower() not in {f"http://{host}" for host in self._hosts}:
            return 403, "Requests from other sites are refused."
        if scope["method"] not in ("GET", "HEAD", "POST"):
            return 405, "Not a request that this page knows."
        if scope["method"] == "POST":
            if origin is None:
                return 403, "Requests without an origin are refused."
            length = headers.get("content-length", "")
            if not length.isdecimal() or int(length) > MAX_BODY:
                return 413, "That is more than a decision needs."
        if headers.get("sec-fetch-site", "none") not in ("none", "same-origin") and scope["path"] != OPENING:
            return 403, "Requests from other sites are refused."
        if scope["path"] == OPENING:
            given = parse_qs(scope["query_string"].decode("latin-1")).get("key", [""])[0]
            return None if _same(given, self.secret) else (403, "Open the page with the address that was printed.")
        if not _same(self._given(headers), self._ticket):
            return 403, "Open the page with the address that was printed."
        return None

    def _given(self, headers: Headers) -> str:
        try:
            cookie = SimpleCookie(headers.get("cookie", "")).get(self._cookie)
        except CookieError:
            return ""
        return cookie.value if cookie else ""

    def _bounded(self, receive: Receive) -> Receive:
        taken = 0

        async def bounded() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            return message if taken <= MAX_BODY else {"type": "http.disconnect"}

        return bounded


def _same(given: str, wanted: str) -> bool:
    return hmac.compare_digest(given.encode(), wanted.encode())
