"""Who may ask: this machine's own address, this start's own token, this page's own origin.

A page of another site can have a browser send requests here; it knows neither the token nor can it
send the cookie (SameSite=Strict), and a name that was made to point at this machine is not one of
ours. Each is checked by itself.
"""

from __future__ import annotations

import hmac
import ipaddress
from collections.abc import MutableMapping
from html import escape
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qsl, urlencode, urlsplit

from hillwright.web.packed import written

Scope = MutableMapping[str, Any]

HEADERS = {
    "content-security-policy": (
        "default-src 'self'; img-src 'self' data: blob:; object-src 'none'; base-uri 'none'; "
        "form-action 'self'; frame-ancestors 'none'"
    ),
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "x-frame-options": "DENY",
}
JSON_LIMIT = 2_000_000  # bytes of a request's body
UPLOAD_LIMIT = 64_000_000
FORM = 200_000  # that a form adds to the files in it
SAFE = ("GET", "HEAD", "OPTIONS")
_SHOWN = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark"><title>Hillwright: not let in</title>
</head>
<body>
<h1>Hillwright does not let this browser in</h1>
<p>{what}.</p>
<p>Right would be: {right}. Nothing that was saved is lost.</p>
</body>
</html>
"""


class TooLarge(Exception):
    """More came than may come."""


class Guard:
    """Wraps the service; see the top of the file.

    Parameters
    ----------
    app : ASGI application
        What is guarded.
    token : str
        That must be shown; "" asks for none.
    hosts : tuple of str
        Names, without a port, that this service is reached by.
    cookie : str
        Name of the cookie that carries the token.
    numbers : bool
        Any address in numbers will do as well: for a service that listens on all of the machine's.
        Only a name can be made to point here from elsewhere.
    """

    def __init__(
        self,
        app: Any,
        token: str,
        hosts: tuple[str, ...],
        cookie: str = "hillwright",
        numbers: bool = False,
    ) -> None:
        self.app, self.token, self.hosts, self.cookie = app, token, hosts, cookie
        self.numbers = numbers

    async def __call__(self, scope: Scope, receive: Any, send: Any) -> None:
        """Answer a request, or refuse it."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = {k.decode("latin-1"): v.decode("latin-1") for k, v in scope["headers"]}
        answer = self._send(scope, send)
        refusal = self._refusal(scope, headers)
        if refusal is not None and _wants_page(scope, headers):
            await _show(answer, *refusal)
            return
        if refusal is not None:
            await _say(answer, *refusal)
            return
        if location := self._shown_in_address(scope):
            cookie = f"{self.cookie}={self.token}; Path=/; HttpOnly; SameSite=Strict"
            cookie += "; Secure" if scope.get("scheme") == "https" else ""
            await _redirect(answer, location, cookie)
            return
        limit = UPLOAD_LIMIT + FORM if _is_upload(headers) else JSON_LIMIT
        await self._within(limit, scope, receive, answer, headers)

    def _refusal(self, scope: Scope, headers: dict[str, str]) -> tuple[int, str, str, str] | None:
        host = headers.get("host", "")
        name = _name_of(host)
        if name not in self.hosts and not (self.numbers and _is_number(name)):
            right = f"open it as {self.hosts[0]}, or start it with --host"
            return 421, "address", f"this service is not called {host[:60]!r}", right
        origin = headers.get("origin")
        foreign = origin is not None and urlsplit(origin).netloc != host
        sites = ("same-origin", "none", None)
        if scope["method"] not in SAFE and (foreign or headers.get("sec-fetch-site") not in sites):
            return (
                403,
                "origin",
                "this came from a page of another site",
                "use Hillwright's own page",
            )
        private = scope["path"].startswith("/api/") or _is_page(scope["path"])
        if private and not self._has_token(scope, headers):
            right = "open the address that `hillwright serve` printed; it holds this start's token"
            return 401, "token", "the token is missing, or of an earlier start", right
        return None

    def _has_token(self, scope: Scope, headers: dict[str, str]) -> bool:
        if not self.token:
            return True
        shown = [self._in_address(scope)]
        kind, _, given = headers.get("authorization", "").partition(" ")
        shown.append(given.strip() if kind.lower() == "bearer" else "")
        try:
            kept = SimpleCookie(headers.get("cookie", "")).get(self.cookie)
        except CookieError:
            kept = None
        shown.append(kept.value if kept else "")
        mine = self.token.encode()
        # each is compared, so that time tells nothing
        return sum(hmac.compare_digest(s.encode(), mine) for s in shown) > 0

    def _in_address(self, scope: Scope) -> str:
        query = dict(parse_qsl(scope["query_string"].decode("latin-1")))
        return str(query.get("token", ""))

    def _shown_in_address(self, scope: Scope) -> str:
        """Give the address without the token, where it came with it: nobody should see it there."""
        if scope["method"] != "GET" or not self._in_address(scope):
            return ""
        if scope["path"].startswith("/api/"):
            return ""
        query = [
            (k, v) for k, v in parse_qsl(scope["query_string"].decode("latin-1")) if k != "token"
        ]
        # a browser reads "//" and "/\\" alike as the start of another site's address
        path = "/" + str(scope["raw_path"].decode("latin-1")).split("?")[0].lstrip("/\\")
        return path + (f"?{urlencode(query)}" if query else "")

    async def _within(
        self, limit: int, scope: Scope, receive: Any, send: Any, headers: dict[str, str]
    ) -> None:
        """Pass the request on, as long as its body is no larger than it may be."""
        said = headers.get("content-length", "0")
        if said.isdigit() and int(said) > limit:
            await _say(send, 413, *_too_large(limit))
            return
        taken, started, told = 0, False, False

        async def counted() -> Any:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > limit:
                raise TooLarge
            return message

        async def noted(message: Any) -> None:
            nonlocal started, told
            if taken > limit and not started:
                # whoever was reading the body may make an answer of its own of it
                if not told:
                    told = True
                    await _say(send, 413, *_too_large(limit))
                return
            started = True
            await send(message)

        try:
            await self.app(scope, counted, noted)
        except TooLarge:
            await noted({"type": "http.response.start"})

    def _send(self, scope: Scope, send: Any) -> Any:
        async def with_headers(message: Any) -> None:
            if message["type"] == "http.response.start":
                given = list(message.get("headers", []))
                there = {name.lower() for name, _ in given}
                more = {**HEADERS, "cache-control": "no-store"}
                given += [
                    (name.encode(), value.encode())
                    for name, value in more.items()
                    if name.encode() not in there
                ]
                message = {**message, "headers": given}
            await send(message)

        return with_headers


def _name_of(host: str) -> str:
    """Give the name of a host header without its port."""
    if host.startswith("["):
        return host.partition("]")[0] + "]"
    return host.partition(":")[0].lower()


def _is_number(name: str) -> bool:
    """Tell an address in numbers from a name."""
    try:
        ipaddress.ip_address(name.strip("[]"))
    except ValueError:
        return False
    return True


def _is_page(path: str) -> bool:
    """Tell the page itself from its files, which hold nothing of anybody."""
    last = path.rsplit("/", 1)[-1]
    return "." not in last or last.endswith(".html")


def _wants_page(scope: Scope, headers: dict[str, str]) -> bool:
    """Tell a person in front of a browser from a program."""
    page = scope["method"] == "GET" and not scope["path"].startswith("/api/")
    return page and "text/html" in headers.get("accept", "")


def _is_upload(headers: dict[str, str]) -> bool:
    return headers.get("content-type", "").lower().startswith("multipart/form-data")


def _too_large(limit: int) -> tuple[str, str, str]:
    what = f"is larger than {limit // 1_000_000} MB"
    return "upload", what, "cut the survey down to the hillside; nothing was kept"


async def _say(send: Any, status: int, where: str, what: str, right: str) -> None:
    body = written({"problems": [{"where": where, "what": what, "right": right}]})
    await _answer(send, status, body, b"application/json")


async def _show(send: Any, status: int, where: str, what: str, right: str) -> None:
    """Say the same to a person; without a style, as the policy wants none inside a page."""
    body = _SHOWN.format(what=escape(f"{where}: {what}"), right=escape(right)).encode()
    await _answer(send, status, body, b"text/html; charset=utf-8")


async def _answer(send: Any, status: int, body: bytes, kind: bytes) -> None:
    headers = [(b"content-type", kind), (b"content-length", str(len(body)).encode())]
    if status == 413:
        headers.append((b"connection", b"close"))
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})


async def _redirect(send: Any, location: str, cookie: str) -> None:
    headers = [(b"location", location.encode("latin-1")), (b"set-cookie", cookie.encode())]
    await send({"type": "http.response.start", "status": 303, "headers": headers})
    await send({"type": "http.response.body", "body": b""})
