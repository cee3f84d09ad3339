"""The sheet: what the dressmaker wrote down, as frozen data in millimetres."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any, Final, Literal, get_args

from silhouette.asked.body_sources import BodySources
from silhouette.asked.declared import CHOICE, LENGTH, Parameter, declare, parameters_of
from silhouette.asked.figure import Along, Shape, Uneven
from silhouette.asked.pads import Pads
from silhouette.asked.readings import Client, Drops, Girths, Widths
from silhouette.asked.supplies import Cloth, Foam

Side = Literal["left", "right"]
SIDES: Final[tuple[Side, ...]] = get_args(Side)
LOOKS: Final = ("natural", "stage")


@dataclass(frozen=True)
class Aim:
    """What she asked for."""

    hip: float | None = declare(
        "wanted hip",
        LENGTH,
        "The hip girth she would like to have, dressed.",
        low=500,
        high=2400,
        group="aim",
        step=5,
        absent="no wish given",
    )
    look: str = declare(
        "look",
        CHOICE,
        "Whether the pads are to look like her own, or may be seen for the stage: then only what holds, bends, "
        "hides its edge and lets her sit is judged.",
        "natural",
        choices=LOOKS,
        group="aim",
    )


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
    """Everything that was asked. ``left`` and ``right`` hold one side's differing pad choices.

    ``folder`` is where the sheet lies, if it names a file that stands beside it; no key of the sheet.
    """

    girths: Girths
    unit: str = "cm"
    client: Client = field(default_factory=Client)
    drops: Drops = field(default_factory=Drops)
    widths: Widths = field(default_factory=Widths)
    along: Along = field(default_factory=Along)
    shape: Shape = field(default_factory=Shape)
    uneven: Uneven = field(default_factory=Uneven)
    body: BodySources = field(default_factory=BodySources)
    pads: Pads = field(default_factory=Pads)
    left: tuple[tuple[str, Any], ...] = ()
    right: tuple[tuple[str, Any], ...] = ()
    more_pads: tuple[MorePads, ...] = ()
    foam: Foam = field(default_factory=Foam)
    cloth: Cloth = field(default_factory=Cloth)
    aim: Aim = field(default_factory=Aim)
    folder: str | None = None

    def pads_on(self, side: Side) -> Pads:
        """The pad choices of one side, ``left`` or ``right``, overrides applied."""
        return replace(self.pads, **dict(self.left if side == "left" else self.right))


SECTIONS: Final[dict[str, type]] = {
    "client": Client,
    "girths": Girths,
    "along": Along,
    "drops": Drops,
    "widths": Widths,
    "shape": Shape,
    "uneven": Uneven,
    "body": BodySources,
    "pads": Pads,
    "foam": Foam,
    "cloth": Cloth,
    "aim": Aim,
}

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
        side: Side = "left" if rest[0] == "left" else "right"
        return getattr(sheet.pads_on(side), rest[1])
    return getattr(getattr(sheet, section), rest[0])
