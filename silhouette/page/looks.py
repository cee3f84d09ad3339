"""What each control does to the look of the figure: a sentence that stands behind the declared help.

The declaration says what a value is; this says what an eye sees when it changes, and where there is nothing to see.
"""

from __future__ import annotations

from typing import Final

_STAYS: Final = "The figure stays as it is"
_ALLOWED: Final = f"{_STAYS}; the pieces are cut larger all round or at that edge."

LOOKS: Final[dict[str, str]] = {
    "client.name": f"{_STAYS}; the name stands above it.",
    "client.size": "Larger: a front pad without a reach of its own comes further round the hip to the front.",
    "client.notes": f"{_STAYS}.",
    "client.note": f"{_STAYS}; the note stands beside it.",
    "client.next_date": f"{_STAYS}; the date stands beside it.",
    "girths.waist": "More: a broader waist, and a gentler curve down to the hip.",
    "girths.high_hip": "More: the hip rounds out higher up, just below the waist.",
    "girths.hip": "More: the hip stands further out, to the sides and behind.",
    "girths.thigh": "More: fuller legs; below the hip the outline runs in less.",
    "girths.knee": "More: the legs run in less towards the knee.",
    "along.hip": "Longer: the fullest line of the hip lies lower.",
    "along.under_seat": "Longer: the fold under the seat lies lower.",
    "along.knee": "Longer: the knee lies lower, and with it a hem at the knee.",
    "drops.high_hip": "More: the high hip lies lower, and the curve from the waist is longer.",
    "drops.hip": "More: the fullest line of the hip lies lower.",
    "drops.under_seat": "More: the seat ends lower, and so do pads without an end of their own.",
    "drops.knee": "More: longer legs, and a longer skirt where the hem is at the knee.",
    "widths.waist_breadth": "More: a broader waist from the front, a flatter one from the side.",
    "widths.waist_depth": "More: a deeper waist from the side, a narrower one from the front.",
    "widths.hip_breadth": "More: a broader hip from the front, a flatter seat from the side.",
    "widths.hip_depth": "More: a fuller seat from the side, a narrower hip from the front.",
    "shape.stance": "From the side the seat moves back and the front in; from the front little changes.",
    "shape.belly": "From the side the front of the figure rounds out below the waist.",
    "shape.high_hip": "From the front the outline between waist and hip fills out.",
    "shape.outer_thigh": "From the front the outline below the hip fills out.",
    **{
        f"uneven.{part}_{side}": f"More than half: her {side} {words} stands out further than the other, dressed too."
        for part, words in (("waist", "waist"), ("high_hip", "high hip"), ("hip", "hip"))
        for side in ("left", "right")
    },
    **{
        f"uneven.thigh_{side}": f"More: her {side} leg is fuller, and the outline below that hip runs in less."
        for side in ("left", "right")
    },
    **{
        f"uneven.hip_drop_{side}": f"More: her {side} hip rounds out lower than the other."
        for side in ("left", "right")
    },
    "body.outline": "The figure takes on her own outline from the front and from the side.",
    "body.scan": "The figure takes on the shape of the scan.",
    "body.scan_unit": "Not the right one: a figure far too large or too small, which is refused.",
    "body.scan_up": "Not the right one: the figure lies down, which is refused.",
    "body.scan_front": "Not the right one: the figure is turned, hip for seat.",
    "body.scan_waist": "Higher: the skirt begins further up the figure.",
    "body.scan_hip": "Higher: the hip line moves up the figure.",
    "body.scan_crotch": "Higher: the legs part further up.",
    "body.scan_knee": "Higher: the knee moves up, and with it a hem at the knee.",
    "pads.thickness": "More: the hip stands further out; past 25 mm (1 in) an edge begins to show under the cloth.",
    "pads.bevel": "Wider: the pad runs out softly under the cloth; narrower: a fuller hip that ends in a step.",
    "pads.profile": "Rounded keeps the hip full far out, straight runs off evenly, feathered is thin for longest.",
    "pads.start": "Lower: the fullness moves down, away from the waist; higher: the high hip rounds out.",
    "pads.front_reach": "Further: the hip is fuller in front as well; shorter: the fullness keeps to its side.",
    "pads.back_gap": "Wider: the seat keeps its own shape at the centre back; narrower: the seat fills out as well.",
    "pads.end": "Lower: the fullness runs down on to the outer thigh; higher: it stays on the hip.",
    "pads.fullness": "More: the hip is full right up to the pad's two ends; less: the curve tapers to them.",
    "pads.fullness_below": "More: the thigh fills out below the hip; less: the outline runs in sooner.",
    "pads.layers": "More: the hip stands further out by one thickness of foam for each.",
    "pads.front": "Without it the hip fills out behind the side seam alone.",
    "pads.back": "Without it the seat keeps its own shape; the hip fills out before the side seam alone.",
    "pads.front_outline": "The front of the hip fills out where the points lead the pad.",
    "pads.back_outline": "The seat fills out where the points lead the pad.",
    "foam.grade": "Firmer: the hip stays as full under a close skirt; softer: the cloth presses it flatter.",
    "foam.measured": "More than the label says: the hip stands out by that much more.",
    "foam.firmness": "More: the hip stays fuller under a close skirt.",
    "foam.sample_weight": "More: the foam is firmer, and the hip stays fuller under a close skirt.",
    "foam.sample_side": "More, under the same weight: the foam is softer, and the cloth presses the hip flatter.",
    "foam.sample_loose": "More: the foam gave more, and the cloth presses the hip flatter.",
    "foam.sample_pressed": "More: the foam gave less, and the hip stays fuller under a close skirt.",
    "foam.sheet_width": f"{_STAYS}; how much foam to buy changes.",
    "cloth.colour": "Both skirts in the picture take it.",
    "cloth.ease": "More: the skirt hangs looser above and below the hip.",
    "cloth.shell_hip": "Less: the skirt presses the pads and the hip reads smaller; more: it hangs off the hip.",
    "cloth.below": "Running in to the knee lets the hip look fuller; hanging straight shows less of it.",
    "cloth.hem": "More: the skirt ends further down the legs.",
    "cloth.lining_ease": f"{_STAYS}; the lining is cut wider at the hip.",
    "cloth.stretch": "More: a skirt cut close gives, and presses the hip less.",
    "cloth.stiffness": "More: a skirt cut close gives less, and presses the hip flatter.",
    "cloth.seam_allowance": _ALLOWED,
    "cloth.opening_allowance": _ALLOWED,
    "cloth.hem_allowance": _ALLOWED,
    "cloth.dart_limit": f"{_STAYS}; less: the skirt has two small darts in place of one between waist and hip.",
    "cloth.width": f"{_STAYS}; how the pieces lie on the cloth changes.",
    "cloth.nip": "More: the skirt runs in further to the knee behind, and the hip looks fuller above it.",
    "cloth.cover_stretch": f"{_STAYS}; the cover goes over both pads or round each.",
    "cloth.cover_pull": f"{_STAYS}; the cover is cut smaller and sits tighter.",
    "cloth.cover_allowance": _ALLOWED,
    "cloth.cover_width": f"{_STAYS}; how the covers lie on the cloth changes.",
    "aim.hip": "The figure follows once foam is chosen for it: the hip then comes to this girth.",
    "aim.look": "Natural: a hip that could be her own. Stage: a hip as full as is wanted.",
}
