"""Previews hip pads on a body lofted from tape measurements, before foam is cut.

>>> import silhouette
>>> seen = silhouette.preview(silhouette.read_sheet("demo"))
>>> seen.verdict
'watch'
"""

import logging

from silhouette.asked.faults import Fault, OutputError, SheetError, SilhouetteError, UsageError
from silhouette.asked.pads import Pads
from silhouette.asked.reading import from_plain, read_sheet, read_text
from silhouette.asked.readings import Client, Drops, Girths, Widths
from silhouette.asked.sheet import Sheet
from silhouette.asked.supplies import Cloth, Foam
from silhouette.asked.writing import sheet_toml, starter_sheet, to_plain, with_values
from silhouette.judged.finding import Finding
from silhouette.pipeline import Preview, preview
from silhouette.shape.body import Body
from silhouette.shape.dimensions import Measures
from silhouette.shape.figure import Figure, LevelReading
from silhouette.shape.pads import Pad
from silhouette.shape.solids import Solid
from silhouette.shape.tape import Tape

logging.getLogger(__name__).addHandler(logging.NullHandler())  # quiet unless somebody listens

__version__ = "0.1.0"

__all__ = [
    "Body",
    "Client",
    "Cloth",
    "Drops",
    "Fault",
    "Figure",
    "Finding",
    "Foam",
    "Girths",
    "LevelReading",
    "Measures",
    "OutputError",
    "Pad",
    "Pads",
    "Preview",
    "Sheet",
    "SheetError",
    "SilhouetteError",
    "Solid",
    "Tape",
    "UsageError",
    "Widths",
    "from_plain",
    "preview",
    "read_sheet",
    "read_text",
    "sheet_toml",
    "starter_sheet",
    "to_plain",
    "with_values",
]
