"""Who may ask: only this server's own pages, with the key; and what every reply forbids the browser to do."""

from __future__ import annotations

import logging
from typing import Final

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from silhouette.asked.faults import Fault
from silhouette.page.incoming import BROKEN, refusal
from silhouette.page.keys import KEY, Keys

#: Only own files, only own server; nothing inline, no frame, no form, no plug-in.
POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS: Final = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
    "cache-control": "no-store",
}
WITHOUT_KEY: Final = "open the address that was printed when the page was started; it lets this browser in"
_LOG: Final = logging.getLogger(__name__)


class Guard:
    """Stands round the whole application, so that no reply goes out without the headers, a failure's neither.

    Refuses a foreign ``Host`` (a name that was made to point here), a foreign ``Origin`` (another page) and whoever
    lacks the key (another user of this machine).
    """

    def __init__(self, app: ASGIApp, port: int, keys: Keys) -> None:
        self.app = app
        self.keys = keys
        names = ("127.0.0.1", "localhost")
        usual = frozenset(names) if port == 80 else frozenset()  # browsers leave out the port that goes without saying
        self.hosts = frozenset(f"{name}:{port}" for name in names) | usual
        self.origins = frozenset(f"http://{host}" for host in self.hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return
        begun = whole = False

        async def sending(message: Message) -> None:
            nonlocal begun, whole
            if message["type"] == "http.response.start":
                begun = True
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers[name] = value
                if entered:
                    headers["set-cookie"] = self.keys.cookie_header
            await send(message)
            whole = message["type"] == "http.response.body" and not message.get("more_body", False)

        reason = self._foreign(scope)
        entered = not reason and self._enters(scope)
        try:
            if reason:
                await refusal(403, [Fault("request", reason)])(scope, receive, sending)
            elif not entered and not self.keys.knows(Request(scope).cookies.get(self.keys.cookie_name)):
                await _without_key(scope)(scope, receive, sending)
            else:
                await self.app(scope, receive, sending)
        except Exception:
            _LOG.exception("%s %s", scope["method"], scope["path"])
            if not begun:
                await broken()(scope, receive, sending)
            elif not whole:
                raise  # the server breaks the connection off: half a reply must not look whole

    def _enters(self, scope: Scope) -> bool:
        """Does this request come by an address with a key?"""
        if scope["path"] != "/" or scope["method"] != "GET":
            return False
        given = Request(scope).query_params.getlist(KEY)
        return len(given) == 1 and self.keys.lets_in(given[0])

    def _foreign(self, scope: Scope) -> str:
        headers = Headers(scope=scope)
        hosts = headers.getlist("host")
        if len(hosts) != 1 or hosts[0].lower() not in self.hosts:
            return "this page answers only to its own address on this machine"
        if any(origin.lower() not in self.origins for origin in headers.getlist("origin")):
            return "this page takes nothing from other pages"
        came = headers.get("sec-fetch-site", "none")
        if came not in ("none", "same-origin") and (
            scope["path"] != "/" or headers.get("sec-fetch-mode", "navigate") != "navigate"
        ):
            return "this page takes nothing from other pages"
        return ""


def broken() -> Response:
    """The reply when this program itself failed."""
    return refusal(500, [Fault("request", BROKEN)])


def _without_key(scope: Scope) -> Response:
    if scope["path"] == "/":  # read by a person
        return PlainTextResponse(f"{WITHOUT_KEY[0].upper()}{WITHOUT_KEY[1:]}.\n", 403)
    return refusal(403, [Fault("request", WITHOUT_KEY)])
