"""What a sheet says, and that the page shows it as ``preview`` does."""

from __future__ import annotations

import copy
import json
import re
import tomllib
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np

import silhouette
from silhouette.asked.lengths import format_length
from silhouette.asked.reading import sheet_text
from silhouette.asked.sheet import Sheet
from silhouette.page.answers import VERDICTS, numbers
from silhouette.page.grids import grids_of, unpacked
from tests.page.browser import (
    Watched,
    at_rest,
)

DEMO = tomllib.loads(sheet_text("demo"))
FRACTIONS = {"1/8": "⅛", "1/4": "¼", "3/8": "⅜", "1/2": "½", "5/8": "⅝", "3/4": "¾", "7/8": "⅞"}
FRACTIONS |= {"11/16": "¹¹⁄₁₆", "13/16": "¹³⁄₁₆", "15/16": "¹⁵⁄₁₆", "1/16": "¹⁄₁₆", "3/16": "³⁄₁₆", "5/16": "⁵⁄₁₆"}
FRACTIONS |= {"7/16": "⁷⁄₁₆", "9/16": "⁹⁄₁₆"}


def tape(mm: float) -> str:
    """A length as the page shows it: eighths as one sign."""
    text = format_length(mm, "in")
    return re.sub(r"(\d+ )?(\d{1,2}/(?:2|4|8|16)) in", lambda m: (m[1] or "").strip() + FRACTIONS[m[2]] + " in", text)


@lru_cache(maxsize=64)
def _preview_of(sheet: Sheet) -> silhouette.Preview:
    return silhouette.preview(sheet)


def expected(plain: dict[str, Any]) -> silhouette.Preview:
    return _preview_of(replace(silhouette.from_plain(plain), unit="in"))


def changed(plain: dict[str, Any], key: str, value: Any) -> dict[str, Any]:
    made = copy.deepcopy(plain)
    table = made
    *path, name = key.split(".")
    for part in path:
        table = table.setdefault(part, {})
    table[name] = value
    return made


#: What stands on the page: the girth, the verdict, the padded reading of every level, how many reasons.
SHOWN = """() => { const text = (at) => document.querySelector(at).innerText;
  const rows = [...document.querySelectorAll('#table tr[data-level]')];
  return { girth: text('#girth'), verdict: text('#verdict strong'),
    after: Object.fromEntries(rows.map((row) => [row.dataset.level, row.querySelectorAll('td')[2].innerText])),
    reasons: document.querySelectorAll('#reasons .reason').length }; }"""


def assert_shows(w: Watched, plain: dict[str, Any]) -> None:
    """The page's numbers, words, table, outlines and points are those of ``preview()``."""
    seen = expected(plain)
    told = w.numbers()
    wanted = numbers(seen)
    for name in (
        "new_hip_girth_mm",
        "girths",
        "silhouette",
        "findings",
        "verdict",
        "rule_of_thumb_mm",
        "values",
    ):
        assert told[name] == json.loads(json.dumps(wanted[name])), (name, w.sheet())
    shown = w.page.evaluate(SHOWN)
    assert shown["girth"] == tape(seen.new_hip_girth)
    assert shown["verdict"] == VERDICTS[seen.verdict][0]
    for reading in seen.levels:
        assert shown["after"][reading.level].lstrip("~") == tape(reading.after).removesuffix(" in")
    assert shown["reasons"] == sum(f.severity != "fine" for f in seen.findings)
    grids = {(g.role, g.name): g.points for g in grids_of(seen)}
    for grid in told["grids"]:
        points = unpacked(grid, told["block"]).ravel()
        assert (
            np.abs(points.reshape(grid["rows"], grid["columns"], 3) - grids[grid["role"], grid["name"]]).max() < 0.03
        )  # mm


def picture(page: Any) -> str:
    """The picture at rest: always in the same size, so that two of them differ in what they show."""
    at_rest(page)
    return str(page.evaluate("document.getElementById('picture').toDataURL()"))


def picture_now(page: Any) -> str:
    """The figure as it stands at this moment, drawn plainly, without waiting for anything."""
    return str(
        page.evaluate(
            "(() => { const c = document.getElementById('picture');"
            " c.dispatchEvent(new Event('redraw')); return c.toDataURL(); })()"
        )
    )


def thick(mm: float) -> dict[str, Any]:
    return changed(DEMO, "pads.thickness", f"{mm} mm")
