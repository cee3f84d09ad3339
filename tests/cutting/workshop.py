"""Clients of the costume workshop, all invented, and their cutting tables."""

from __future__ import annotations

import datetime

import silhouette

TODAY = datetime.date(2026, 3, 4)

CLIENTS = {
    "demo": None,
    "slender": {
        "unit": "in",
        "client": {"name": "Lamplighter"},
        "girths": {"waist": 25, "hip": 34.5},
        "pads": {"thickness": 1, "bevel": 1.5},
    },
    "large": {
        "unit": "cm",
        "client": {"name": "Harbour master"},
        "girths": {"waist": 112, "hip": 142},
        "pads": {"thickness": "20 mm", "bevel": 5.5, "profile": "rounded"},
    },
    "lean": {
        "unit": "in",
        "client": {"name": "Clerk"},
        "girths": {"waist": 30, "hip": 40},
        "pads": {"thickness": 0.5, "bevel": 3, "fullness": 0, "profile": "feathered"},
    },
    "uneven": {
        "unit": "cm",
        "client": {"name": "Ferryman"},
        "girths": {"waist": 80, "hip": 104},
        "pads": {"thickness": "15 mm", "bevel": 7.5, "left": {"thickness": "25 mm", "start": 5}},
    },
}


def seen(name):
    plain = CLIENTS[name]
    return silhouette.preview(silhouette.read_sheet("demo") if plain is None else silhouette.from_plain(plain))
