"""The sheet: what the dressmaker wrote down, as frozen data in millimetres."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any, Final, Literal

from silhouette.asked.declared import (
    CHOICE,
    FLAG,
    FRACTION,
    LENGTH,
    NUMBER,
    POINTS,
    TEXT,
    Parameter,
    declare,
    parameters_of,
)
from silhouette.asked.figure import Along, Shape, Uneven
from silhouette.asked.supplies import Cloth, Foam

PROFILES: Final = ("straight", "rounded", "feathered")
SIDES: Final = ("left", "right")
Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Client:
    """Who it is for."""

    name: str = declare("name", TEXT, "Client's name or a label of your own.", "", group="client")
    size: float | None = declare(
        "trade size", NUMBER, "Trade size; sets the front reach when that is left out.",
        low=0, high=60, group="client", step=2, absent="hip girth is used instead",
    )  # fmt: skip
    notes: str = declare(
        "workroom notes", TEXT, "Anything to remember; the client does not see it.", "", group="client"
    )
    note: str = declare("note to the client", TEXT, "Printed on what she takes home.", "", group="hand over")
    next_date: str = declare("next date", TEXT, "When she comes next, as she should read it.", "", group="hand over")


@dataclass(frozen=True)
class Girths:
    """Tape readings round the body, mm."""

    waist: float = declare(
        "waist girth", LENGTH, "Round the natural waist.", low=380, high=1900, group="client", step=5, needed=True,
    )  # fmt: skip
    high_hip: float | None = declare(
        "high hip girth", LENGTH, "Round the hip bones, between waist and hip.",
        low=430, high=2000, group="client", step=5, absent="estimated from waist and hip",
    )  # fmt: skip
    hip: float = declare(
        "hip girth", LENGTH, "Round the fullest part of the seat.",
        low=500, high=2000, group="client", step=5, needed=True,
    )  # fmt: skip
    thigh: float | None = declare(
        "thigh girth", LENGTH, "Round one thigh, just under the seat.",
        low=280, high=1200, group="client", step=5, absent="estimated from the hip",
    )  # fmt: skip
    knee: float | None = declare(
        "knee girth", LENGTH, "Round one knee.",
        low=200, high=800, group="client", step=5, absent="estimated from the hip",
    )  # fmt: skip


@dataclass(frozen=True)
class Drops:
    """Vertical distances below the waist, mm."""

    high_hip: float | None = declare(
        "waist to high hip", LENGTH, "Straight down from the waist to the high hip.",
        low=30, high=250, group="client", step=5, absent="estimated",
    )  # fmt: skip
    hip: float | None = declare(
        "waist to hip", LENGTH, "Straight down from the waist to the fullest part of the seat.",
        low=80, high=400, group="client", step=5, absent="estimated",
    )  # fmt: skip
    under_seat: float | None = declare(
        "waist to under the seat", LENGTH, "Straight down from the waist to the fold under the seat.",
        low=120, high=520, group="client", step=5, absent="estimated",
    )  # fmt: skip
    knee: float | None = declare(
        "waist to knee", LENGTH, "Straight down from the waist to the middle of the knee.",
        low=250, high=1000, group="client", step=5, absent="estimated",
    )  # fmt: skip


@dataclass(frozen=True)
class Widths:
    """Caliper breadths (side to side) and depths (front to back), mm. Breadth and depth together fix only
    their ratio: calipers press, so the tape girth wins."""

    waist_breadth: float | None = declare(
        "waist breadth", LENGTH, "Side to side at the waist.", low=100, high=700, group="client", absent="estimated",
    )  # fmt: skip
    waist_depth: float | None = declare(
        "waist depth", LENGTH, "Front to back at the waist.", low=80, high=650, group="client", absent="estimated",
    )  # fmt: skip
    hip_breadth: float | None = declare(
        "hip breadth", LENGTH, "Side to side at the hip.", low=140, high=800, group="client", absent="estimated",
    )  # fmt: skip
    hip_depth: float | None = declare(
        "hip depth", LENGTH, "Front to back at the hip.", low=100, high=700, group="client", absent="estimated",
    )  # fmt: skip


@dataclass(frozen=True)
class Pads:
    """One front and one back pad on each side, drafted flat: distance from the side seam against drop."""

    thickness: float = declare(
        "foam thickness", LENGTH, "Nominal thickness of the foam sheet.",
        19.05, metric=20.0, low=2, high=80, group="pads", step=1,
    )  # fmt: skip
    bevel: float = declare(
        "bevel width", LENGTH, "How far in from the edge the foam is carved down; 0 leaves a square edge.",
        76.2, metric=75.0, low=0, high=200, group="foam and edge", step=2,
    )  # fmt: skip
    profile: str = declare(
        "bevel profile", CHOICE, "Shape of the carved edge.", "rounded", choices=PROFILES, group="foam and edge",
    )  # fmt: skip
    start: float = declare(
        "start below the waist", LENGTH, "Drop of the pad's upper end at the side seam.",
        38.1, low=0, high=500, group="pads", step=5,
    )  # fmt: skip
    front_reach: float | None = declare(
        "front reach", LENGTH, "From the side seam forward along the hip line.",
        low=20, high=600, group="pads", step=5, absent="4, 5 or 6 in by trade size, else by hip girth",
    )  # fmt: skip
    back_gap: float = declare(
        "gap at the centre back", LENGTH, "From the back pad's edge to the centre back, along the hip line.",
        25.4, low=-60, high=400, group="pads", step=5,
    )  # fmt: skip
    end: float | None = declare(
        "end below the waist", LENGTH, "Drop of the pad's lower end at the side seam.",
        low=80, high=700, group="pads", step=5, absent="the under-seat level",
    )  # fmt: skip
    fullness: float = declare(
        "fullness", FRACTION, "How full the outline is above and below the hip line: 0 lean, 1 very full.",
        0.5, low=0, high=1, group="pads", step=0.05,
    )  # fmt: skip
    fullness_below: float | None = declare(
        "fullness below the hip", FRACTION, "Fullness below the hip line alone.",
        low=0, high=1, group="pads", step=0.05, absent="the same as fullness",
    )  # fmt: skip
    layers: float = declare(
        "layers", NUMBER, "Slabs of foam on one another, each smaller than the one below; one carved edge.",
        1, low=1, high=4, group="foam and edge", step=1,
    )  # fmt: skip
    front: bool = declare("front pad", FLAG, "Whether there is a front pad.", True, group="pads")
    back: bool = declare("back pad", FLAG, "Whether there is a back pad.", True, group="pads")
    front_outline: Points | None = declare(
        "front outline", POINTS, "Points [distance from the side seam, drop] that replace the front outline.",
        group="pads", absent="drawn from reach, start, end and fullness",
    )  # fmt: skip
    back_outline: Points | None = declare(
        "back outline", POINTS, "Points [distance from the side seam, drop] that replace the back outline.",
        group="pads", absent="drawn from gap, start, end and fullness",
    )  # fmt: skip


@dataclass(frozen=True)
class Aim:
    """What she asked for."""

    hip: float | None = declare(
        "wanted hip", LENGTH, "The hip girth she would like to have, dressed.",
        low=500, high=2400, group="aim", step=5, absent="no wish given",
    )  # fmt: skip


PadSide = Literal["both", "left", "right"]


@dataclass(frozen=True)
class MorePads:
    """A further front and back pad; what its table leaves out is as in ``[pads]``. It lies on what was laid before."""

    name: str
    side: PadSide
    pads: Pads
    own: tuple[str, ...] = ()  #: keys that its table holds


@dataclass(frozen=True)
class Sheet:
    """Everything that was asked. ``left`` and ``right`` hold one side's differing pad choices."""

    girths: Girths
    unit: str = "cm"
    client: Client = field(default_factory=Client)
    drops: Drops = field(default_factory=Drops)
    widths: Widths = field(default_factory=Widths)
    along: Along = field(default_factory=Along)
    shape: Shape = field(default_factory=Shape)
    uneven: Uneven = field(default_factory=Uneven)
    pads: Pads = field(default_factory=Pads)
    left: tuple[tuple[str, Any], ...] = ()
    right: tuple[tuple[str, Any], ...] = ()
    more_pads: tuple[MorePads, ...] = ()
    foam: Foam = field(default_factory=Foam)
    cloth: Cloth = field(default_factory=Cloth)
    aim: Aim = field(default_factory=Aim)

    def pads_on(self, side: str) -> Pads:
        """The pad choices of one side, ``left`` or ``right``, overrides applied."""
        return replace(self.pads, **dict(self.left if side == "left" else self.right))


SECTIONS: Final[dict[str, type]] = {
    "client": Client, "girths": Girths, "drops": Drops, "along": Along, "widths": Widths,
    "shape": Shape, "uneven": Uneven, "pads": Pads, "foam": Foam, "cloth": Cloth, "aim": Aim,
}  # fmt: skip

PARAMETERS: Final[dict[str, Parameter]] = {
    key: parameter for name, kind in SECTIONS.items() for key, parameter in parameters_of(name, kind).items()
}


def parameter_for(key: str) -> Parameter:
    """The declaration behind a key; ``pads.left.start`` is declared as ``pads.start``."""
    return PARAMETERS[_common(key)]


def is_key(key: str) -> bool:
    """Whether a sheet has such a key; ``pads.left.start`` counts."""
    return _common(key) in PARAMETERS


def _common(key: str) -> str:
    for side in SIDES:
        if key.startswith(f"pads.{side}."):
            return "pads." + key.removeprefix(f"pads.{side}.")
    return key


def value_at(sheet: Sheet, key: str) -> Any:
    """The value a key has in a sheet, in mm for lengths (``pads.left.start`` falls back on ``pads.start``)."""
    section, *rest = key.split(".")
    if section == "unit":
        return sheet.unit
    if len(rest) == 2:
        return getattr(sheet.pads_on(rest[0]), rest[1])
    return getattr(getattr(sheet, section), rest[0])
