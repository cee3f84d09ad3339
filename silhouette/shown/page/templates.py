"""Cutting templates from the page: one job, told line by line as it goes on."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from queue import SimpleQueue
from threading import Thread
from typing import Any, Final

from silhouette.asked.faults import Fault, SilhouetteError
from silhouette.preview import Preview
from silhouette.shown.page.folder import checked_name
from silhouette.shown.page.incoming import Refused

#: Module and function that write templates: ``write(seen, folder, told)``, where ``told(done, of, words)`` is
#: called as the work goes on; it returns the names of the files written.
MAKER: Final = ("silhouette.shown.cutting.job", "write_templates")
Told = Callable[[int, int, str], None]


def available() -> bool:
    """Whether this installation can make templates."""
    try:
        return find_spec(MAKER[0]) is not None and hasattr(import_module(MAKER[0]), MAKER[1])
    except ImportError:
        return False


def start(seen: Preview, root: Path, name: object) -> Iterator[str]:
    """Write templates into ``FOLDER/<client> templates``; yields JSON lines.

    ``{"done": 3, "of": 8, "words": "foam layout"}`` while it goes on, then ``{"folder": …, "files": […]}``
    or ``{"faults": […]}``.
    """
    out = root / f"{checked_name(name)} templates"
    if out.is_symlink() or not out.resolve().is_relative_to(root.resolve()):
        raise Refused(403, [Fault(out.name, "is not a folder of this folder")])
    if not available():
        raise Refused(501, [Fault("templates", "are not part of this installation")])
    make = getattr(import_module(MAKER[0]), MAKER[1])
    return _lines(lambda told: {"folder": str(out), "files": [str(x) for x in make(seen, out, told)]})


def _lines(job: Callable[[Told], dict[str, Any]]) -> Iterator[str]:
    """Run a job on a thread of its own and yield what it tells, one JSON line each."""
    queue: SimpleQueue[dict[str, Any] | None] = SimpleQueue()

    def run() -> None:
        try:
            queue.put(job(lambda done, of, words: queue.put({"done": done, "of": of, "words": words})))
        except SilhouetteError as error:
            queue.put({"faults": [{"place": "templates", "message": str(error)}]})
        except Exception as error:  # the page must hear of it, whatever it was
            queue.put({"faults": [{"place": "templates", "message": f"could not be made: {error}"}]})
        finally:
            queue.put(None)

    Thread(target=run, daemon=True).start()
    while (line := queue.get()) is not None:
        yield json.dumps(line, ensure_ascii=False) + "\n"
