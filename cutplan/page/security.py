"""Who may speak with the page: only the browser that was given the secret, from the page's own address."""

from __future__ import annotations

import contextlib
import hmac
import json
from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qs

from cutplan.texts import Message, Reader, say

Scope = MutableMapping[str, Any]
Event = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Event]]
Send = Callable[[Event], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

#: Largest body of a request [bytes]: a drawing may have 64 MiB, all else one.
LARGEST_UPLOAD, LARGEST_REQUEST = 64 * 1024 * 1024 + 65536, 1024 * 1024
#: Nothing is loaded from elsewhere, nothing inline runs, no other page may frame this one.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; "
    "form-action 'none'; base-uri 'none'; frame-ancestors 'none'"
)
_HEADERS = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cache-control", b"no-store"),
)
_OPEN_PATH = "/open"
_SAFE = ("GET", "HEAD")


class Refused(Exception):
    """A request that is not answered, with its status and the reason in words."""

    def __init__(self, status: int, reason: Message) -> None:
        super().__init__(reason)
        self.status, self.reason = status, reason


class Guard:
    """The outermost layer of the page: checks host, origin, secret and size before anything else looks at a request.

    Parameters
    ----------
    app : callable
        The page itself.
    secret : str
        What the address carries; the browser keeps it in a cookie of this site alone.
    port : int
        Port of the page; only loopback names with this port are answered.
    uploads : iterable of str
        Paths that take a file.
    """

    def __init__(self, app: App, secret: str, port: int, uploads: Iterable[str] = ()) -> None:
        self.app = app
        self.secret = secret
        self.cookie = f"cutplan_{port}"
        self.hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}
        self.uploads = frozenset(uploads)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or refuse it in words."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        try:
            headers = _headers(scope)
            self._check_place(scope, headers)
            if scope["path"] == _OPEN_PATH:
                await self._open(scope, send)
                return
            self._check_secret(headers)
            limit = self._limit(scope, headers)
        except Refused as refused:
            await _refuse(scope, send, refused)
            return
        taken = 0
        refused_late: Refused | None = None

        async def limited() -> Event:
            nonlocal taken, refused_late
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > limit:
                refused_late = Refused(413, _too_large(limit))
                raise refused_late
            return message

        async def hardened(message: Event) -> None:
            if refused_late is not None:
                return
            if message["type"] == "http.response.start":
                names = {name for name, _ in message.get("headers", ())}
                extra = [h for h in _HEADERS if h[0] not in names]
                if b"content-security-policy" not in names:
                    extra.append((b"content-security-policy", POLICY.encode()))
                message = {**message, "headers": [*message.get("headers", ()), *extra]}
            await send(message)

        with contextlib.suppress(Refused):
            await self.app(scope, limited, hardened)
        if refused_late is not None:
            await _refuse(scope, send, refused_late)

    def _check_place(self, scope: Scope, headers: dict[str, list[str]]) -> None:
        hosts = headers.get("host", [])
        if len(hosts) != 1 or hosts[0].lower() not in self.hosts:
            raise Refused(421, say("this address is not the page's own: open the one that cutplan printed"))
        origins = headers.get("origin", [])
        if len(origins) > 1 or (origins and origins[0] != f"http://{hosts[0]}"):
            raise Refused(403, say("another site asked: only the page itself may"))
        if scope["method"] not in _SAFE and not origins:
            raise Refused(403, say("nobody says where this request comes from: only the page itself may ask"))
        site = headers.get("sec-fetch-site", ["none"])[0]
        top = headers.get("sec-fetch-mode", [""])[0] == "navigate" and scope["path"] in ("/", _OPEN_PATH)
        if site not in ("same-origin", "none") and not (top and scope["method"] == "GET"):
            raise Refused(403, say("another site asked: only the page itself may"))

    def _check_secret(self, headers: dict[str, list[str]]) -> None:
        given = ""
        for line in headers.get("cookie", []):
            try:
                morsel = SimpleCookie(line).get(self.cookie)
            except CookieError:
                continue
            given = morsel.value if morsel else given
        if not hmac.compare_digest(given.encode(), self.secret.encode()):
            raise Refused(403, say("the secret is missing: open the page by the whole address that cutplan printed"))

    def _limit(self, scope: Scope, headers: dict[str, list[str]]) -> int:
        limit = LARGEST_UPLOAD if scope["path"] in self.uploads else LARGEST_REQUEST
        length = headers.get("content-length", ["0"])[0]
        if not length.isdigit():
            raise Refused(400, say("the length of the request is no number"))
        if int(length) > limit:
            raise Refused(413, _too_large(limit))
        return limit

    async def _open(self, scope: Scope, send: Send) -> None:
        """Take the secret out of the address into a cookie, so that it shows nowhere again."""
        key = parse_qs(scope.get("query_string", b"").decode("latin-1")).get("key", [""])[0]
        if scope["method"] not in _SAFE or not hmac.compare_digest(key.encode(), self.secret.encode()):
            await _refuse(
                scope, send, Refused(403, say("the secret in the address is not this page's: open the address again"))
            )
            return
        cookie = f"{self.cookie}={self.secret}; Path=/; HttpOnly; SameSite=Strict"
        headers = [(b"location", b"/"), (b"set-cookie", cookie.encode()), (b"content-length", b"0"), *_HEADERS]
        await send({"type": "http.response.start", "status": 303, "headers": headers})
        await send({"type": "http.response.body", "body": b""})


def _headers(scope: Scope) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, value in scope["headers"]:
        found.setdefault(name.decode("latin-1").lower(), []).append(value.decode("latin-1"))
    return found


def _too_large(limit: int) -> Message:
    return say("the request is larger than {size} MiB", size=limit // 2**20)


async def _refuse(scope: Scope, send: Send, refused: Refused) -> None:
    wanted = _headers(scope).get("accept-language", ["en"])[0].lower()
    reader = Reader("de" if wanted.startswith("de") else "en")
    body = json.dumps({"error": {"message": reader(refused.reason), "where": "", "try": ""}}).encode()
    headers = [
        (b"content-type", b"application/json; charset=utf-8"),
        (b"content-length", str(len(body)).encode()),
        (b"content-security-policy", POLICY.encode()),
        (b"connection", b"close"),
        *_HEADERS,
    ]
    await send({"type": "http.response.start", "status": refused.status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
