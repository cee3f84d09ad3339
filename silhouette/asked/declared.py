"""One declaration per parameter. Sheet, starter file, messages, command line and page all read it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, Field, dataclass, field, fields
from typing import Any, Final

LENGTH: Final = "length"  #: millimetres inside, text or a number in the sheet's unit outside
FRACTION: Final = "fraction"  #: plain number between its bounds
NUMBER: Final = "number"
CHOICE: Final = "choice"
TEXT: Final = "text"
FLAG: Final = "flag"
POINTS: Final = "points"  #: list of [distance from the side seam, drop] pairs, both lengths
OUTLINE: Final = "outline"  #: list of tables, a body's outline level by level, all lengths


@dataclass(frozen=True)
class Parameter:
    """What is known of one sheet key.

    ``low`` and ``high`` bound the value (mm for lengths); ``default`` is None for a value that is
    compulsory (``needed``) or worked out when left out (``absent`` then says how).
    ``step`` is a handy increment for a control, in mm for lengths.
    """

    key: str
    label: str
    kind: str
    help: str
    low: float | None = None
    high: float | None = None
    default: Any = None
    choices: tuple[str, ...] = ()
    group: str = ""
    step: float = 1.0
    needed: bool = False
    absent: str = ""
    metric: Any = None  #: what stands for the default on a metric sheet: the stock sold there
    ends: tuple[str, ...] = ()  #: what the low and the high end mean, in plain words
    symbol: str = ""  #: what a bare number of kind NUMBER counts: "%", "kPa", "g" …


def declare(label: str, kind: str, help: str, default: Any = None, **more: Any) -> Any:
    """A dataclass field that carries its declaration."""
    return field(default=default, metadata={"declared": dict(label=label, kind=kind, help=help, **more)})


def parameters_of(section: str, kind: type) -> dict[str, Parameter]:
    """The declarations of one sheet section, by full key, in order."""
    return {f"{section}.{f.name}": _parameter(section, f) for f in fields(kind) if "declared" in f.metadata}


def _parameter(section: str, item: Field[Any]) -> Parameter:
    declared: Mapping[str, Any] = item.metadata["declared"]
    default = None if item.default is MISSING else item.default
    return Parameter(key=f"{section}.{item.name}", default=default, **declared)
