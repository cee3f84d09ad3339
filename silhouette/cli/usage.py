"""How a command was written: faults under the option's name, and lengths that lost their quotes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from itertools import takewhile

from silhouette.asked.faults import Fault, SheetError, SilhouetteError
from silhouette.asked.lengths import parse_length


@contextmanager
def as_option(place: str, option: str) -> Iterator[None]:
    """Say a fault at a place of the rooms below (``wanted hip = 47 in``) under the option it came by."""

    def renamed(text: str) -> str:
        return option + text.removeprefix(place) if text.startswith(place) else text

    try:
        yield
    except SheetError as error:
        raise SheetError([Fault(renamed(f.place), f.message) for f in error.faults]) from error
    except SilhouetteError as error:
        raise type(error)(renamed(str(error))) from error


def unquoted_length(arguments: Sequence[str]) -> str:
    """Words for a length that was given to an option without quotes and so fell apart; empty when none was.

    >>> unquoted_length(["thickness", "anna.toml", "--hip", "47", "in"])
    '--hip 47 in: a length of several words needs quotes: --hip "47 in"'
    """
    for place, argument in enumerate(arguments):
        if not argument.startswith("--"):
            continue
        option, equals, first = argument.partition("=")
        after = takewhile(lambda word: not word.startswith("--"), arguments[place + 1 :])
        words = [*([first] if equals else []), *after]
        for count in range(len(words), 1, -1):
            length = " ".join(words[:count])
            if any(" " in word for word in words[:count]) or not _is_length(length):
                continue
            return f'{option} {length}: a length of several words needs quotes: {option} "{length}"'
    return ""


def _is_length(text: str) -> bool:
    try:
        parse_length(text, "in")
    except ValueError:
        return False
    return True
