"""The colours of a picture: cloth in the tone the sheet names, skin as a dress form has it, foam."""

from __future__ import annotations

from typing import Final

import numpy as np

from silhouette.pipeline import Preview
from silhouette.shown.surface import Role

#: Cloth tones a sheet can name, matt and of middle lightness.
TONES: Final[dict[str, tuple[int, int, int]]] = {
    "slate": (116, 136, 158),
    "ink": (74, 84, 108),
    "wine": (142, 72, 84),
    "moss": (120, 132, 96),
    "plum": (122, 92, 128),
    "oat": (196, 178, 150),
}
SKIN: Final = (226, 211, 194)
PAD: Final = (193, 136, 104)


def colours_of(preview: Preview) -> dict[Role, tuple[int, int, int]]:
    """The colour of each role, the cloth in the tone the sheet names."""
    cloth = np.array(TONES[preview.sheet.cloth.colour])

    def tone(share: float) -> tuple[int, int, int]:
        red, green, blue = (int(c) for c in cloth * share)
        return red, green, blue

    return {
        "cloth": tone(1.0),
        "band": tone(0.93),
        "seam": tone(0.82),
        "zip": tone(0.5),
        "inside": tone(0.55),
        "skin": SKIN,
        "pad": PAD,
    }
