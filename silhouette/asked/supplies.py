"""Foam and cloth: what the dressmaker buys, as declared on the sheet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, get_args

from silhouette.asked.declared import CHOICE, FRACTION, LENGTH, NUMBER, TEXT, declare

Below = Literal["straight", "pegged", "close"]  #: how a skirt goes on below its fullest level
BELOW: Final[tuple[Below, ...]] = get_args(Below)


@dataclass(frozen=True)
class Foam:
    """The foam itself."""

    grade: str = declare(
        "foam grade",
        TEXT,
        "Density and firmness as sold, such as 35/50.",
        "",
        group="foam and edge",
    )
    measured: float | None = declare(
        "measured thickness",
        LENGTH,
        "What a caliper reads on the sheet, if it differs from the nominal.",
        low=2,
        high=80,
        group="foam and edge",
        step=0.5,
        absent="the nominal thickness",
    )
    firmness: float | None = declare(
        "foam firmness",
        NUMBER,
        "Stress in kPa that squeezes the foam by 40 %, when no grade is known.",
        low=0.2,
        high=40,
        group="foam and edge",
        step=0.1,
        absent="that of the grade, else medium",
        symbol="kPa",
    )
    sample_weight: float | None = declare(
        "weight on the sample",
        NUMBER,
        "Scale test: grams that press the sample to its pressed thickness.",
        low=20,
        high=100_000,
        group="foam and edge",
        step=50,
        absent="no scale test",
        symbol="g",
    )
    sample_side: float = declare(
        "side of the sample",
        LENGTH,
        "Scale test: side of the square sample that is pressed.",
        101.6,
        metric=100.0,
        low=30,
        high=400,
        group="foam and edge",
        step=5,
    )
    sample_loose: float | None = declare(
        "sample, loose",
        LENGTH,
        "Scale test: thickness of the sample before pressing.",
        low=5,
        high=200,
        group="foam and edge",
        step=0.5,
        absent="no scale test",
    )
    sample_pressed: float | None = declare(
        "sample, pressed",
        LENGTH,
        "Scale test: thickness of the sample under the weight.",
        low=1,
        high=200,
        group="foam and edge",
        step=0.5,
        absent="no scale test",
    )
    sheet_width: float = declare(
        "foam sheet width",
        LENGTH,
        "Width of the foam sheet the pads are cut from.",
        609.6,
        metric=600.0,
        low=100,
        high=3000,
        group="cutting",
        step=10,
    )


#: Tones that the page can show the cloth in.
COLOURS = ("slate", "ink", "wine", "moss", "plum", "oat")


@dataclass(frozen=True)
class Cloth:
    """The shell that goes over the pads."""

    colour: str = declare(
        "colour of the cloth",
        CHOICE,
        "How the cloth is shown in the picture; it changes nothing else.",
        "slate",
        choices=COLOURS,
        group="cloth",
    )

    ease: float = declare(
        "ease",
        LENGTH,
        "Added to the shell girth so that it can be worn.",
        20.0,
        low=0,
        high=200,
        group="foam and edge",
        step=5,
    )
    shell_hip: float | None = declare(
        "shell hip girth",
        LENGTH,
        "Girth the shell is cut to at the hip, without seam allowance.",
        low=500,
        high=2400,
        group="foam and edge",
        step=5,
        absent="recommended",
    )
    below: Below = declare(
        "below the hip",
        CHOICE,
        "Straight hangs plumb from the fullest level, pegged comes in to the knee, close follows the legs "
        "(stretch cloth only).",
        "straight",
        choices=BELOW,
        group="foam and edge",
    )
    hem: float | None = declare(
        "hem",
        LENGTH,
        "Drop of the hem, straight down from the waist.",
        low=350,
        high=1300,
        group="foam and edge",
        step=10,
        absent="at the knee",
    )
    lining_ease: float = declare(
        "ease of the lining",
        LENGTH,
        "Added to the body's girth for the lining.",
        20.0,
        low=0,
        high=200,
        group="foam and edge",
        step=5,
    )
    stretch: float | None = declare(
        "stretch of the cloth",
        NUMBER,
        "How much longer a strip gets under a firm pull (6 N per cm), in percent.",
        low=0.1,
        high=200,
        group="foam and edge",
        step=1,
        absent="the cloth does not stretch",
        symbol="%",
    )
    stiffness: float | None = declare(
        "stiffness of the cloth",
        NUMBER,
        "Pull in N per metre of height that would double its length.",
        low=100,
        high=500_000,
        group="foam and edge",
        step=100,
        absent="the cloth does not stretch",
        symbol="N/m",
    )
    seam_allowance: float = declare(
        "seam allowance",
        LENGTH,
        "Added at each side seam of shell and lining.",
        15.875,
        metric=15.0,
        low=0,
        high=60,
        group="cutting",
        step=1,
    )
    opening_allowance: float = declare(
        "opening allowance",
        LENGTH,
        "Added at the centre back of shell and lining, for the zip.",
        25.4,
        metric=25.0,
        low=0,
        high=80,
        group="cutting",
        step=1,
    )
    hem_allowance: float = declare(
        "hem allowance",
        LENGTH,
        "Added at the hem of shell and lining.",
        38.1,
        metric=40.0,
        low=0,
        high=120,
        group="cutting",
        step=1,
    )
    dart_limit: float = declare(
        "widest dart",
        LENGTH,
        "A waist dart that would be wider is split in two.",
        40.0,
        low=15,
        high=80,
        group="cutting",
        step=1,
    )
    width: float = declare(
        "cloth width",
        LENGTH,
        "Width of shell and lining cloth as sold.",
        1397.0,
        metric=1400.0,
        low=300,
        high=3200,
        group="cutting",
        step=10,
    )
    nip: float = declare(
        "nip at the back knee",
        LENGTH,
        "Taken off the shell's back panel at the knee, at each side seam; a pegged skirt left at 0 takes 1 in.",
        0.0,
        low=0,
        high=80,
        group="cutting",
        step=1,
    )
    cover_stretch: float = declare(
        "stretch of the cover cloth",
        NUMBER,
        "How far it gives across: 10 in that pulls to 14 in is 40. Below 10 it is firm: each pad is wrapped by itself.",
        40.0,
        low=0,
        high=150,
        group="cutting",
        step=5,
        symbol="%",
    )
    cover_pull: float = declare(
        "pull of the cover",
        FRACTION,
        "Share of that stretch used up when the cover is on: 0 loose, 1 at its limit.",
        0.25,
        low=0,
        high=1,
        group="cutting",
        step=0.05,
    )
    cover_allowance: float = declare(
        "cover seam allowance",
        LENGTH,
        "Added all round each cover piece.",
        9.525,
        metric=10.0,
        low=3,
        high=30,
        group="cutting",
        step=1,
    )
    cover_width: float = declare(
        "cover cloth width",
        LENGTH,
        "Width of the cover cloth as sold.",
        1397.0,
        metric=1400.0,
        low=200,
        high=3000,
        group="cutting",
        step=10,
    )
