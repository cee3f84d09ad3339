"""The foam pieces: a template with everything on it that the person at the cutting table has to know."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from silhouette.asked.lengths import format_length
from silhouette.judged.finding import thickness_text
from silhouette.shape.unrolled import Template, length_of
from silhouette.shown.cutting.edge import Edge, section_lines
from silhouette.shown.cutting.piece import Floats, Line, Note, Piece


@dataclass(frozen=True)
class Heading:
    """What every piece carries besides its own name."""

    client: str
    date: str
    unit: str


def both(mm: float, unit: str) -> str:
    """A foam thickness in the sheet's unit, and in millimetres when that is another."""
    text = thickness_text(mm, unit)
    return text if unit != "in" else f"{text} ({mm:.1f} mm)"


def foam_piece(template: Template, edge: Edge, heading: Heading, *, twin: str | None, sewn: bool) -> Piece:
    """The piece for one pad.

    `twin` names the mirror-image piece when there is one; `sewn` tells whether the other pad of this side is
    there to be sewn to.
    """
    lines = [Line("cut", template.outline, closed=True)]
    if sewn:
        lines.append(Line("seam", template.seam))
    lines += [Line("bevel", line) for line in template.full]
    lines += [Line("carve", line) for quarter in template.carve for line in quarter]
    lines += [Line("hip", line) for line in template.hip]
    if template.hip_on_seam is not None:
        lines += notches(template.seam, template.hip_on_seam, template.free_edge)
    middle, room = widest_place(template.outline)
    words = _words(template, edge, heading, twin, sewn)
    notes, foot = block(words, middle[0], middle[1] + 0.42 * room, room)
    lines += _up_arrow(template, middle, room)
    if edge.bevel > 0:
        scale = min(1.0, 0.55 * room / (1.3 * edge.bevel), 0.22 * room / edge.foam)
        width = 1.3 * edge.bevel * scale
        x, y = middle[0] - width / 2, foot - edge.foam * scale - 2.0
        lines += section_lines(edge, scale, x, y)
        notes.append(Note("edge in section", (middle[0], y - 3.5), 2.4))
    remark = f"mirror image of {twin}" if twin else "no mirror image: the two sides differ"
    return Piece(template.name, "foam", tuple(lines), tuple(notes), 1, remark)


def _words(
    template: Template, edge: Edge, heading: Heading, twin: str | None, sewn: bool
) -> list[tuple[str, float, bool]]:
    unit = heading.unit
    cut = f"bevel {format_length(edge.bevel, unit)} wide, {edge.profile}" if edge.bevel > 0 else "square edge"
    return [
        (template.name.upper(), 7.0, True),
        (f"cut 1, foam {both(edge.foam, unit)}", 3.4, True),
        ("this face outside: carve what you see", 2.8, False),
        (cut + (", not on the side seam" if sewn and edge.bevel > 0 else ""), 2.8, False),
        (f"mirror image: {twin}" if twin else "not mirrored: sides differ", 2.8, False),
        (" · ".join(t for t in (heading.client, heading.date) if t), 2.8, False),
    ]


def block(
    words: list[tuple[str, float, bool]], x: float, top: float, room: float
) -> tuple[list[Note], float]:
    """Lines of words set under each other from `top`, shrunk to fit twice `room`; notes and their foot."""
    from silhouette.shown.cutting.ink import width_of

    widest = max(width_of(text, height, bold) for text, height, bold in words)
    scale = min(1.0, 1.7 * room / widest)
    notes, y = [], top
    for text, height, bold in words:
        y -= height * scale * 1.35
        notes.append(Note(text, (x, y), height * scale, bold))
    return notes, y


def widest_place(outline: Floats) -> tuple[tuple[float, float], float]:
    """Middle and radius of the largest circle inside an outline."""
    import shapely

    line = shapely.maximum_inscribed_circle(shapely.Polygon(outline), tolerance=1.0)
    (x, y), _ = shapely.get_coordinates(line)
    return (float(x), float(y)), float(shapely.length(line))


def notches(seam: Floats, hip: Floats, free_edge: Floats) -> list[Line]:
    """One notch on the side seam at the hip line, a double one half-way up to the tip.

    They match front to back.
    Places are measured along the seam, whose length is the same on both pieces.
    """
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(seam, axis=0), axis=1))])
    at_hip = float(run[np.argmin(np.linalg.norm(seam - hip, axis=1))])
    inward = np.sign(free_edge[:, 0].mean() - seam[:, 0].mean())
    return [_notch(seam, run, s, inward) for s in (at_hip, at_hip / 2 - 2.5, at_hip / 2 + 2.5)]


def _notch(seam: Floats, run: Floats, at: float, inward: float) -> Line:
    def place(s: float) -> Floats:
        return np.array([np.interp(s, run, seam[:, k]) for k in (0, 1)])

    along = place(at + 4.0) - place(at - 4.0)
    across = np.array([-along[1], along[0]]) / max(float(np.linalg.norm(along)), 1e-9)
    if across[0] * inward < 0:
        across = -across
    foot = place(at)
    return Line("notch", np.stack([foot, foot + 7.0 * across]))


def _up_arrow(template: Template, middle: tuple[float, float], room: float) -> list[Line]:
    """An arrow that points to the waist, above the words."""
    y = middle[1] + 0.48 * room
    return up_arrow(middle[0], y, 0.42 * room)


def up_arrow(x: float, y: float, length: float) -> list[Line]:
    head = min(5.0, 0.3 * length)
    return [
        Line("arrow", np.array([[x, y], [x, y + length]])),
        Line(
            "arrow",
            np.array([[x - head / 2, y + length - head], [x, y + length], [x + head / 2, y + length - head]]),
        ),
    ]


def seam_difference(one: Template, two: Template) -> float:
    """By how much the side-seam edges of two templates differ in length, mm."""
    return abs(length_of(one.seam) - length_of(two.seam))
