"""Foam and cloth as bought: ordinary foam grades, and what must agree in ``[foam]`` and ``[cloth]``.

A grade code such as ``35/50`` is *density / stress*; its second number is the stress in units of 0.1 kPa at 40 %
compression (ISO 3386-1, ASTM D3574 test C): 35 kg/m³ and 5.0 kPa, never 50 kPa (supplier sheets, seen).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass

from silhouette.asked.faults import Fault
from silhouette.asked.lengths import in_unit
from silhouette.asked.sheet import Sheet


@dataclass(frozen=True)
class Grade:
    """One ordinary grade of sheet foam.

    ``density`` in kg/m³, ``firmness`` in kPa at 40 % compression, ``source`` says where the pair was met.
    """

    density: float
    firmness: float
    source: str

    @property
    def code(self) -> str:
        """``density/stress`` the way a supplier writes it.

        >>> Grade(35.0, 5.0, "").code
        '35/50'
        """
        return f"{self.density:.0f}/{self.firmness * 10:.0f}"


GRADES: tuple[Grade, ...] = (
    Grade(21, 3.0, "from memory"),
    Grade(25, 3.6, "from memory"),
    Grade(30, 4.3, "from memory"),
    Grade(35, 1.5, "supplier sheet, seen"),
    Grade(35, 5.0, "supplier sheet, seen"),
    Grade(40, 2.8, "supplier sheet, seen"),
    Grade(40, 5.5, "supplier sheet, seen"),
    Grade(45, 2.5, "supplier sheet (45 kg/m³, soft), seen"),
    Grade(45, 3.5, "supplier sheet (45 kg/m³, medium), seen"),
    Grade(45, 4.5, "supplier sheet (45 kg/m³, firm), seen"),
)

# What suppliers call soft, medium and firm: 1.5, 2.8 to 3.5, 4.5 to 5.0 kPa (supplier sheets, seen).
WORDS = {"soft": "35/15", "medium": "40/28", "firm": "35/50"}


class UnknownGrade(ValueError):
    """The grade is not in the table; the message names the nearest that is."""


def read_grade(text: str) -> Grade:
    """The grade a code or one of the words soft, medium, firm stands for.

    >>> read_grade("35/50").firmness
    5.0

    Raises ``UnknownGrade`` with the nearest known grade in its message.
    """
    wanted = WORDS.get(text.strip().lower(), text)
    numbers = re.fullmatch(r"\D*?(\d+(?:[.,]\d+)?)\s*[/-]\s*(\d+(?:[.,]\d+)?)\D*", wanted.strip())
    known = ", ".join(grade.code for grade in GRADES)
    if not numbers:
        raise UnknownGrade(f"“{text}” is not a foam grade; write density/stress, one of {known}, or soft, medium, firm")
    density, tenths = (float(number.replace(",", ".")) for number in numbers.groups())
    # Ratios, because 15 against 50 is a different foam while 35 against 40 kg/m³ is nearly the same one.
    near = min(
        GRADES,
        key=lambda g: abs(math.log(max(density, 1) / g.density)) / 2 + abs(math.log(max(tenths, 1) / 10 / g.firmness)),
    )
    if near.density != density or abs(near.firmness * 10 - tenths) > 1e-9:
        raise UnknownGrade(
            f"foam grade “{text}” is not in the table; the nearest known is {near.code} "
            f"({near.density:.0f} kg/m³, {near.firmness:.1f} kPa at 40 %). Known: {known}; "
            "or give the firmness, or a scale test, instead"
        )
    return near


def material_faults(sheet: Sheet) -> Iterator[tuple[tuple[str, ...], Fault]]:
    """What does not hold together in ``[foam]`` and ``[cloth]``: the keys compared, and the fault."""
    foam, cloth = sheet.foam, sheet.cloth

    def show(mm: float) -> str:
        return f"{in_unit(mm, sheet.unit):.5g} {sheet.unit}"

    if foam.grade:
        try:
            read_grade(foam.grade)
        except UnknownGrade as error:
            yield ("foam.grade",), Fault(f"foam.grade = {foam.grade[:40]}", str(error))
    sample = {
        "sample_weight": foam.sample_weight,
        "sample_loose": foam.sample_loose,
        "sample_pressed": foam.sample_pressed,
    }
    keys = tuple(f"foam.{name}" for name in sample)
    missing = [name for name, value in sample.items() if value is None]
    if missing and len(missing) < len(sample):
        message = f"a scale test needs {', '.join(missing)} too: weight, loose and pressed thickness"
        yield keys, Fault(f"foam.{missing[0]}", message)
    if foam.sample_loose is not None and foam.sample_pressed is not None:
        share = 1 - foam.sample_pressed / foam.sample_loose
        if not 0.02 <= share <= 0.85:
            message = (
                f"the sample must be squeezed by 2 to 85 % of its loose {show(foam.sample_loose)}, "
                f"that is to between {show(0.15 * foam.sample_loose)} and {show(0.98 * foam.sample_loose)}"
            )
            yield keys, Fault(f"foam.sample_pressed = {show(foam.sample_pressed)}", message)
    hip = sheet.girths.hip
    if cloth.shell_hip is not None and hip is not None and cloth.shell_hip < hip:
        message = f"smaller than the body: the hip girth is {show(hip)}"
        yield ("cloth.shell_hip", "girths.hip"), Fault(f"cloth.shell_hip = {show(cloth.shell_hip)}", message)
    if cloth.below == "close" and cloth.stretch is None and cloth.stiffness is None:
        message = "only stretch cloth follows the legs: give cloth.stretch, or choose straight or pegged"
        yield ("cloth.below", "cloth.stretch", "cloth.stiffness"), Fault("cloth.below = close", message)
    if cloth.stretch is not None and cloth.stiffness is not None:
        message = "give the stretch or the stiffness of the cloth, not both"
        yield ("cloth.stretch", "cloth.stiffness"), Fault("cloth.stiffness", message)
