"""The routes. Every one reads a JSON body, asks the rooms below and sends back what they say; nothing is kept here."""

from __future__ import annotations

import gzip
import tomllib
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import replace
from importlib import resources
from pathlib import Path
from typing import Any, Final

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response, StreamingResponse
from starlette.routing import Route
from starlette.types import ASGIApp

from silhouette.asked.faults import Fault, OutputError, SheetError
from silhouette.asked.reading import DEMO, from_plain, sheet_text
from silhouette.asked.writing import starter_sheet
from silhouette.judged.limits import stock
from silhouette.page import fittings, templates_job
from silhouette.page.answers import SHOWN, all_advice, answer, controls, preview_for
from silhouette.page.buying import foam_words_for
from silhouette.page.clients_folder import Folder, Kept
from silhouette.page.guard import Guard, broken
from silhouette.page.handover import handover_html, static_text
from silhouette.page.incoming import Refused, json_body, refusal, sheet_in
from silhouette.page.keys import Keys
from silhouette.page.proposal import proposal
from silhouette.page.sweep_job import Sweeps, axes_in
from silhouette.shape.figure import Figure

WORTH_PACKING: Final = 48_000  #: bytes of an answer from which on it is packed
Body = Mapping[str, Any]
Answering = Callable[[Body], Awaitable[Response]]  #: what a path does with the body that was sent to it
_KINDS: Final = {"html": "text/html", "css": "text/css", "js": "text/javascript", "svg": "image/svg+xml"}


def page_app(root: Path, port: int, keys: Keys) -> ASGIApp:
    """The application for one clients' folder, answering on one port of this machine to whoever has a key."""
    folder = Folder(root)
    page = _files()
    answering = {
        **_at_the_desk(root),
        **_in_the_book(folder),
        **_at_fittings(folder),
        **_leaving_the_page(root),
    }
    app = Starlette(
        routes=[
            Route("/", page),
            Route("/page/{name}", page),
            Route("/paper/{name}/{file}", _papers(root)),
            *(Route(path, _with_body(answers), methods=["POST"]) for path, answers in answering.items()),
        ],
        exception_handlers={
            Refused: _refused,
            SheetError: _faulty,
            OutputError: _unwritten,
            HTTPException: _not_found,
            Exception: _failed,
        },
    )
    return Guard(app, port, keys)


def _files() -> Callable[[Request], Awaitable[Response]]:
    """The static files, packed once."""
    files = {entry.name: static_text(entry.name) for entry in resources.files(__package__).joinpath("static").iterdir()}
    packed = {name: gzip.compress(text.encode("utf-8"), mtime=0) for name, text in files.items()}

    async def page(request: Request) -> Response:
        name = request.path_params.get("name", "index.html")
        if name not in files or (name == "index.html" and "name" in request.path_params):
            return refusal(404, [Fault(request.url.path[:80], "no such page")])
        kind = _KINDS[name.rsplit(".", 1)[1]]
        if "gzip" in request.headers.get("accept-encoding", ""):
            headers = {"Content-Encoding": "gzip", "Vary": "Accept-Encoding"}
            return Response(packed[name], media_type=kind, headers=headers)
        return Response(files[name], media_type=kind)

    return page


def _papers(root: Path) -> Callable[[Request], Awaitable[Response]]:
    """Templates that were written, as links that open."""

    async def paper(request: Request) -> Response:
        place = templates_job.written(root, request.path_params["name"], request.path_params["file"])
        return FileResponse(place, content_disposition_type="inline", filename=place.name)

    return paper


def _at_the_desk(root: Path) -> dict[str, Answering]:
    """What the page asks while a client lies on the table."""
    sweeps = Sweeps()

    async def start(body: Body) -> Response:
        return JSONResponse(
            {
                "controls": controls(),
                "folder": str(root.resolve()),
                "demo": tomllib.loads(sheet_text(DEMO)),
                "fresh": {unit: _fresh(unit) for unit in ("in", "cm")},
                "stock": {unit: stock(unit) for unit in ("in", "cm")},
            }
        )

    async def proposed(body: Body) -> Response:
        show = body.get("show")
        laid = await run_in_threadpool(proposal, from_plain(sheet_in(body), root), show if show in SHOWN else None)
        return JSONResponse({"changes": dict(laid.changes), "words": laid.words})

    async def buying(body: Body) -> Response:
        sheet, show = from_plain(sheet_in(body), root), body.get("show")
        unit = show if show in SHOWN else sheet.unit
        return JSONResponse({"words": await run_in_threadpool(foam_words_for, replace(sheet, unit=unit))})

    async def advised(body: Body) -> Response:
        return JSONResponse(all_advice(preview_for(sheet_in(body), body.get("show"), root)))

    async def mapped(body: Body) -> Response:
        lines = sweeps.lines(from_plain(sheet_in(body), root), *axes_in(body))
        return StreamingResponse(lines, media_type="application/x-ndjson")

    return {
        "/start": start,
        "/preview": _looking(root),
        "/advice": advised,
        "/propose": proposed,
        "/buying": buying,
        "/map": mapped,
    }


def _looking(root: Path) -> Answering:
    """The picture and the numbers of a sheet; what the next step of a moving control leaves alone is borrowed."""
    last: list[Figure] = []

    async def look(body: Body) -> Response:
        moving = body.get("moving") is True
        like = last[0] if moving and last else None

        def described_of() -> bytes:
            result = preview_for(sheet_in(body), body.get("show"), root, like=like, advice=not moving)
            last[:] = [result.figure]
            return answer(result, body.get("have"), moving=moving)

        try:
            # advice takes its time: whatever is moved meanwhile is answered beside it
            texts = described_of() if moving else await run_in_threadpool(described_of)
        except SheetError:
            if body.get("coming") is not True:
                raise
            return Response(status_code=204)  # a control may come to it, nobody has wished for it yet
        if len(texts) < WORTH_PACKING:
            return Response(texts, media_type="application/octet-stream")
        headers = {"Content-Encoding": "gzip"}  # every browser takes it, and on this machine nobody else asks
        return Response(gzip.compress(texts, 1, mtime=0), media_type="application/octet-stream", headers=headers)

    return look


def _in_the_book(folder: Folder) -> dict[str, Answering]:
    """Clients listed, opened, saved, copied, renamed and deleted, and what they were before."""

    async def listing(body: Body) -> Response:
        return JSONResponse({"clients": folder.listing(), "gone": folder.gone()})

    async def copied(body: Body) -> Response:
        return JSONResponse({"name": folder.copy(body.get("name"), body.get("to")).name})

    async def renamed(body: Body) -> Response:
        return JSONResponse({"name": folder.rename(body.get("name"), body.get("to")).name})

    async def removed(body: Body) -> Response:
        folder.remove(body.get("name"))
        return JSONResponse({})

    async def opened(body: Body) -> Response:
        return JSONResponse(_described(folder, folder.read(body.get("name"))))

    async def saved(body: Body) -> Response:
        kept = folder.save(body.get("name"), sheet_in(body), body.get("base"), body.get("variants"))
        return JSONResponse(_described(folder, kept))

    async def mark(body: Body) -> Response:
        return JSONResponse({"mark": folder.read(body.get("name")).mark})

    async def earlier(body: Body) -> Response:
        if "version" in body:
            return JSONResponse({"sheet": _plain(folder.read_earlier(body.get("name"), body["version"]))})
        return JSONResponse({"versions": folder.earlier(body.get("name"))})

    return {
        "/clients": listing,
        "/clients/copy": copied,
        "/clients/rename": renamed,
        "/clients/remove": removed,
        "/clients/open": opened,
        "/clients/save": saved,
        "/clients/mark": mark,
        "/clients/earlier": earlier,
    }


def _at_fittings(folder: Folder) -> dict[str, Answering]:
    """Fittings listed, recorded and taken back."""

    async def fitted(body: Body) -> Response:
        return JSONResponse(await run_in_threadpool(fittings.listed, folder, body))

    async def fitting(body: Body) -> Response:
        kept, said = await run_in_threadpool(fittings.record, folder, body)
        return JSONResponse({"mark": kept.mark, **said})

    async def unfitted(body: Body) -> Response:
        kept = await run_in_threadpool(fittings.take_back, folder, body)
        return JSONResponse({"mark": kept.mark})

    return {"/fittings": fitted, "/fittings/record": fitting, "/fittings/take-back": unfitted}


def _leaving_the_page(root: Path) -> dict[str, Answering]:
    """What she takes home, and the cutting templates."""

    async def handover(body: Body) -> Response:
        result = preview_for(sheet_in(body), body.get("show"), root)
        return Response(await run_in_threadpool(handover_html, result), media_type="text/html")

    async def cut(body: Body) -> Response:
        result = preview_for(sheet_in(body), None, root)
        job = await run_in_threadpool(templates_job.start, result, root, body.get("name"))
        return StreamingResponse(job, media_type="application/x-ndjson")

    return {"/handover": handover, "/templates": cut}


def _with_body(answers: Answering) -> Callable[[Request], Awaitable[Response]]:
    async def endpoint(request: Request) -> Response:
        return await answers(await json_body(request))

    return endpoint


def _described(folder: Folder, kept: Kept) -> dict[str, Any]:
    return {"name": kept.name, "mark": kept.mark, "sheet": _plain(kept), "variants": folder.variants(kept.name)}


def _plain(kept: Kept) -> dict[str, Any]:
    """Values as JSON can carry them: dates become text, and a record table is left to the file."""
    return {key: _textual(value) for key, value in kept.plain.items()}


def _textual(value: Any) -> Any:
    if isinstance(value, dict):
        return {k: _textual(v) for k, v in value.items()}
    if isinstance(value, list):
        return [_textual(v) for v in value]
    if isinstance(value, float) and value - value != 0:  # TOML knows inf and nan, JSON does not
        return str(value)
    return value if isinstance(value, str | int | float | bool) or value is None else str(value)


def _fresh(unit: str) -> dict[str, Any]:
    """A starter sheet without a reading: what a new client begins with."""
    plain = tomllib.loads(starter_sheet(unit))
    kept = {
        key: {k: v for k, v in value.items() if v != ""} if isinstance(value, dict) else value
        for key, value in plain.items()
        if key != "girths"
    }
    return {key: value for key, value in kept.items() if value != {}}


async def _refused(_: Request, error: Exception) -> Response:
    assert isinstance(error, Refused)
    return refusal(error.status, error.faults, **error.more)


async def _faulty(_: Request, error: Exception) -> Response:
    assert isinstance(error, SheetError)
    return refusal(422, error.faults)


async def _unwritten(_: Request, error: Exception) -> Response:
    return refusal(507, [Fault("folder", str(error))])


async def _failed(_: Request, error: Exception) -> Response:
    return broken()


async def _not_found(_: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    return refusal(error.status_code, [Fault("request", error.detail)])
