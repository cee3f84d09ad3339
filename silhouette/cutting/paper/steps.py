"""The making order: what to do, in the order of work, with each caution beside the step it belongs to."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from silhouette.asked.lengths import format_length
from silhouette.asked.sheet import SIDES
from silhouette.cutting.cover_pieces import FIRM
from silhouette.cutting.edge import Edge
from silhouette.cutting.foam_pieces import both
from silhouette.cutting.unrolled import Template
from silhouette.pipeline import Preview
from silhouette.shape.figure import SHEET_TOLERANCE
from silhouette.shape.pads import Pad
from silhouette.shown.sentences import pad_notes


@dataclass(frozen=True)
class Step:
    """One step; `caution` is printed beside it, `fill` names the lines to write on."""

    title: str
    words: str
    caution: str = ""
    fill: tuple[str, ...] = ()


def making_order(
    result: Preview, templates: Sequence[Template], edges: Sequence[Edge], advice: Sequence[str], *, laid: bool = True
) -> tuple[Step, ...]:
    """The numbered list for one preview; `laid` tells whether shell and lining have pieces."""
    sewn = any(t.part == "front" for t in templates) and any(t.part == "back" for t in templates)
    joined = (_SEW,) if sewn else ()
    firm = result.sheet.cloth.cover_stretch < FIRM
    return (
        _measure({e.foam for e in edges}, result.sheet.unit),
        _PRINT,
        _garment(laid),
        *_CUT,
        *((_carve(sewn),) if any(e.bevel > 0 for e in edges) else ()),
        *_joined(result.pads),
        *_shaped(result, advice),
        *((_cover(firm), *joined) if firm else (*joined, _cover(firm))),
        *_on_her(result),
        _RECORD,
    )


def _measure(foams: Iterable[float], unit: str) -> Step:
    sold = " and ".join(both(foam, unit).replace(" ", "\u00a0") for foam in sorted(foams))
    return Step(
        "Measure the foam first",
        "Let the sheet lie flat and unpressed for 24 hours, then measure its thickness in three places. These "
        f"pieces are drawn for {sold}. If yours differs by more than "
        f"{f'{SHEET_TOLERANCE:g} mm' if unit != 'in' else '1/16 in'}, enter what you read as foam.measured in "
        "the sheet and print again: foam is often thinner than it is sold.",
        fill=("measured",),
    )


_PRINT: Final = Step(
    "Check the print and cut out the paper",
    "Measure the square on the first page: 100 mm inside, 4 in outside. Join pages at the lettered crosses. "
    "Cut the pieces out on the heavy line.",
)


def _garment(laid: bool) -> Step:
    pieces = "By the full-size pieces, allowances included; or by" if laid else "By"
    return Step(
        "Cut shell and lining",
        f"{pieces} her own block and the side-seam strip, which adds what the pads take, all of it at the side seams. "
        "The lining goes by the body. Fold darts to the centre, those of the lining as loose pleats if you like; baste "
        "and try on before anything is trimmed.",
    )


_CUT: Final = (
    Step(
        "Mark the foam",
        "Lay the pieces as on the foam layout, printed face up, arrows as drawn. Trace round them; mark "
        "notches, hip line and bevel line. Write the name and UP on each piece at once: they look alike once "
        "cut.",
    ),
    Step(
        "Cut the foam",
        "Cut upright through the sheet, in one long stroke where you can, with a fresh blade.",
        "Sharp blade: cut away from your body and from the hand that holds, on a cutting mat; cap it between cuts.",
    ),
)


def _carve(sewn: bool) -> Step:
    return Step(
        "Carve the edge",
        "On the face you see only. Draw the three dotted lines, cut slanting steps from line to line, then "
        "blend them until the edge card shows no light. Run the bevel out to nothing at the edge"
        + (", and leave the side seam at full thickness." if sewn else "."),
        "Carve away from the body. Sand or grind only with ventilation and a dust mask.",
    )


def _joined(pads: Sequence[Pad]) -> Iterator[Step]:
    """Pieces that are compared with, or laid on, one another."""
    if any(pad.twin for pad in pads):
        yield Step(
            "Check the mirrored pairs",
            "Lay each left piece on its right one, outside against outside: outlines and notches must meet, "
            "and the stack must be evenly thick.",
        )
    if any(pad.layers > 1 for pad in pads):
        yield Step(
            "Lay the slabs on one another",
            "The largest goes to the body. Lay each next slab on it by its name, side seams and notches level; it "
            "begins where the bevel of the one below ends, so that one slope runs through all. Catch them together "
            "with long stitches, thread and not glue.",
        )
    if further := sorted({pad.label for pad in pads if pad.label}):
        yield Step(
            "Place the further pads",
            f"{', '.join(further).capitalize()}: by the drops on the pieces, over the pads named first where they "
            "meet.",
        )


def _shaped(result: Preview, advice: Sequence[str]) -> Iterator[Step]:
    """What this body asks of its pads."""
    if narrowed := pad_notes(result, result.sheet.unit):
        yield Step("Where the leg begins", " ".join(narrowed) + " The pieces are printed so.")
    if advice:
        yield Step("Shape what will not lie flat", " ".join(advice))


_SEW: Final = Step(
    "Sew front to back",
    "Butt the two side-seam edges together, notches matched, and whip them with strong thread through "
    "both faces, stitches about 10 mm apart, snug but not pulled in. Thread, not glue: glue does not "
    "survive washing.",
    "If you do use glue anywhere: fresh air, no flame near, gloves, and none against the skin.",
)


def _cover(firm: bool) -> Step:
    lead = (
        "Firm cloth: wrap each pad by itself, before the side seam is sewn. Cut the covers with the arrow up and the "
        "threads straight. "
        if firm
        else "Cut the covers with the stretchiest direction across the body. "
    )
    return Step(
        "Cover",
        f"{lead}Sew the two loops into the upper end where they are marked. Sew inner to outer face, right sides "
        "together, easing the longer edge, and leave open what is marked at the lower end. Neaten the raw edges with "
        "zigzag or overcasting, so that they neither fray nor show through. Turn, put the pad in with its carved face "
        "under the outer cover, close by hand. Then stitch through everything on the stay line.",
        "Elastic and rubber can carry latex: ask the client. Let a hot iron come nowhere near the foam.",
    )


def _on_her(result: Preview) -> tuple[Step, Step]:
    unit = result.sheet.unit
    level, read, by, pressed = (
        _unbroken(mm, unit)
        for mm in (
            result.figure.new_hip_drop,
            result.new_hip_girth,
            max(result.figure.sheet_tolerance, SHEET_TOLERANCE),
            result.shell.worn_hip,
        )
    )
    return (
        Step(
            "Hang the pads",
            f"Side seam on side seam, {places_described(result)}. Hang them from the waistband with tape, or catch "
            "them to the lining; nothing may pull on the foam.",
        ),
        Step(
            "Fit",
            f"With the tape level at {level} below the waist it should read about {read} over the pads, give or take "
            f"{by} for the foam's own tolerance, and about {pressed} pressed to the shell. Look from the front, the "
            "side and the back, at arm's length and from across the room; no edge may show when she sits and stands "
            "up.",
            "Take pads off at once if anything pinches, numbs or chafes.",
        ),
    )


_RECORD: Final = Step(
    "Record the fitted girth",
    "Read the tape over the finished garment at the same level and write it down; silhouette fitted keeps it "
    "in the sheet, and next time starts from there.",
    fill=("date", "over the pads", "over the garment"),
)


def _unbroken(mm: float, unit: str) -> str:
    """A length on one line."""
    return format_length(mm, unit).replace(" ", "\u00a0")


def places_described(result: Preview) -> str:
    """Where the pads go, in words."""

    backs = any(p.part == "back" for p in result.pads)
    return (
        f"upper end {_per_side(result, _start)} below the waist, hip notch "
        f"{_unbroken(result.body.measures.hip_drop, result.sheet.unit)} below it"
        + (f", back edge {_per_side(result, _gap)} from the centre back" if backs else "")
    )


def _start(pads: Sequence[Pad]) -> float | None:
    return float(pads[0].outline[0, 1]) if pads else None


def _gap(pads: Sequence[Pad]) -> float | None:
    return next((max(p.clearance, 0.0) for p in pads if p.part == "back"), None)


def _per_side(result: Preview, measure: Callable[[Sequence[Pad]], float | None]) -> str:
    """One length when both sides agree, else one for each side."""
    found = [(side, measure([p for p in result.pads if p.side == side])) for side in SIDES]
    known = [(name, mm) for name, mm in found if mm is not None]
    if len({round(mm, 1) for _, mm in known}) == 1:
        return _unbroken(known[0][1], result.sheet.unit)
    return " and ".join(f"{_unbroken(mm, result.sheet.unit)} ({name})" for name, mm in known)
