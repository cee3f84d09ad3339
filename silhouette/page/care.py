"""What a client reads about looking after the garment; common practice, no source."""

from __future__ import annotations

from typing import Final

CARE: Final = (
    "Take the pads out before the garment is cleaned; clean the garment as its cloth asks.",
    "Sponge the pads with lukewarm water and mild soap, press them dry in a towel, never wring; dry flat, away from "
    "sun and heaters. Keep the iron off them.",
    "Foam keeps warmth and moisture: let the pads air overnight after wearing.",
    "Keep foam from flames, cigarettes and hot lamps: it burns fast and smokes, and no treatment makes it safe.",
    "The pads are for shape; they do not protect in a fall. Over broken skin, after surgery, in pregnancy or with "
    "numbness, ask the clinician who treats you first. Take them off if the skin itches: "
    "elastic, glue and rubber can irritate.",
)
