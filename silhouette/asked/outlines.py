"""Outlines read from plain values: a pad's, drawn flat, and a body's, traced from photographs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields
from typing import Any, Final

from silhouette.asked.body_sources import OutlineLevel
from silhouette.asked.faults import Fault
from silhouette.asked.lengths import exact_plain, parse_length

MOST_LEVELS: Final = 40  #: of one traced outline; this tool's convention
APART: Final = 8.0  #: mm that levels lie apart at least; this tool's convention
LOWEST: Final = 1000.0  #: mm below the waist: the longest way to a knee that a sheet takes
#: what a body's outline may reach, mm; breadth and depth are twice as far at the most
REACHES: Final = {
    "drop": (0.0, LOWEST),
    "breadth": (80.0, 900.0),
    "left": (30.0, 500.0),
    "right": (30.0, 500.0),
    "front": (-250.0, 500.0),
    "back": (-250.0, 500.0),
}
LEAST_DEPTH: Final = 60.0  #: mm from front to back


def read_points(raw: Any, unit: str | None) -> tuple[tuple[float, float], ...]:
    """A pad's outline, mm. ``ValueError`` says what is wrong with it."""
    if not isinstance(raw, list | tuple) or not 3 <= len(raw) <= 200:
        raise ValueError("an outline is a list of 3 to 200 pairs [distance from the side seam, drop]")
    points = []
    for pair in raw:
        if not isinstance(pair, list | tuple) or len(pair) != 2:
            raise ValueError("each outline point is a pair [distance from the side seam, drop]")
        points.append((parse_length(pair[0], unit), parse_length(pair[1], unit)))
    if points[0][0] != 0 or points[-1][0] != 0:
        raise ValueError("an outline starts and ends on the side seam: its first and last distance must be 0")
    if any(distance <= 0 for distance, _ in points[1:-1]):
        raise ValueError("between its ends an outline must stay away from the side seam: distances above 0")
    if max(distance for distance, _ in points) < 20:
        raise ValueError("an outline must reach at least 20 mm from the side seam")
    drops = [drop for _, drop in points]
    if any(b - a < 1 for a, b in zip(drops, drops[1:], strict=False)):
        raise ValueError("outline points must run downward, each at least 1 mm below the one before")
    if drops[0] < 0 or drops[-1] > 700 or max(distance for distance, _ in points) > 600:
        raise ValueError("an outline must stay within 600 mm of the side seam and between waist and knee")
    return tuple(points)


def read_outline(raw: Any, unit: str | None, place: str, faults: list[Fault]) -> tuple[OutlineLevel, ...] | None:
    """A body's outline, mm; None where it is no outline. Every fault is added to ``faults``."""
    if not isinstance(raw, list | tuple) or not 1 <= len(raw) <= MOST_LEVELS:
        faults.append(Fault(place, f"a traced outline is a list of 1 to {MOST_LEVELS} tables {{ drop, breadth, … }}"))
        return None
    levels: list[OutlineLevel] = []
    before = len(faults)
    for number, table in enumerate(raw, 1):
        at = f"{place}[{number}]"
        if not isinstance(table, Mapping):
            faults.append(Fault(at, "must be a table such as { drop = 8, breadth = 14, front = 4, back = 5 }"))
            continue
        found = dict(_lengths(table, unit, at, faults))
        faults += [Fault(at, words) for words in _incomplete(table, found)]
        if levels and "drop" in found and found["drop"] < levels[-1].drop + APART:
            faults.append(Fault(f"{at}.drop", f"must lie at least {APART:g} mm below the level before it"))
        if "drop" in found:
            levels.append(_level(found))
    return tuple(levels) if len(faults) == before else None


def _lengths(table: Mapping[str, Any], unit: str | None, at: str, faults: list[Fault]) -> Iterator[tuple[str, float]]:
    for name, raw in table.items():
        if name not in REACHES:
            faults.append(Fault(f"{at}.{str(name)[:40]}", f"unknown key; known are {', '.join(REACHES)}"))
            continue
        shown = f"{at}.{name} = {str(raw)[:40]}"
        try:
            mm = parse_length(raw, unit)
        except ValueError as error:
            faults.append(Fault(shown, str(error)))
            continue
        low, high = REACHES[name]
        if low <= mm <= high:
            yield name, mm
        else:
            faults.append(Fault(shown, f"must be {low:g} to {high:g} mm"))


def _incomplete(table: Mapping[str, Any], found: Mapping[str, float]) -> Iterator[str]:
    """What a level lacks, or has twice."""
    if "drop" not in table:
        yield "needs a drop below the waist"
    if "breadth" in table and ("left" in table or "right" in table):
        yield "has a breadth and a side as well: give the breadth, or left and right"
    for one, other in (("left", "right"), ("front", "back")):
        if (one in table) != (other in table):
            yield f"{one} and {other} go together"
    if not {"breadth", "left", "front"} & set(table):
        yield "says nothing: give a breadth (or left and right), or front and back"
    if "front" in found and "back" in found and found["front"] + found["back"] < LEAST_DEPTH:
        yield f"is less than {LEAST_DEPTH:g} mm deep from front to back"


def _level(found: Mapping[str, float]) -> OutlineLevel:
    sides = {name: found.get(name) for name in ("left", "right", "front", "back")}
    if "breadth" in found:
        sides |= {"left": found["breadth"] / 2, "right": found["breadth"] / 2}
    return OutlineLevel(found["drop"], **sides)


def plain_outline(levels: tuple[OutlineLevel, ...], unit: str) -> list[dict[str, str]]:
    """Tables of text that read back the same; even sides as one breadth.

    >>> plain_outline((OutlineLevel(0.0, 130.0, 130.0, 88.9, 90.0),), "in")
    [{'drop': '0 in', 'breadth': '260 mm', 'front': '3.5 in', 'back': '90 mm'}]
    """
    tables = []
    for level in levels:
        held = {field.name: getattr(level, field.name) for field in fields(level)}
        if level.left is not None and level.left == level.right == round(2 * level.left, 9) / 2:
            held = {"drop": level.drop, "breadth": 2 * level.left, "front": level.front, "back": level.back}
        tables.append({name: _text(mm, unit) for name, mm in held.items() if mm is not None})
    return tables


def _text(mm: float, unit: str) -> str:
    number = exact_plain(mm, unit)
    return number if isinstance(number, str) else f"{number:.10g} {unit}"
