"""The shell over a padded figure: the girth it is cut to, and what is worn under it.

A shell is graded like the figure it covers: away from the pads it has the sheet's ease over the body, and as far as
the pads add girth it runs over to what it is cut to at the new hip.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np

from silhouette.cloth.chain import Strips
from silhouette.cloth.cut_girths import CutGirths, shell_girths
from silhouette.cloth.foam_curve import Foam, foam_of_sheet
from silhouette.cloth.strips import Rows, strips_on
from silhouette.cloth.worn import Worn, felt, lying_on, under_shell
from silhouette.shape.curves import Array
from silhouette.shape.figure import Figure
from silhouette.shape.support import support
from silhouette.shape.tape import Tape

#: Pull at which the stretch of a woven cloth is read: 6 N per cm of width (EN 14704-1, seen).
STRETCH_PULL: Final = 600.0
GRIP: Final = 0.5  #: mm; a shell tighter than the tape by less than this is called loose


@dataclass(frozen=True, eq=False)
class Shell:
    """The shell over one figure padded with loose foam. Lengths in mm, tension in N/m, pressure in kPa.

    Everything is worked out when first asked for; a preview without a shell of its own costs nothing here.
    """

    figure: Figure

    @property
    def given(self) -> bool:
        """Whether the sheet says what the shell is cut to."""
        return self.figure.sheet.cloth.shell_hip is not None

    @cached_property
    def _sheet_foam(self) -> tuple[Foam, str]:
        return foam_of_sheet(self.figure.sheet.foam)

    @property
    def foam(self) -> Foam:
        """Compression curve of the sheet's foam."""
        return self._sheet_foam[0]

    @property
    def foam_words(self) -> str:
        """Where the curve came from, in a few words."""
        return self._sheet_foam[1]

    @property
    def stiffness(self) -> float:
        """Pull that would double the cloth's length; infinite where it does not stretch."""
        cloth = self.figure.sheet.cloth
        if cloth.stiffness is not None:
            return cloth.stiffness
        return STRETCH_PULL / (cloth.stretch / 100) if cloth.stretch else np.inf

    @cached_property
    def snug_hip(self) -> float:
        """Close-fitting girth at the new hip: a shell of it lies on with a pull of ``SNUG_PULL``, before ease."""
        figure, row = self.figure, self.figure.new_hip_row
        loose = float(figure.after.girth[row])
        if not figure.pads:
            return loose
        here = np.array([row])
        snug = lying_on(strips_on(figure, here), self.foam, np.array([loose]))
        return float(np.clip(snug.girth[0], figure.before.girth[row], loose))

    @property
    def cut_hip(self) -> float:
        """What to cut the shell to at the new hip when nothing else is said: the close-fitting girth plus ease."""
        return self.snug_hip + self.figure.sheet.cloth.ease

    @cached_property
    def cut(self) -> CutGirths:
        """What the shell is cut to from the waist to the hem, without seam allowance."""
        given = self.figure.sheet.cloth.shell_hip
        return shell_girths(self.figure, self.cut_hip if given is None else given)

    @cached_property
    def girth(self) -> Array:
        """The same at every level of the body (L,), as if the hem lay no higher."""
        return np.interp(self.figure.body.drops, self.cut.drops, self.cut.girth)

    @property
    def hip(self) -> float:
        """Girth the shell is cut to at the level of the new hip."""
        return float(self.girth[self.figure.new_hip_row])

    @cached_property
    def rows(self) -> Rows:
        """Levels at which the shell is tighter than a tape over loose foam."""
        return np.flatnonzero(self.girth < self.figure.after.girth - GRIP)

    @property
    def tight(self) -> bool:
        """Whether the shell squeezes the foam anywhere."""
        return len(self.rows) > 0

    @cached_property
    def _strips(self) -> Strips:
        return strips_on(self.figure, self.rows)

    @cached_property
    def worn(self) -> Worn:
        """What the shell does at ``rows``, in the order of ``rows``."""
        loose = self.figure.after.girth[self.rows]
        return under_shell(self._strips, self.foam, self.girth[self.rows], loose, self.stiffness)

    @property
    def loose_thickness(self) -> Array:
        """Foam as it lies loose at ``rows``, at the places of ``worn.thickness``."""
        return self._strips.loose

    @cached_property
    def worn_figure(self) -> Figure:
        """The figure that is seen: its ``after`` is the tape over the shell where that is tight."""
        if not self.tight:
            return self.figure
        faces = self._strips.body + self.worn.thickness[..., None] * self._strips.outward
        h = self.figure.after.h.copy()
        reach = support(faces, h.shape[1])
        h[self.rows] = np.clip(reach, self.figure.before.h[self.rows], h[self.rows])
        return replace(self.figure, after=Tape(self.figure.after.drops, self.figure.after.directions, h))

    @cached_property
    def worn_girth(self) -> Array:
        """Tape reading over the shell, pressed to it, at every level (L,)."""
        girth = self.figure.after.girth.copy()
        if self.tight:
            girth[self.rows] = np.maximum(self.worn.girth, self.figure.before.girth[self.rows])
        return girth

    def worn_at(self, drop: float) -> float:
        """Tape reading over the shell, pressed to it, at any drop."""
        return float(np.interp(drop, self.figure.body.drops, self.worn_girth))

    @property
    def worn_hip(self) -> float:
        """Largest worn girth in the hip zone."""
        return float(self.worn_girth[self.figure.hip_zone].max())

    @property
    def squeeze(self) -> float:
        """Largest share of the foam pressed out at any level whose foam matters."""
        return float(self._weighed(self.worn.squeeze).max()) if self.tight else 0.0

    @property
    def squeeze_at_hip(self) -> float:
        """Share of the foam pressed out at the level of the new hip."""
        at = np.flatnonzero(self.rows == self.figure.new_hip_row)
        return float(self.worn.squeeze[at[0]]) if len(at) else 0.0

    @property
    def tension(self) -> float:
        """Largest pull in the cloth, N per metre of height."""
        return float(self.worn.tension.max()) if self.tight else 0.0

    @cached_property
    def pressure(self) -> tuple[float, int, float]:
        """Largest pressure on the body (kPa, felt over a fingertip), its level, and its direction in radians."""
        if not self.tight:
            return 0.0, self.figure.new_hip_row, 0.0
        even = felt(self._strips, self.worn.pressure)
        row, column = np.unravel_index(int(np.argmax(even)), even.shape)
        x, y = self._strips.outward[row, column]
        return float(even[row, column]), int(self.rows[row]), float(np.arctan2(y, x))

    @property
    def felt_by_level(self) -> Array:
        """Largest pressure felt on the body at each of ``rows``, kPa."""
        return np.asarray(felt(self._strips, self.worn.pressure).max(axis=1))

    def at_hip(self, girth: float) -> tuple[float, float]:
        """Share of foam pressed out and largest felt pressure (kPa) at the new hip, were the shell cut to ``girth``."""
        here = np.array([self.figure.new_hip_row])
        strips = strips_on(self.figure, here)
        worn = under_shell(strips, self.foam, np.array([girth]), self.figure.after.girth[here], self.stiffness)
        return float(worn.squeeze[0]), float(felt(strips, worn.pressure).max())

    @property
    def closes(self) -> bool:
        """False where no cloth would close round the figure at this girth."""
        return not self.tight or bool(self.worn.closes.all())

    def _weighed(self, values: Array) -> Array:
        """Values at levels whose foam is at least half as thick as the pad's; near its tips little is left."""
        thick = self._strips.loose.max(axis=1)
        return np.where(thick >= 0.5 * thick.max(), values, 0.0)
