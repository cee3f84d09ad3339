"""Cutting templates from the page: one job, told line by line as it goes on."""

from __future__ import annotations

import json
import logging
from collections.abc import Callable, Iterator
from pathlib import Path
from queue import SimpleQueue
from threading import Thread
from typing import Any, Final

from silhouette.asked.faults import Fault, SheetError, SilhouetteError
from silhouette.page.client_names import checked_name
from silhouette.page.incoming import BROKEN, Refused
from silhouette.pipeline import Preview
from silhouette.shown.files import check_folder, write_files

_LOG: Final = logging.getLogger(__name__)
Report = Callable[[int, int, str], None]


def start(result: Preview, root: Path, name: object) -> Iterator[str]:
    """Write templates into ``FOLDER/<client> templates``; yields JSON lines.

    ``{"done": 1, "of": 2, "words": "writing the files"}`` while it goes on, then ``{"folder": …, "files": […]}``
    or ``{"faults": […]}``.
    """
    out = _folder_of(root, name)
    check_folder(out)

    def job(texts: Report) -> dict[str, Any]:
        from silhouette.cutting.output import template_files

        texts(0, 2, "laying the pads flat and drawing every piece")
        files = template_files(result)
        texts(1, 2, "writing the files")
        write_files(out, files, within=out)
        return {"folder": str(out), "files": list(files)}

    return _lines(job)


def written(root: Path, name: object, file: str) -> Path:
    """A file that was written for a client, to be opened. Raises :class:`Refused`."""
    out = _folder_of(root, name)
    place = out / file
    if (
        file not in {p.name for p in (out.iterdir() if out.is_dir() else ())}
        or place.is_symlink()
        or not place.is_file()
    ):
        raise Refused(404, [Fault(file[:80], "no such file among the templates")])
    return place


def _folder_of(root: Path, name: object) -> Path:
    out = root / f"{checked_name(name)} templates"
    if out.is_symlink() or not out.resolve().is_relative_to(root.resolve()):
        raise Refused(403, [Fault(out.name, "is not a folder of this folder")])
    return out


def _lines(job: Callable[[Report], dict[str, Any]]) -> Iterator[str]:
    """Run a job on a thread of its own and yield what it tells, one JSON line each."""
    queue: SimpleQueue[dict[str, Any] | None] = SimpleQueue()

    def run() -> None:
        try:
            queue.put(job(lambda done, of, words: queue.put({"done": done, "of": of, "words": words})))
        except SheetError as error:
            queue.put({"faults": [{"place": f.place, "message": f.message} for f in error.faults]})
        except SilhouetteError as error:
            queue.put({"faults": [{"place": "templates", "message": str(error)}]})
        except Exception:  # the page must hear of it, whatever it was
            _LOG.exception("templates")
            queue.put({"faults": [{"place": "templates", "message": f"could not be made: it {BROKEN}"}]})
        finally:
            queue.put(None)

    Thread(target=run, daemon=True).start()
    while (line := queue.get()) is not None:
        yield json.dumps(line, ensure_ascii=False) + "\n"
