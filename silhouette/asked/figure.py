"""What the tape alone does not say of a figure: its shape in words, unlike sides, readings laid along the body."""

from __future__ import annotations

from dataclasses import dataclass

from silhouette.asked.declared import LENGTH, NUMBER, declare


@dataclass(frozen=True)
class Shape:
    """Words for her shape, -2 to 2; 0 is the usual figure of her girths. No girth moves."""

    stance: float = declare(
        "stance",
        NUMBER,
        "How she stands: below 0 flat seat, hips forward; above 0 full seat, carried back.",
        0.0,
        low=-2,
        high=2,
        group="shape",
        step=0.5,
        ends=("flat seat, hips forward", "full seat, carried back"),
    )
    belly: float = declare(
        "belly",
        NUMBER,
        "The front between waist and hip: below 0 flat, above 0 round.",
        0.0,
        low=-2,
        high=2,
        group="shape",
        step=0.5,
        ends=("flat belly", "round belly"),
    )
    high_hip: float = declare(
        "high hip",
        NUMBER,
        "The sides between waist and hip: below 0 they dip, above 0 they stand out.",
        0.0,
        low=-2,
        high=2,
        group="shape",
        step=0.5,
        ends=("dip above the hip", "shelf above the hip"),
    )
    outer_thigh: float = declare(
        "outer thigh",
        NUMBER,
        "The sides below the hip: below 0 straight, above 0 full.",
        0.0,
        low=-2,
        high=2,
        group="shape",
        step=0.5,
        ends=("straight outer thigh", "full outer thigh"),
    )


def _half(label: str, where: str, low: float, high: float) -> float | None:
    return declare(  # type: ignore[no-any-return]
        label,
        LENGTH,
        f"Centre front to centre back {where}.",
        low=low,
        high=high,
        group="uneven",
        step=5,
        absent="the rest of the girth",
    )


@dataclass(frozen=True)
class Uneven:
    """Sides that differ, mm. A side left out follows from the other and from the whole."""

    waist_left: float | None = _half("left half of the waist", "over the left side at the waist", 150, 1000)
    waist_right: float | None = _half("right half of the waist", "over the right side at the waist", 150, 1000)
    high_hip_left: float | None = _half("left half of the high hip", "over the left side at the high hip", 170, 1050)
    high_hip_right: float | None = _half("right half of the high hip", "over the right side at the high hip", 170, 1050)
    hip_left: float | None = _half("left half of the hip", "over the left side at the hip", 200, 1050)
    hip_right: float | None = _half("right half of the hip", "over the right side at the hip", 200, 1050)
    thigh_left: float | None = declare(
        "left thigh girth",
        LENGTH,
        "Round the left thigh, just under the seat.",
        low=280,
        high=1200,
        group="uneven",
        step=5,
        absent="the thigh girth",
    )
    thigh_right: float | None = declare(
        "right thigh girth",
        LENGTH,
        "Round the right thigh, just under the seat.",
        low=280,
        high=1200,
        group="uneven",
        step=5,
        absent="the thigh girth",
    )
    hip_drop_left: float | None = declare(
        "waist to hip, left",
        LENGTH,
        "Straight down from the waist to the fullest part of the left hip.",
        low=80,
        high=400,
        group="uneven",
        step=5,
        absent="the waist to hip",
    )
    hip_drop_right: float | None = declare(
        "waist to hip, right",
        LENGTH,
        "Straight down from the waist to the fullest part of the right hip.",
        low=80,
        high=400,
        group="uneven",
        step=5,
        absent="the waist to hip",
    )


@dataclass(frozen=True)
class Along:
    """The same levels by a tape laid along the body, mm. They become straight drops on her own contour."""

    hip: float | None = declare(
        "waist to hip, along the side",
        LENGTH,
        "From the waist down the side seam, tape on the body, to the hip line.",
        low=80,
        high=450,
        group="client",
        step=5,
        absent="from the straight drop",
    )
    under_seat: float | None = declare(
        "waist to under the seat, over the seat",
        LENGTH,
        "From the waist down the centre back, tape over the seat, to the fold under it.",
        low=120,
        high=650,
        group="client",
        step=5,
        absent="from the straight drop",
    )
    knee: float | None = declare(
        "waist to knee, along the side",
        LENGTH,
        "From the waist down the side seam, tape on the body, to the knee.",
        low=250,
        high=1100,
        group="client",
        step=5,
        absent="from the straight drop",
    )
