"""Who may come in: an address that only the owner of the terminal sees, then a cookie that only the browser holds."""

from __future__ import annotations

import secrets
import threading
from typing import Final

KEY: Final = "key"  #: its name in the address
_BYTES: Final = 24  #: of randomness in every key: beyond guessing


class Keys:
    """The keys of one running page. None of them outlives it.

    ``printed`` stands in the address on the terminal and stays good, so that a second browser can be let in.
    ``opening`` stands in the address given to the browser at start and is good once: other users of the machine can
    read a starting browser's arguments. Either is exchanged for the cookie.
    """

    def __init__(self, port: int) -> None:
        # browsers share cookies between ports, so two pages on one machine need two names
        self.cookie_name = f"silhouette-{port}"
        self.cookie = secrets.token_urlsafe(_BYTES)
        self.printed = secrets.token_urlsafe(_BYTES)
        self.opening = secrets.token_urlsafe(_BYTES)
        self._opened = False
        self._lock = threading.Lock()

    def lets_in(self, key: str) -> bool:
        """Is this a key of an address? The opening one is used up by the question."""
        if _same(key, self.printed):
            return True
        if not _same(key, self.opening):
            return False
        with self._lock:
            first, self._opened = not self._opened, True
        return first

    def knows(self, cookie: str | None) -> bool:
        """Is this the cookie that was given out?"""
        return cookie is not None and _same(cookie, self.cookie)

    @property
    def cookie_header(self) -> str:
        """What hands the cookie out: unseen by scripts, never sent along from another site, gone with the browser."""
        return f"{self.cookie_name}={self.cookie}; Path=/; HttpOnly; SameSite=Strict"


def _same(one: str, other: str) -> bool:
    return secrets.compare_digest(one.encode("utf-8", "replace"), other.encode())
