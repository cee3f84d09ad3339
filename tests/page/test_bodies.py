"""What is sent to the server: sizes, kinds and words, and that replies stay small."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

import silhouette
from tests.page.browser import ROOT
from tests.page.running import refused
from tests.page.sheets import DEMO


def test_body_over_a_megabyte(client: httpx.Client) -> None:
    refused(client.post("/preview", json={"sheet": {"client": {"notes": "x" * 1_100_000}}}), 413, "larger than 1 MB")

    def drip() -> Iterator[bytes]:
        yield b'{"sheet": {"client": {"notes": "'
        for _ in range(20):
            yield b"x" * 100_000

    refused(
        client.post("/preview", content=drip(), headers={"Content-Type": "application/json"}), 413, "larger than 1 MB"
    )


@pytest.mark.parametrize(
    "body, status, words",
    [
        (b"", 400, "not valid JSON"),
        (b"{", 400, "not valid JSON"),
        (b"\xff\xfe", 400, "not valid JSON"),
        (b'{"sheet": {"girths": {"waist": NaN, "hip": 100}}}', 400, "NaN"),
        (b'{"sheet": {"girths": {"waist": Infinity, "hip": 100}}}', 400, "Infinity"),
        (b'{"sheet": {"unit": "cm", "girths": {"waist": 1e999, "hip": 100}}}', 422, "waist"),
        (b"[" * 100_000, 400, "nested"),
        (b'{"sheet": ' + b'{"a":' * 3000 + b"1" + b"}" * 3001, 400, "nested"),
        (b"[]", 400, "object"),
        (b"7", 400, "object"),
        (b"{}", 422, "sections"),
        (b'{"sheet": []}', 422, "sections"),
        (b'{"sheet": {}}', 422, "waist girth is needed"),
        (b'{"sheet": {"girths": 5}}', 422, "must be a table"),
        (b'{"sheet": {"unit": "cm", "girths": {"waist": true, "hip": [1]}}}', 422, "a length belongs here"),
        (
            b'{"sheet": {"unit": "cm", "girths": {"waist": 70, "hip": 100}, "pads": {"thicknes": 2}}}',
            422,
            "did you mean thickness",
        ),
    ],
)
def test_bad_bodies(client: httpx.Client, body: bytes, status: int, words: str) -> None:
    for path in ("/preview", "/handover"):
        reply = client.post(path, content=body, headers={"Content-Type": "application/json"})
        refused(reply, status, words)


def test_wrong_types_beside_the_sheet(client: httpx.Client) -> None:
    assert client.post("/preview", json={"sheet": DEMO, "show": {"a": 1}, "have": 5}).status_code == 200
    for note in (5, "x" * 3000):
        noted = {**DEMO, "client": {**DEMO["client"], "note": note}}
        refused(client.post("/handover", json={"sheet": noted}), 422, "note")
    refused(
        client.post("/clients/save", json={"name": "V", "sheet": DEMO, "base": None, "variants": "x"}), 422, "variants"
    )
    refused(
        client.post("/clients/save", json={"name": "V", "sheet": DEMO, "base": None, "variants": [1]}), 422, "variants"
    )
    refused(client.post("/clients/save", json={"name": "V", "sheet": DEMO, "base": 5}), 409)
    refused(client.post("/preview", content=json.dumps({"sheet": DEMO}), headers={"Content-Type": "text/plain"}), 415)
    assert client.get("/preview").status_code == 405
    assert client.post("/").status_code == 405


def test_messages_are_those_of_the_command_line(client: httpx.Client) -> None:
    faulty = {**DEMO, "pads": {**DEMO["pads"], "thickness": "300 mm", "start": -1}, "girths": {"waist": 31, "hip": 97}}
    with pytest.raises(silhouette.SheetError) as error:
        silhouette.from_plain(faulty)
    reply = client.post("/preview", json={"sheet": faulty})
    assert reply.status_code == 422
    assert [(f["place"], f["message"]) for f in reply.json()["faults"]] == [
        (f.place, f.message) for f in error.value.faults
    ]


def test_templates_tell_their_progress(client: httpx.Client, folder: Path) -> None:
    reply = client.post("/templates", json={"name": "Told", "sheet": DEMO}, timeout=60)
    lines = [json.loads(line) for line in reply.text.splitlines()]
    assert [line["words"] for line in lines[:-1]] == [
        "laying the pads flat and drawing every piece",
        "writing the files",
    ]
    assert sorted(lines[-1]["files"]) == sorted(p.name for p in (folder / "Told templates").iterdir())


def test_reply_stays_small(client: httpx.Client) -> None:
    apart = {**DEMO, "pads": {**DEMO["pads"], "bevel": 0, "left": {"thickness": 1}, "right": {"front": False}}}
    for sheet in (DEMO, apart):
        reply = client.post("/preview", json={"sheet": sheet})
        assert len(reply.content) <= (80_000 if sheet is DEMO else 160_000)  # uneven sides are sent twice over
    names = [p.name for p in (ROOT / "silhouette/page/static").iterdir() if not p.name.startswith("handover")]
    first = [client.get("/" if name == "index.html" else f"/page/{name}") for name in names]
    assert all(reply.status_code == 200 and reply.headers["content-encoding"] == "gzip" for reply in first)
    assert sum(reply.num_bytes_downloaded for reply in first) <= 180_000  # as it goes over the wire
    plain = client.get("/", headers={"Accept-Encoding": "identity"})
    assert "content-encoding" not in plain.headers and plain.text == first[names.index("index.html")].text
