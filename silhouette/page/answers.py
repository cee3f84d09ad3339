"""The answer to one sheet: numbers as JSON and skins as one binary block behind it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

import numpy as np

from silhouette.asked.declared import LENGTH, OUTLINE, POINTS
from silhouette.asked.pads import Pads
from silhouette.asked.reading import from_plain
from silhouette.asked.sheet import PARAMETERS, SIDES, parameter_for, value_at
from silhouette.cloth.cut_girths import lining_girths
from silhouette.page.care import CARE
from silhouette.page.grids import body_key, drafts_of, grids_of, pack
from silhouette.page.looks import LOOKS
from silhouette.page.tracing import contact_of, own_outline
from silhouette.pipeline import Preview, preview
from silhouette.search.together import together
from silhouette.shape.figure import Figure
from silhouette.shape.measures import front_reach_of
from silhouette.shown.report import report
from silhouette.shown.sentences import LEVEL_NAMES, mark_note, rule_sentence, shell_lines

SHOWN: Final = ("in", "cm")  #: units the page can show

#: The verdict in a few words and in one sentence, as the workroom reads it.
VERDICTS: Final = {
    "fine": ("Looks natural", "Nothing gives the pads away."),
    "watch": ("Look again", "It can be worn; look at the points below before the foam is cut."),
    "obvious": ("Would show", "An eye would find the pads; change the points marked “would show”."),
}
#: The same where the shape may be obvious, for the stage.
STAGE_VERDICTS: Final = {
    "fine": ("Ready for the stage", "It bends, stays in place, hides its edge and lets her sit."),
    "watch": ("Look again", "It can be worn; look at the points below before the foam is cut."),
    "obvious": ("Not as it is", "Change the gravest points below; how natural it looks was not asked."),
}


def preview_for(
    plain: Mapping[str, Any],
    show: object,
    folder: Path | None = None,
    *,
    like: Figure | None = None,
    advice: bool = True,
) -> Preview:
    """Preview a sheet with its words and advice in the unit that is shown. Raises ``SheetError``.

    ``folder`` is the one that sheets lie in, and the scans that they name. ``like`` is the figure of the answer
    before, from which is borrowed what did not change.
    """
    sheet = from_plain(plain, folder)
    return preview(replace(sheet, unit=show) if isinstance(show, str) and show in SHOWN else sheet, like, advice=advice)


def answer(result: Preview, have: object = None, *, moving: bool = False) -> bytes:
    """Four bytes with the length of the JSON head, the head, and the grids it describes.

    ``have`` names the body that the asker already holds; it is not sent again. ``moving``: a control
    is being moved, and what the shell should be cut to can wait until it rests, as does the advice.
    """
    key = body_key(result)
    described, block = pack(grids_of(result, body=key != have))
    head = json.dumps(
        {**numbers(result, moving=moving), "body": key, "grids": described}, ensure_ascii=False, separators=(",", ":")
    ).encode()
    head += b" " * (-len(head) % 4)
    return len(head).to_bytes(4, "little") + head + block


def numbers(result: Preview, *, moving: bool = False) -> dict[str, Any]:
    """The report that the command line prints, and the words and values that the page shows beside it."""
    word, sentence = (STAGE_VERDICTS if result.sheet.aim.look == "stage" else VERDICTS)[result.verdict]
    cloth = result.shell.given or not moving
    # the page draws outlines and names levels; every level's girth, and the dressed outline, are for scripts
    found: dict[str, Any] = {**report(result, solids=False, cloth=cloth)}
    del found["curve"]
    found["dressed"] = {key: value for key, value in found["dressed"].items() if not isinstance(value, dict)}
    found["silhouette"] = _to_a_tenth(found["silhouette"])
    return {
        **found,
        "verdict_word": word,
        "verdict_sentence": sentence,
        "lining_mm": round(lining_girths(result.figure).hip, 3),
        "wish_mm": result.sheet.aim.hip,
        "foam_mm": sorted({round(pad.foam, 3) for pad in result.pads}),
        "rule_sentence": rule_sentence(result, result.sheet.unit),
        "worn": result.squeezed,
        **({} if moving else {"shell_lines": shell_lines(result, result.sheet.unit)}),
        "level_names": LEVEL_NAMES,
        "mark_note": mark_note(result),
        "care": CARE,
        "draft": drafts_of(result),
        "points": {side: _own_points(result.sheet.pads_on(side)) for side in SIDES},
        "outline": own_outline(result),
        "contact": contact_of(result.body),
        "body_hip_mm": round(result.figure.measures.hip, 3),
        "values": values(result, cloth=cloth),
    }


def values(result: Preview, *, cloth: bool = True) -> dict[str, Any]:
    """What every key amounts to, mm for lengths, whether it was given or worked out.

    >>> import silhouette
    >>> values(silhouette.preview(silhouette.read_sheet("demo")))["pads.thickness"]
    19.05
    """
    sheet = result.sheet
    found = {key: value_at(sheet, key) for key in PARAMETERS}
    worked_out = _worked_out(result)
    if cloth:
        worked_out["cloth.shell_hip"] = result.shell.cut_hip
    else:
        del found["cloth.shell_hip"]  # not known yet, which is not the same as left out
    found |= {key: value for key, value in worked_out.items() if found.get(key) is None}
    for side in SIDES:
        for name, value in getattr(sheet, side):
            found[f"pads.{side}.{name}"] = value
    return {
        key: round(value, 4) if isinstance(value, float) else value
        for key, value in found.items()
        if parameter_for(key).kind not in (POINTS, OUTLINE)
    }


def _to_a_tenth(plain: Any) -> Any:
    """Outlines as they are drawn: a tenth of a millimetre is finer than any screen."""
    if isinstance(plain, dict):
        return {key: _to_a_tenth(value) for key, value in plain.items()}
    return np.round(plain, 1).tolist()


def _own_points(pads: Pads) -> dict[str, Any]:
    """The points of outlines that are drawn by hand, mm."""
    return {
        part: None if points is None else np.round(points, 2).tolist()
        for part, points in (("front", pads.front_outline), ("back", pads.back_outline))
    }


def _worked_out(result: Preview) -> dict[str, float]:
    """What stands in for the keys that were left out."""
    m, sheet = result.figure.measures, result.sheet
    found: dict[str, float] = {f"girths.{n}": getattr(m, n) for n in ("waist", "high_hip", "hip", "thigh", "knee")}
    found |= {f"drops.{n}": getattr(m, f"{n}_drop") for n in ("high_hip", "hip", "under_seat", "knee")}
    tape = result.tape_before
    for level, drop in (("waist", 0.0), ("hip", m.hip_drop)):
        for name, angle in (("breadth", 0.0), ("depth", np.pi / 2)):
            found[f"widths.{level}_{name}"] = float(np.interp(drop, tape.drops, tape.width(angle)))
    found["pads.front_reach"] = front_reach_of(sheet, sheet.pads, m.hip)
    found["pads.end"] = m.under_seat_drop
    found["pads.fullness_below"] = sheet.pads.fullness
    found["foam.measured"] = sheet.pads.thickness
    found["aim.hip"] = result.new_hip_girth
    return found


def all_advice(result: Preview) -> dict[str, Any]:
    """What all the advice comes to when it is taken at once: sheet changes, and the verdict with them."""
    found = together(result)
    return (
        {"changes": {}, "verdict": result.verdict}
        if found is None
        else {"changes": found[0], "verdict": found[1].verdict}
    )


def controls() -> list[dict[str, Any]]:
    """Every declared parameter as plain values: what the page makes its controls from."""
    return [
        {
            "key": p.key,
            "label": p.label,
            "kind": p.kind,
            "help": p.help,
            "looks": LOOKS[p.key],
            "low": p.low,
            "high": p.high,
            "step": p.step,
            "choices": list(p.choices),
            "group": p.group,
            "needed": p.needed,
            "absent": p.absent,
            "ends": list(p.ends),
            "symbol": p.symbol,
            "default": p.default if p.kind != LENGTH or p.default is None else float(p.default),
        }
        for p in PARAMETERS.values()
    ]
