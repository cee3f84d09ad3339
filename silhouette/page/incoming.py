"""What a browser may send: bounded JSON bodies, and the one shape every refusal has."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any, Final, NoReturn

from starlette.requests import Request
from starlette.responses import JSONResponse

from silhouette.asked.faults import Fault

LARGEST_BODY: Final = 1_000_000  #: bytes
MOST_FAULTS: Final = 50  #: listed in one reply; this tool's convention
#: What is said of a failure of this program itself.
BROKEN: Final = "went wrong inside this program; the page's log, if it was started with one, says where"
LONGEST_PLACE: Final = 160
LONGEST_MESSAGE: Final = 600


class Refused(Exception):
    """A request that is not carried out: a status of the 400 kind and every reason."""

    def __init__(self, status: int, faults: Iterable[Fault], **more: Any) -> None:
        self.status = status
        self.faults = tuple(faults)
        self.more = more
        super().__init__("\n".join(map(str, self.faults)))


def refusal(status: int, faults: Iterable[Fault], **more: Any) -> JSONResponse:
    """The reply to a refused request: ``{"faults": [{"place", "message"}], …}``.

    Short whatever was sent: at most ``MOST_FAULTS`` faults, then how many more there are, and no endless words.
    """
    every = list(faults)
    shown = every[:MOST_FAULTS]
    if len(every) > len(shown):
        shown.append(Fault("sheet", f"and {len(every) - len(shown)} more faults"))
    listed = [{"place": _short(f.place, LONGEST_PLACE), "message": _short(f.message, LONGEST_MESSAGE)} for f in shown]
    return JSONResponse({"faults": listed, **more}, status_code=status)


async def json_body(request: Request) -> dict[str, Any]:
    """The body as a JSON object. Raises :class:`Refused`: 415 other type, 413 too long, 400 not such JSON."""
    kind = request.headers.get("content-type", "").split(";")[0].strip().lower()
    if kind != "application/json":
        raise Refused(415, [Fault("request", "must be application/json")])
    too_long = Refused(413, [Fault("request", "larger than 1 MB; a sheet is a page of text")])
    announced = request.headers.get("content-length", "0")
    if not announced.isascii() or not announced.isdigit() or len(announced) > 12 or int(announced) > LARGEST_BODY:
        raise too_long
    raw = bytearray()
    async for chunk in request.stream():
        raw += chunk
        if len(raw) > LARGEST_BODY:
            raise too_long
    try:
        body = json.loads(raw.decode("utf-8"), parse_constant=_not_a_number)
    except (ValueError, RecursionError) as error:
        reason = "too deeply nested" if isinstance(error, RecursionError) else str(error)
        raise Refused(400, [Fault("request", f"not valid JSON: {reason}")]) from error
    if not isinstance(body, dict):
        raise Refused(400, [Fault("request", "must be a JSON object")])
    return body


def sheet_in(body: Mapping[str, Any]) -> Mapping[str, Any]:
    """The nested plain values under ``sheet``."""
    plain = body.get("sheet")
    if not isinstance(plain, Mapping):
        raise Refused(422, [Fault("sheet", "must be a table of sections, as in a sheet file")])
    return plain


def _short(text: str, most: int) -> str:
    sendable = text[:most].encode("utf-8", "replace").decode()  # half a surrogate pair cannot be sent
    return sendable if len(text) <= most else f"{sendable[:-1]}…"


def _not_a_number(word: str) -> NoReturn:
    raise ValueError(f"{word} is not a finite number")
