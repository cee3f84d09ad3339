"""File names that every system takes: Windows keeps some for devices and forbids some signs; here they are refused too.

Source of the list: Microsoft, Naming Files, Paths, and Namespaces.
"""

from __future__ import annotations

from typing import Final

_DEVICES: Final = {"con", "prn", "aux", "nul", "conin$", "conout$", "clock$"} | {
    f"{port}{digit}" for port in ("com", "lpt") for digit in "0123456789¹²³"
}


def name_fault(name: str) -> str:
    """Why a file name could not stand on every system, to follow the name in a sentence; "" where it can.

    >>> name_fault("anna.toml"), name_fault("con.toml")
    ('', 'is the name of a device on some computers; choose another')
    """
    if any(c in '/\\<>:"|?*' or not c.isprintable() or 0xD800 <= ord(c) <= 0xDFFF for c in name):
        return 'must be without / \\ < > : " | ? * and without control characters'
    if name != name.strip():
        return "must not begin or end with a space"
    if name.endswith("."):
        return "must not end with a dot"
    if name.split(".")[0].strip().lower() in _DEVICES:
        return "is the name of a device on some computers; choose another"
    return ""
