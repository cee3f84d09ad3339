"""One script out of the page's own modules, for a file that must stand alone.

Each module keeps a scope of its own and hands out what it exports by name; what it needs is found by following its
imports. Only the forms that the page uses are understood, each on a line of its own, and anything else is refused:

    import { first, second } from "./other.js";
    export function name(…) / export const NAME = … / export class Name …
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

_IMPORT: Final = re.compile(r'import \{ ([\w, ]+) \} from "\./([\w-]+\.js)";')
_EXPORT: Final = re.compile(r"export ((?:async )?function|const|class) (\w+)(.*)")


class NotUnderstood(Exception):
    """A module uses a form of import or export that is not in the list above, or imports what is not exported."""


def bundle(entry: str, text_of: Callable[[str], str]) -> str:
    """The entry module and all that it imports as one script. ``text_of`` gives a module's text by name.

    >>> files = {"a.js": 'import { two } from "./b.js";\\nshow(two);', "b.js": "export const two = 2;"}
    >>> print(bundle("a.js", files.__getitem__))
    const module_b = (() => {
    const two = 2;
    return { two };
    })();
    (() => {
    const { two } = module_b;
    show(two);
    return {  };
    })();
    <BLANKLINE>
    """
    done: dict[str, tuple[str, ...]] = {}
    parts: list[str] = []
    _add(entry, text_of, done, parts, ())
    return "".join(parts)


def _add(
    name: str,
    text_of: Callable[[str], str],
    done: dict[str, tuple[str, ...]],
    parts: list[str],
    above: tuple[str, ...],
) -> None:
    if name in above:
        raise NotUnderstood(f"{name}: imports itself by way of {' and '.join(above)}")
    lines: list[str] = []
    exported: list[str] = []
    for number, line in enumerate(text_of(name).splitlines(), 1):
        if line.startswith("import"):
            found = _IMPORT.fullmatch(line)
            if found is None:
                raise NotUnderstood(f"{name}, line {number}: {line}")
            other, wanted = found[2], [word.strip() for word in found[1].split(",")]
            if other not in done:
                _add(other, text_of, done, parts, (*above, name))
            if missing := [word for word in wanted if word not in done[other]]:
                raise NotUnderstood(f"{name}, line {number}: {other} does not export {', '.join(missing)}")
            lines.append(f"const {{ {', '.join(wanted)} }} = {_variable(other)};")
        elif line.startswith("export"):
            found = _EXPORT.fullmatch(line)
            if found is None:
                raise NotUnderstood(f"{name}, line {number}: {line}")
            exported.append(found[2])
            lines.append(f"{found[1]} {found[2]}{found[3]}")
        else:
            lines.append(line)
    done[name] = tuple(exported)
    opened = f"const {_variable(name)} = (() => {{" if above else "(() => {"
    parts.append("\n".join([opened, *lines, f"return {{ {', '.join(exported)} }};", "})();", ""]))


def _variable(name: str) -> str:
    return "module_" + name.removesuffix(".js").replace("-", "_")
