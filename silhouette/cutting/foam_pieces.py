"""The foam pieces: a template with everything on it that the person at the cutting table has to know."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from silhouette.asked.lengths import format_length
from silhouette.cutting.edge import Edge, section_lines
from silhouette.cutting.piece import Line, Note, Piece
from silhouette.cutting.unrolled import Template
from silhouette.judged.finding import thickness_text
from silhouette.shape.curves import Array

Spot = tuple[tuple[float, float], float]  #: middle and radius of a clear round place, mm


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
    above, below = _clear_places(template, edge)
    notes = block(_words(template, edge, heading, twin, sewn), *above)
    lines += up_arrow(above[0][0], notes[0].at[1] + notes[0].height * 1.4, 0.4 * above[1])
    if edge.bevel > 0:
        (x, y), room = below
        scale = min(1.0, 1.3 * room / (1.3 * edge.bevel), 0.8 * room / edge.foam)
        lines += section_lines(edge, scale, x - 0.65 * edge.bevel * scale, y - edge.foam * scale / 2)
        notes.append(
            Note(
                f"edge: {format_length(edge.bevel, heading.unit)}, {edge.shape}",
                (x, y - edge.foam * scale / 2 - 3.5),
                2.4,
            )
        )
    remark = f"mirror image of {twin}" if twin else "no mirror image: the two sides differ"
    return Piece(template.name, "foam", tuple(lines), tuple(notes), 1, remark)


def _words(
    template: Template, edge: Edge, heading: Heading, twin: str | None, sewn: bool
) -> list[tuple[str, float, bool]]:
    unit = heading.unit
    cut = f"bevel {format_length(edge.bevel, unit)}, {edge.shape}" if edge.bevel > 0 else "square edge"
    return [
        (template.name.upper(), 7.0, True),
        (f"cut 1, foam {both(edge.foam, unit)}", 3.4, True),
        ("this face outside" + (": carve what you see" if edge.bevel > 0 else ""), 2.8, False),
        (cut + ("; side seam left square" if sewn and edge.bevel > 0 else ""), 2.8, False),
        (f"mirror image: {twin}" if twin else "not mirrored: sides differ", 2.8, False),
        (" · ".join(t for t in (heading.client, heading.date) if t), 2.8, False),
    ]


def block(words: list[tuple[str, float, bool]], middle: tuple[float, float], room: float) -> list[Note]:
    """Words set under each other about `middle`, wrapped, shrunk if need be to a circle of radius `room`."""
    from silhouette.cutting.paper.ink import width_of

    def wrapped(scale: float) -> list[tuple[str, float, bool]]:
        lines = []
        for text, height, bold in words:
            line = ""
            for word in text.split(" "):
                longer = f"{line} {word}".strip()
                if line and width_of(longer, height * scale, bold) > 1.8 * room:
                    lines.append((line, height * scale, bold))
                    line = word
                else:
                    line = longer
            lines.append((line, height * scale, bold))
        return lines

    for scale in (1.0, 0.9, 0.8, 0.7, 0.6):
        lines = wrapped(scale)
        high = sum(height * 1.35 for _, height, _ in lines)
        if high <= 1.5 * room and max(width_of(*line) for line in lines) <= 1.85 * room:
            break
    notes, y = [], middle[1] + high / 2
    for text, height, bold in lines:
        y -= height * 1.35
        notes.append(Note(text, (middle[0], y), height, bold))
    return notes


def _clear_places(template: Template, edge: Edge) -> tuple[Spot, Spot]:
    """Middle and radius of a clear round spot above the hip line, for the words, and of one below it.

    Clear of the carving lines too where the pad leaves room for that.
    """
    import shapely

    whole = shapely.Polygon(template.outline)
    flat = whole.difference(shapely.LineString(template.free_edge).buffer(edge.bevel))
    y0, y1 = float(template.outline[:, 1].min()), float(template.outline[:, 1].max())
    hip = np.concatenate(template.hip)[:, 1] if template.hip else np.array([(y0 + y1) / 2])
    spots = []
    for low, high in ((float(hip.max()) + 3.0, y1), (y0, float(hip.min()) - 3.0)):
        half = shapely.box(-1e4, low, 1e4, max(high, low + 1.0))
        clear = flat.intersection(half)
        spot = widest_place(clear) if clear.area > 400.0 else ((0.0, 0.0), 0.0)
        spots.append(spot if spot[1] > 16.0 else widest_place(whole.intersection(half)))
    return spots[0], spots[1]


def widest_place(region: Any) -> Spot:
    """Middle and radius of the largest circle inside a shapely region."""
    import shapely

    line = shapely.maximum_inscribed_circle(region, tolerance=1.0)
    (x, y), _ = shapely.get_coordinates(line)
    return (float(x), float(y)), float(shapely.length(line))


def notches(seam: Array, hip: Array, free_edge: Array) -> list[Line]:
    """One notch on the side seam at the hip line, a double one half-way up to the tip.

    They match front to back.
    Places are measured along the seam, whose length is the same on both pieces.
    """
    import shapely

    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(seam, axis=0), axis=1))])
    at_hip = float(shapely.line_locate_point(shapely.LineString(seam), shapely.Point(hip)))
    inward = np.sign(free_edge[:, 0].mean() - seam[:, 0].mean())
    return [_notch(seam, run, s, inward) for s in (at_hip, at_hip / 2 - 2.5, at_hip / 2 + 2.5)]


def _notch(seam: Array, run: Array, at: float, inward: float) -> Line:
    def place(s: float) -> Array:
        return np.array([np.interp(s, run, seam[:, k]) for k in (0, 1)])

    along = place(at + 4.0) - place(at - 4.0)
    across = np.array([-along[1], along[0]]) / max(float(np.linalg.norm(along)), 1e-9)
    if across[0] * inward < 0:
        across = -across
    foot = place(at)
    return Line("notch", np.stack([foot, foot + 7.0 * across]))


def up_arrow(x: float, y: float, length: float) -> list[Line]:
    head = min(5.0, 0.3 * length)
    return [
        Line("arrow", np.array([[x, y], [x, y + length]])),
        Line(
            "arrow",
            np.array([[x - head / 2, y + length - head], [x, y + length], [x + head / 2, y + length - head]]),
        ),
    ]
