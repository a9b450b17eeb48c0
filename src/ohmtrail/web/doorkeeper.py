"""Who may come in: devices that were invited, from this address, with requests that our own pages make."""

from __future__ import annotations

import secrets
import threading
from collections.abc import Callable, Iterable
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qs, urlencode

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["PAGE_POLICY", "PAPER_POLICY", "Doorkeeper"]

#: what our own pages may load: files of this server and nothing written into the page
PAGE_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self' data:; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
#: a paper carries its style and fonts in itself, and no script
PAPER_POLICY = "default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data:; base-uri 'none'; frame-ancestors 'none'"
_HEADERS = {
    "content-security-policy": PAGE_POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
#: a request is a line of text and a few words; own choice
MOST_BYTES = 20_000
_KEY, _COOKIE = "key", "ohmtrail"


class Doorkeeper:
    """Stands before the page and lets in only what may come in.

    Parameters
    ----------
    app : ASGI application
        The page.
    hosts : iterable of str
        ``host:port`` under which the page is reached.
    invited : callable
        Called with a new key whenever the last one was used up, so that a further device can be let in.
    """

    def __init__(self, app: ASGIApp, hosts: Iterable[str], invited: Callable[[str], None] | None = None) -> None:
        self._app, self._invited = app, invited
        self._hosts = frozenset(item.casefold() for item in hosts)
        self._lock = threading.Lock()
        self._devices: set[str] = set()
        self.key = secrets.token_urlsafe(24)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or refuse it."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        headers = Headers(scope=scope)
        refused = self._refused(scope, headers) or self._at_the_door(scope, headers)
        if refused is not None:
            await refused(scope, receive, _with_headers(send))
            return
        await self._app(scope, _limited(receive), _with_headers(send))

    def _refused(self, scope: Scope, headers: Headers) -> Response | None:
        """Requests that none of our pages makes."""
        if headers.get("host", "").casefold() not in self._hosts:
            return PlainTextResponse("This page is not served under that name.\n", 421)
        if scope["method"] not in ("GET", "HEAD", "POST"):
            return PlainTextResponse("Not allowed.\n", 405)
        if not scope["query_string"].isascii():
            return PlainTextResponse("The address holds signs that must be written with per cent signs.\n", 400)
        # every one that is said counts: who says two is none of our pages
        origins, sites = headers.getlist("origin"), headers.getlist("sec-fetch-site")
        foreign = any(item.casefold() != f"http://{headers['host'].casefold()}" for item in origins)
        if foreign or {"cross-site", "same-site"} & set(sites):
            return PlainTextResponse("Requests from other pages are refused.\n", 403)
        if scope["method"] == "POST" and not origins and not sites:
            return PlainTextResponse("A request that changes something must say where it comes from.\n", 403)
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > MOST_BYTES:
            return PlainTextResponse("Too long.\n", 413)
        return None

    def _at_the_door(self, scope: Scope, headers: Headers) -> Response | None:
        """A device that was let in before, or one that brings the key; the key lets in one device."""
        if _cookie(headers) in self._devices:
            return None
        asked = parse_qs(scope["query_string"].decode("latin-1"))
        given = asked.pop(_KEY, [""])[0]
        if scope["method"] != "GET" or not self._used_up(given):
            return PlainTextResponse("Open the address that the terminal shows, or scan its code: each lets in one phone or browser.\n", 403)
        device = secrets.token_urlsafe(24)
        self._devices.add(device)
        rest = urlencode(asked, doseq=True)
        answer = RedirectResponse(f"{scope['path']}?{rest}" if rest else scope["path"], 303)
        answer.set_cookie(_COOKIE, device, httponly=True, samesite="strict", path="/")
        return answer

    def _used_up(self, given: str) -> bool:
        """Take a key in, once; the next one is another."""
        with self._lock:
            if not secrets.compare_digest(given.encode(), self.key.encode()):
                return False
            self.key = secrets.token_urlsafe(24)
        if self._invited is not None:
            self._invited(self.key)
        return True


def _cookie(headers: Headers) -> str:
    try:
        found = SimpleCookie(headers.get("cookie", "")).get(_COOKIE)
    except CookieError:
        return ""
    return found.value if found is not None else ""


def _with_headers(send: Send) -> Send:
    """Send with the headers that every answer has; an answer's own come first."""

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return sending


def _limited(receive: Receive) -> Receive:
    """Receive at most so many bytes, whatever the length was said to be."""
    left = MOST_BYTES

    async def receiving() -> Message:
        nonlocal left
        message = await receive()
        left -= len(message.get("body", b""))
        return message if left >= 0 else {"type": "http.disconnect"}

    return receiving
