"""Random sheets for the property tests, plain values inside the declared ranges; the faults of a sheet."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import strategies as st

from silhouette.asked.declared import CHOICE, FLAG, FRACTION, LENGTH, NUMBER, OUTLINE, POINTS, Parameter
from silhouette.asked.faults import SheetError
from silhouette.asked.reading import from_plain, read_text
from silhouette.asked.sheet import PARAMETERS, SECTIONS, Sheet
from silhouette.pipeline import preview

#: Text that a maker may type: anything printable, with tabs and line ends.
WORDS = st.text(st.characters(exclude_categories=["Cs", "Cc"]) | st.sampled_from("\n\t[]\"'\\#="), max_size=40)


def values(parameter: Parameter) -> st.SearchStrategy[Any]:
    """Any allowed value of a parameter; lengths as text in mm, so that they mean the same in every unit."""
    if parameter.key == "pads.layers":
        return st.integers(1, 4)
    if parameter.kind == LENGTH:
        return st.floats(parameter.low, parameter.high).map(lambda mm: f"{mm:.6f} mm")
    if parameter.kind in (FRACTION, NUMBER):
        return st.floats(parameter.low, parameter.high)
    if parameter.kind == CHOICE:
        return st.sampled_from(parameter.choices)
    if parameter.kind == FLAG:
        return st.booleans()
    if parameter.kind == POINTS:
        return st.just([["0 mm", "40 mm"], ["90 mm", "180.5 mm"], ["0 mm", "290 mm"]])
    if parameter.kind == OUTLINE:
        reach = st.floats(80, 200).map(lambda mm: f"{mm:.6f} mm")
        even = st.fixed_dictionaries({"drop": st.just("0 mm"), "breadth": reach, "front": reach, "back": reach})
        apart = st.fixed_dictionaries({"drop": st.just("200 mm"), "left": reach, "right": reach})
        return st.one_of(st.tuples(even, apart), st.tuples(apart))
    return WORDS


def _tables(names: list[str], section: str) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries({}, optional={name: values(PARAMETERS[f"{section}.{name}"]) for name in names})


@st.composite
def plain_sheets(draw: st.DrawFn) -> dict[str, Any]:
    """Nested plain values whose single values are all allowed; together they may still not fit."""
    hip = 1000.0
    plain: dict[str, Any] = {"unit": draw(st.sampled_from(["in", "cm", "mm"]))}
    for section in SECTIONS:
        names = [key.split(".")[1] for key in PARAMETERS if key.startswith(section + ".")]
        table = draw(_tables(names, section))
        if section == "girths":
            hip = draw(st.floats(700, 1800))
            table = {"hip": f"{hip} mm", "waist": f"{hip * draw(st.floats(0.6, 1.1))} mm"}
            for name, share in (("thigh", 0.6), ("knee", 0.37), ("high_hip", 0.95)):
                if draw(st.booleans()):
                    table[name] = f"{share * hip} mm"
        if section == "drops":
            usual = {"high_hip": 100.0, "hip": 200.0, "under_seat": 280.0, "knee": 590.0}
            table = {n: f"{d * draw(st.floats(0.95, 1.05))} mm" for n, d in usual.items() if draw(st.booleans())}
        if section == "along":  # a little longer than the usual drops
            usual = {"hip": 208.0, "under_seat": 300.0, "knee": 600.0}
            table = {n: f"{d * draw(st.floats(0.98, 1.02))} mm" for n, d in usual.items() if draw(st.booleans())}
        if section == "uneven":  # one side of a level; the other follows
            table = {}
            whole = {"waist": "waist", "hip": "hip"}
            for name, girth in whole.items():
                if draw(st.booleans()):
                    half = float(plain["girths"][girth].removesuffix(" mm")) * draw(st.floats(0.46, 0.54))
                    table[f"{name}_{draw(st.sampled_from(['left', 'right']))}"] = f"{half} mm"
        if section == "body":  # a scan or an outline, and what is said of a scan only where there is one
            scan = {n: v for n, v in table.items() if n in ("scan_unit", "scan_up")}
            outline = {n: v for n, v in table.items() if n == "outline"}
            heights = {"scan_waist": "1050 mm", "scan_hip": "85.25 cm", "scan_knee": "18 in"}
            scan |= {n: mm for n, mm in heights.items() if draw(st.booleans())}
            table = {"scan": "her scans/anna.obj", **scan} if draw(st.booleans()) else outline
        if section == "foam":  # grades are tabled, and a scale test is whole or not there
            table = {n: v for n, v in table.items() if not n.startswith("sample_")}
            if "grade" in table:
                table["grade"] = draw(st.sampled_from(["35/50", "40/28", "soft", ""]))
            if draw(st.booleans()):
                weight = draw(st.floats(100, 9000))
                table |= {"sample_weight": weight, "sample_loose": "25 mm", "sample_pressed": "16 mm"}
        if section == "cloth":  # a shell is no smaller than the body, and cloth gives in one way
            if "shell_hip" in table:
                table["shell_hip"] = f"{hip * draw(st.floats(1.01, 1.3))} mm"
            if "stretch" in table:
                table.pop("stiffness", None)
        if section == "pads":
            for side in ("left", "right"):
                if draw(st.booleans()):
                    table[side] = draw(_tables(names, section))
        if bool(table) or draw(st.booleans()):
            plain[section] = table
    return plain


def usable(plain: dict[str, Any]) -> Sheet | None:
    """The sheet, or None where the values do not fit together."""
    try:
        return from_plain(plain)
    except SheetError:
        return None


def faults(plain: Any) -> dict[str, str]:
    """Place → message of every fault."""
    with pytest.raises(SheetError) as caught:
        preview(from_plain(plain))
    return {fault.place: fault.message for fault in caught.value.faults}


def text_faults(text: str) -> list[str]:
    """Every fault of a sheet's text."""
    with pytest.raises(SheetError) as caught:
        read_text(text)
    return [str(fault) for fault in caught.value.faults]
