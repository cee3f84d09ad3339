"""Clients renamed, copied, deleted and brought back with nothing lost; templates are links that open."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

import silhouette
from silhouette.asked.sheet import PARAMETERS
from silhouette.page.clients_folder import Folder
from silhouette.page.incoming import Refused
from silhouette.page.templates_job import written
from tests.page.browser import Watched, open_drawer, server, settled

TEXT = '# Kept as it is.\nunit = "in"\n[girths]\nwaist = 31 # at the fitting\nhip = 42\n'

#: What the page calls these keys: the label of the control, and the five's own short names.
NAMES = {
    "girths.thigh": "Thigh girth, wide",
    "body.scan_waist": "Waist in the scan",
    "pads.thickness": "Foam, 12 in",
    "pads.left.start": "Start, her left, -3 in",
}


def test_copy_rename_and_remove_keep_every_byte(tmp_path: Path) -> None:
    (tmp_path / "Ada.toml").write_text(TEXT)
    folder = Folder(tmp_path)
    folder.copy("Ada", "Ada, act two")
    assert (tmp_path / "Ada, act two.toml").read_text() == (tmp_path / "Ada.toml").read_text() == TEXT
    folder.rename("Ada", "Bea")
    assert sorted(p.name for p in tmp_path.glob("*.toml")) == ["Ada, act two.toml", "Bea.toml"]
    folder.remove("Bea")
    assert [row["name"] for row in folder.gone()] == ["Ada", "Bea"]
    for row in folder.gone():
        assert folder.read_earlier(row["name"], row["version"]).raw == TEXT.encode()


def test_no_client_is_written_over(tmp_path: Path) -> None:
    for name in ("Ada", "Bea"):
        (tmp_path / f"{name}.toml").write_text(TEXT + f"# {name}\n")
    folder = Folder(tmp_path)
    for change in (folder.copy, folder.rename):
        with pytest.raises(Refused, match="already a client") as refused:
            change("Ada", "Bea")
        assert refused.value.status == 409
    assert (tmp_path / "Bea.toml").read_text().endswith("# Bea\n") and (tmp_path / "Ada.toml").exists()
    with pytest.raises(Refused, match="name"):
        folder.rename("Ada", "../away")


def test_only_written_templates_are_opened(tmp_path: Path) -> None:
    out = tmp_path / "Ada templates"
    out.mkdir()
    (out / "a4.pdf").write_bytes(b"%PDF")
    (out / "link.pdf").symlink_to("/etc/passwd")
    assert written(tmp_path, "Ada", "a4.pdf").read_bytes() == b"%PDF"
    for name, file in (("Ada", "link.pdf"), ("Ada", "../Ada.toml"), ("Ada", "b.pdf"), ("Bea", "a4.pdf")):
        with pytest.raises(Refused):
            written(tmp_path, name, file)


def test_faults_go_by_the_names_of_the_controls(browser: Any, tmp_path: Path) -> None:
    """In the list, on the table and in a dialog; the keys of the sheet are for the file and the command line."""
    text = """unit = "in"
[girths]
waist = 31
hip = 42
thigh = "wide"
[body]
scan_waist = 40
[pads]
thickness = 12
[pads.left]
start = -3
"""
    (tmp_path / "Odd.toml").write_text(text)
    with pytest.raises(silhouette.SheetError) as refused:
        silhouette.read_sheet(tmp_path / "Odd.toml")
    keys = [fault.place.split(" ")[0] for fault in refused.value.faults]
    assert set(keys) == {"girths.thigh", "body.scan_waist", "pads.thickness", "pads.left.start"}
    with server(tmp_path) as address:
        w = Watched(browser, address, table=False, expect_errors=True)
        page = w.page
        listed = page.locator("#clients .bad").inner_text()
        page.locator("#clients .client").click()
        page.locator("#faults li").first.wait_for()
        said = page.locator("#faults li strong").all_inner_texts()
        assert [part.rstrip(": ") for part in said] == [NAMES[key] for key in keys]
        assert listed.startswith(NAMES[keys[0]])
        everything = listed + page.locator("#faults").inner_text()
        assert not [key for key in PARAMETERS if key in everything]
        page.locator(f"[data-key='{keys[0]}'] .fault").wait_for()  # its drawer is out
        w.close()


def test_book_renames_deletes_and_brings_back(browser: Any, tmp_path: Path) -> None:
    (tmp_path / "Ada.toml").write_text(TEXT)
    (tmp_path / "Odd.toml").write_text("girths = ")
    (tmp_path / "Wide.toml").write_text('unit = "in"\n[girths]\nwaist = 31\nhip = 420\n')
    with server(tmp_path) as address:
        w = Watched(browser, address, table=False, expect_errors=True)
        page = w.page
        faults = page.locator("#clients li", has=page.locator(".bad"))
        assert faults.count() == 2  # listed, each with what is wrong
        page.locator(".client", has_text="Wide").click()
        page.locator("#faults li").first.wait_for()
        assert page.locator("#nothing").is_visible() and page.locator("#girth").is_hidden()
        assert page.locator("#to-do").is_hidden() and page.locator("#draft").is_hidden()  # no figure and no number
        page.locator("#open").click()
        page.get_by_role("button", name="More of Ada").click()
        page.get_by_role("button", name="Rename the file").click()
        page.locator("#new-name").fill("Bea")
        page.locator("#new-name").press("Enter")
        page.locator(".client", has_text="Bea").wait_for()
        page.get_by_role("button", name="More of Bea").click()
        page.get_by_role("button", name="Delete", exact=True).click()
        page.get_by_role("button", name="Delete", exact=True).click()
        page.locator("#clients .client", has_text="Bea").wait_for(state="detached")
        assert not (tmp_path / "Bea.toml").exists()
        page.locator("#gone summary").click()
        page.locator("#gone-list .client", has_text="Bea").click()
        page.locator("#kept:text-is('Saved as “Bea”')").wait_for()
        settled(page)
        assert (tmp_path / "Bea.toml").exists()
        open_drawer(page, "cutting")
        page.locator("#templates").click()
        page.locator("#cut-progress a").first.wait_for(timeout=120_000)
        reply = w.context.request.get(
            w.address.rstrip("/") + str(page.locator("#cut-progress a").first.get_attribute("href"))
        )
        assert reply.ok and len(reply.body()) > 500
        w.close()
