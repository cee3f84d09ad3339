"""Who may ask: only pages of this server, on this machine; and what every reply forbids the browser to do."""

from __future__ import annotations

from typing import Final

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from silhouette.asked.faults import Fault
from silhouette.page.incoming import refusal

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


class Guard:
    """Refuses a foreign ``Host`` (a name that was made to point here) and a foreign ``Origin`` (another page)."""

    def __init__(self, app: ASGIApp, port: int) -> None:
        self.app = app
        self.hosts = frozenset(f"{name}:{port}" for name in ("127.0.0.1", "localhost"))
        self.origins = frozenset(f"http://{host}" for host in self.hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return
        reason = self._foreign(scope)
        if reason:
            await refusal(403, [Fault("request", reason)])(scope, receive, _with_headers(send))
            return
        await self.app(scope, receive, _with_headers(send))

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


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers[name] = value
        await send(message)

    return sending
