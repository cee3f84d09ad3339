"""Nobody is shut out: axe-core finds nothing serious on any screen, drawer, dialog or fault, light or dark.

Map, fittings, variants and tracing are audited where they are tried, on the pages that stand there already.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from tests.page.audit import audit
from tests.page.browser import Watched, keep_variant, open_drawer, set_face, set_foam, type_into


@pytest.fixture
def auditable(browser: Any, address: str) -> Iterator[Watched]:
    """The example with foam that would show and a variant; axe may be put into it."""
    w = Watched(browser, address, expect_errors=True, bypass_csp=True)
    keep_variant(w.page)
    set_foam(w.page, 1.5)
    w.page.locator(".compare").wait_for(state="attached")
    yield w
    w.close()


def test_every_drawer(auditable: Watched) -> None:
    page = auditable.page
    fronts = [front.get_attribute("data-front") for front in page.locator("#chest button").all()]
    assert len(fronts) == 14
    for name in fronts:
        open_drawer(page, str(name))
        audit(page, f"[data-drawer={name}]")


def test_the_table_its_faces_a_fault_and_the_ways_out(auditable: Watched) -> None:
    page = auditable.page
    open_drawer(page, "findings")
    audit(page)
    page.locator("#drawer-close").click()
    audit(page)
    set_face(page, "client")
    audit(page)
    set_face(page, "workroom")
    type_into(page, "pads.thickness", "12")
    assert page.locator("#faults li").count() == 1
    audit(page, "main")
    page.locator("#open").click()
    audit(page)
    page.locator("#fresh").click()
    audit(page, "dialog")  # unsaved work is asked about
    page.get_by_role("button", name="Go on without saving").click()
    audit(page)
