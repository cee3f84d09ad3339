"""The one error root, and the error that lists every fault of a sheet at once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


class SilhouetteError(Exception):
    """Root of every error that this package raises on purpose."""


@dataclass(frozen=True)
class Fault:
    """One thing wrong, at one place (``pads.thickness = 300 mm``, ``line 3, column 9``, a path)."""

    place: str
    message: str

    def __str__(self) -> str:
        return f"{self.place}: {self.message}"


class SheetError(SilhouetteError):
    """A sheet that cannot be used; ``faults`` holds every reason, never only the first."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class UsageError(SilhouetteError):
    """A call that cannot be meant as it stands: something left out, too much of it, or out of its range."""


class OutputError(SilhouetteError):
    """A place that cannot be written to, or a picture that this machine cannot make."""
