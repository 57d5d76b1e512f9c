"""What every request passes before anything reads it, and what every answer carries.

In this order: the host it names (a name that points here is not enough), its size, how often it comes,
whether a write comes from our own pages, and whether its browser came in. Pure ASGI, so that nothing goes
round it. Where other machines reach the screen, nothing passes without TLS, and whoever comes in is a person.
"""

from __future__ import annotations

import asyncio
import re
import time
from collections.abc import Awaitable, Callable, MutableMapping
from dataclasses import dataclass, field
from typing import Any

from anyio import to_thread

from panelmend.screen.accounts import Accounts
from panelmend.screen.answers import Problem, problem
from panelmend.screen.gate import Gate
from panelmend.screen.identity import set_signed
from panelmend.screen.site import Site, site_here
from panelmend.screen.words import speak

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

READS = frozenset({"GET", "HEAD"})
WRITES = frozenset({"POST", "PUT", "PATCH", "DELETE"})
TOKEN = "panelmend.token"  # where routes find the session's token
OPEN = ("/enter",)  # what needs no session, beside the style
SIGNING_IN = ("/api/sign-in", "/api/enrol")  # what needs none where other machines reach the screen
STATIC = "/static/"
BODY = 256 * 2**10  # [bytes] of a request's body
LARGEST = 32 * 2**20  # [bytes] of a file: a log or a photograph
UPLOAD = "application/octet-stream"
HEARD = re.compile(r"/api/repairs/[^/]+/microphone")  # pieces of sound, as large as any other body
FILES = re.compile(
    r"/api/logs/[^/]+|/api/records/papers|/api/repairs/[^/]+/(steps/\d+/file|deviations/[^/]+/paper|photograph)"
)
ADDRESS = 4096  # [bytes] of path and query
WAITS = 20.0  # [s] for a body
EACH_SECOND, AT_ONCE = 60.0, 240.0  # requests of one browser

CONTENT_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "worker-src 'self'",
        "style-src 'self'",
        "img-src 'self' data: blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    )
)
HEADERS = (
    (b"content-security-policy", CONTENT_POLICY.encode("ascii")),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cross-origin-embedder-policy", b"require-corp"),
    (b"permissions-policy", b"camera=(self), microphone=(self), geolocation=(), payment=(), usb=()"),
    (b"x-frame-options", b"DENY"),
)
STRICT_TRANSPORT = (b"strict-transport-security", b"max-age=31536000")
PEOPLE_MOST = 4000  # senders whose rate is kept


def cookie_name(port: int) -> str:
    """The cookie of the screen of this machine alone at a port."""
    return site_here(port).cookie


@dataclass
class _Bucket:
    left: float = AT_ONCE
    at: float = 0.0


@dataclass
class Guard:
    """The middleware. ``site`` is where the server is bound."""

    app: App
    gate: Gate | Accounts
    site: Site
    clock: Callable[[], float] = time.monotonic
    _buckets: dict[str, _Bucket] = field(default_factory=dict)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request pass, or answer it with why not."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":  # no other kind is served
            await send({"type": "websocket.close", "code": 1008})
            return
        static = scope["path"].startswith(STATIC)
        more = (*HEADERS, STRICT_TRANSPORT) if self.site.secure else HEADERS

        async def sealed(message: MutableMapping[str, Any]) -> None:
            if message["type"] == "http.response.start":
                kept = [(k, v) for k, v in message["headers"] if k not in _OWN]
                cache = b"no-cache" if static and message["status"] in (200, 304) else b"no-store"
                message["headers"] = [*kept, *more, (b"cache-control", cache)]
            await send(message)

        cookies = next((v.decode("latin-1") for k, v in scope["headers"] if k == b"cookie"), "")
        scope[TOKEN] = self.token(cookies)
        speak(_cookie(cookies, "panelmend-language"))
        set_signed(None)
        refused = self._refusal(scope)
        if refused is None and not await self._came_in(scope):
            refused = self._nobody()
            if self.site.secure and asks_for_page(scope):
                from panelmend.screen.page import sign_in_page  # late: pages load the templates

                page = sign_in_page(_cookie(cookies, "panelmend-theme"), refused.status)
                await page(scope, receive, sealed)
                return
        if refused is not None:
            await problem(refused, scope)(scope, receive, sealed)
            return
        if scope["method"] in READS:
            await self.app(scope, receive, sealed)
            return
        try:
            async with asyncio.timeout(WAITS):
                body = await _whole(receive, _most(scope))
        except TimeoutError:
            await problem(Problem(408, "slow", "the request did not come whole in time"), scope)(
                scope, receive, sealed
            )
            return
        if body is None:
            await problem(_too_large(_most(scope)), scope)(scope, receive, sealed)
            return
        await self.app(scope, _Replayed(body, receive), sealed)

    def _refusal(self, scope: Scope) -> Problem | None:
        headers = {k: v.decode("latin-1") for k, v in scope["headers"]}
        host = headers.get(b"host", "")
        if host not in self.site.hosts:
            return Problem(
                421, "host", "this screen answers at its own address only", read=host[:80],
                expected=f"{self.site.names[0]}:{self.site.port}",
            )  # fmt: skip
        if self.site.secure and scope.get("scheme") != "https":  # the server speaks nothing else; see twice
            return Problem(403, "plain", "other machines reach this screen by https alone")
        if len(scope.get("raw_path") or b"") + len(scope.get("query_string", b"")) > ADDRESS:
            return Problem(414, "address", "the address is too long", expected=f"at most {ADDRESS} bytes")
        method = scope["method"]
        if method not in READS and method not in WRITES:
            return Problem(405, "method", "this method is not served", read=method[:20])
        length = headers.get(b"content-length", "0")
        if not length.isdecimal() or int(length) > _most(scope):
            return _too_large(_most(scope))
        if not self._in_time(self._sender(scope)):
            return Problem(429, "rate", "too many requests at once", todo="wait a second and try again")
        if headers.get(b"sec-fetch-site", "same-origin") not in ("same-origin", "none"):
            return Problem(403, "origin", "another page may not use this screen")
        if method in WRITES:
            refused = self._foreign(scope, headers, host)
            if refused is not None:
                return refused
        return None

    async def _came_in(self, scope: Scope) -> bool:
        """Whether a request needs nobody, or comes from who came in; who that is stands in the context."""
        path, token = scope["path"], scope[TOKEN]
        if path.startswith(STATIC):
            return True
        if not isinstance(self.gate, Accounts):
            return path.startswith(OPEN) or (bool(token) and self.gate.knows(token))
        if path in SIGNING_IN:
            return True
        signed = await to_thread.run_sync(self.gate.still, token, scope["method"], path)
        set_signed(signed)
        return signed is not None

    def _nobody(self) -> Problem:
        if self.site.secure:
            return Problem(
                401, "session", "nobody is signed in on this device",
                todo="sign in; what you typed is kept on this device",
            )  # fmt: skip
        return Problem(
            401, "session", "this browser did not come in by the address that was printed at the start",
            todo="open that address; what you typed is kept on this device",
        )  # fmt: skip

    def _sender(self, scope: Scope) -> str:
        """Whose rate a request counts in: a machine's, or on this machine a browser's."""
        token = scope[TOKEN]
        if self.site.secure:
            return str((scope.get("client") or ("?", 0))[0])
        return token[:16] if token else "nobody"

    def _foreign(self, scope: Scope, headers: dict[bytes, str], host: str) -> Problem | None:
        """Why a write may not come from where it comes."""
        if headers.get(b"origin") != f"{self.site.scheme}://{host}":
            return Problem(
                403, "origin", "a write must come from this screen's own pages",
                read=headers.get(b"origin", "no origin")[:80],
            )  # fmt: skip
        kind = headers.get(b"content-type", "").partition(";")[0].strip().lower()
        wanted = UPLOAD if _uploads(scope) else "application/json"
        if kind != wanted:
            return Problem(415, "kind", "a write of another kind", read=kind[:40], expected=wanted)
        return None

    def token(self, cookies: str) -> str:
        """The session's token in a Cookie header; "" for none."""
        return _cookie(cookies, self.site.cookie)

    def _in_time(self, who: str) -> bool:
        now = self.clock()
        if len(self._buckets) > PEOPLE_MOST:
            self._buckets.clear()
        bucket = self._buckets.setdefault(who, _Bucket(at=now))
        bucket.left = min(AT_ONCE, bucket.left + (now - bucket.at) * EACH_SECOND)
        bucket.at = now
        if bucket.left < 1.0:
            return False
        bucket.left -= 1.0
        return True


def asks_for_page(scope: Scope) -> bool:
    """Whether a person's browser asks for a page, and no script for data."""
    accept = next((v for k, v in scope["headers"] if k == b"accept"), b"")
    return scope["method"] == "GET" and b"text/html" in accept and not scope["path"].startswith("/api/")


_OWN = frozenset({name for name, _ in (*HEADERS, STRICT_TRANSPORT)} | {b"cache-control", b"server"})


def _cookie(cookies: str, wanted: str) -> str:
    """The value of one cookie of a Cookie header; "" for none."""
    for part in cookies.split(";"):
        name, _, value = part.strip().partition("=")
        if name == wanted:
            return value[:200]
    return ""


async def _whole(receive: Receive, most: int) -> bytes | None:
    """A request's whole body; None where it is larger than it may be, whatever its length was said to be."""
    parts, size = [], 0
    while True:
        message = await receive()
        if message["type"] != "http.request":
            return b""
        parts.append(message.get("body", b""))
        size += len(parts[-1])
        if size > most:
            return None
        if not message.get("more_body", False):
            return b"".join(parts)


class _Replayed:
    """A body that was read, given once; then what comes after it."""

    def __init__(self, body: bytes, receive: Receive) -> None:
        self._body: bytes | None = body
        self._receive = receive

    async def __call__(self) -> MutableMapping[str, Any]:
        if self._body is None:
            return await self._receive()
        body, self._body = self._body, None
        return {"type": "http.request", "body": body, "more_body": False}


def _uploads(scope: Scope) -> bool:
    """Whether a request brings a file as it is: a form of another page cannot send its kind."""
    return scope["method"] in ("PUT", "POST") and any(p.fullmatch(scope["path"]) for p in (FILES, HEARD))


def _most(scope: Scope) -> int:
    return LARGEST if _uploads(scope) and not HEARD.fullmatch(scope["path"]) else BODY


def _too_large(most: int) -> Problem:
    return Problem(413, "size", "the request is too large", expected=f"at most {most >> 10} KiB")
