"""Who she is and what the tape says of her: the sections ``[client]``, ``[girths]``, ``[drops]``, ``[widths]``."""

from __future__ import annotations

from dataclasses import dataclass

from silhouette.asked.declared import LENGTH, NUMBER, TEXT, declare


@dataclass(frozen=True)
class Client:
    """Who it is for."""

    name: str = declare("name", TEXT, "Client's name or a label of your own.", "", group="client")
    size: float | None = declare(
        "trade size",
        NUMBER,
        "Trade size; sets the front reach when that is left out.",
        low=0,
        high=60,
        group="client",
        step=2,
        absent="hip girth is used instead",
    )
    notes: str = declare(
        "workroom notes", TEXT, "Anything to remember; the client does not see it.", "", group="client"
    )
    note: str = declare("note to the client", TEXT, "Printed on what she takes home.", "", group="hand over")
    next_date: str = declare("next date", TEXT, "When she comes next, as she should read it.", "", group="hand over")


@dataclass(frozen=True)
class Girths:
    """Tape readings round the body, mm. Waist and hip may be left out where a scan has them."""

    waist: float | None = declare(
        "waist girth",
        LENGTH,
        "Round the natural waist.",
        low=380,
        high=1900,
        group="client",
        step=5,
        needed=True,
    )
    high_hip: float | None = declare(
        "high hip girth",
        LENGTH,
        "Round the hip bones, between waist and hip.",
        low=430,
        high=2000,
        group="client",
        step=5,
        absent="estimated from waist and hip",
    )
    hip: float | None = declare(
        "hip girth",
        LENGTH,
        "Round the fullest part of the seat.",
        low=500,
        high=2000,
        group="client",
        step=5,
        needed=True,
    )
    thigh: float | None = declare(
        "thigh girth",
        LENGTH,
        "Round one thigh, just under the seat.",
        low=280,
        high=1200,
        group="client",
        step=5,
        absent="estimated from the hip",
    )
    knee: float | None = declare(
        "knee girth",
        LENGTH,
        "Round one knee.",
        low=200,
        high=800,
        group="client",
        step=5,
        absent="estimated from the hip",
    )


@dataclass(frozen=True)
class Drops:
    """Vertical distances below the waist, mm."""

    high_hip: float | None = declare(
        "waist to high hip",
        LENGTH,
        "Straight down from the waist to the high hip.",
        low=30,
        high=250,
        group="client",
        step=5,
        absent="estimated",
    )
    hip: float | None = declare(
        "waist to hip",
        LENGTH,
        "Straight down from the waist to the fullest part of the seat.",
        low=80,
        high=400,
        group="client",
        step=5,
        absent="estimated",
    )
    under_seat: float | None = declare(
        "waist to under the seat",
        LENGTH,
        "Straight down from the waist to the fold under the seat.",
        low=120,
        high=520,
        group="client",
        step=5,
        absent="estimated",
    )
    knee: float | None = declare(
        "waist to knee",
        LENGTH,
        "Straight down from the waist to the middle of the knee.",
        low=250,
        high=1000,
        group="client",
        step=5,
        absent="estimated",
    )


@dataclass(frozen=True)
class Widths:
    """Caliper breadths (side to side) and depths (front to back), mm. Breadth and depth together fix only
    their ratio: calipers press, so the tape girth wins."""

    waist_breadth: float | None = declare(
        "waist breadth",
        LENGTH,
        "Side to side at the waist.",
        low=100,
        high=700,
        group="client",
        absent="estimated",
    )
    waist_depth: float | None = declare(
        "waist depth",
        LENGTH,
        "Front to back at the waist.",
        low=80,
        high=650,
        group="client",
        absent="estimated",
    )
    hip_breadth: float | None = declare(
        "hip breadth",
        LENGTH,
        "Side to side at the hip.",
        low=140,
        high=800,
        group="client",
        absent="estimated",
    )
    hip_depth: float | None = declare(
        "hip depth",
        LENGTH,
        "Front to back at the hip.",
        low=100,
        high=700,
        group="client",
        absent="estimated",
    )
