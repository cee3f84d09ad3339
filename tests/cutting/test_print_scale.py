"""The printed pages, rasterised by PDFium: scale squares on every tile, and tiles that reassemble."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pypdf
import pypdfium2
import pytest
import shapely

from silhouette.cutting.paper.booklet import WORKROOM, sheet_pdf, tiled_pdf
from silhouette.cutting.paper.tiles import FOOT, MARGIN, free_corner, tiling
from silhouette.cutting.piece import Line, Note, Piece, scale_piece, short_name, side_by_side

DOTS = 200  #: per inch
MM = 25.4 / DOTS


@pytest.fixture(scope="module")
def demo(jobs):
    """The demo with one panel of the skirt: the others are printed by the same means."""
    return replace(jobs["demo"], garment=jobs["demo"].garment[1:2])


@pytest.fixture(scope="module", params=["a4", "letter"])
def printed(request, demo):
    """Paper, pages as PDF reader, and pages as images (H, W, 3) of the demo."""
    raw = tiled_pdf(demo, request.param)
    return request.param, pypdf.PdfReader(io.BytesIO(raw)), _rasterised(raw)


def _rasterised(raw, dots=DOTS):
    """Every page as an image (H, W, 3): red, green, blue."""
    with pypdfium2.PdfDocument(raw) as pages:
        return [page.render(scale=dots / 72, rev_byteorder=True).to_numpy()[..., :3].copy() for page in pages]


def _blue(image):
    """Ink of the scale squares: blue clearly above red, bluer than the bevel lines."""
    red, green, blue = (image[..., k].astype(int) for k in range(3))
    return (blue - red > 90) & (blue > 150) & (green > 30)


def _lines(hits, length):
    """Middles (in dots) of the rows or columns that are coloured along most of `length` mm."""
    rows = np.flatnonzero(hits > 0.8 * length / MM)
    groups = np.split(rows, np.flatnonzero(np.diff(rows) > 2) + 1)
    return [float(np.average(g, weights=hits[g])) for g in groups if len(g)]


def _square(image):
    """Measured sides in mm of the 100 mm square (solid lines; the dashed one is left out by its gaps)."""
    blue = _blue(image)
    across, down = _lines(blue.sum(axis=0), 100.0), _lines(blue.sum(axis=1), 100.0)
    return across, down


def test_the_scale_square_measures_100_mm_on_a_free_corner_and_never_lies_on_a_piece(printed, demo):
    paper, _, pages = printed
    readings, number = [], 1 + len(WORKROOM)
    for spread in (tiling(piece, paper) for piece in demo.pieces):
        outline = shapely.Polygon(spread.piece.outline)
        for tile, image in zip(spread.tiles, pages[number : number + len(spread.tiles)], strict=True):
            number += 1
            across, down = _square(image)
            corner = free_corner(spread, tile)
            assert len(across) == len(down) == (2 if corner else 0), f"page {number}"
            if not corner:
                continue
            readings += [(across[1] - across[0]) * MM, (down[1] - down[0]) * MM]
            # where it was found in the picture, not where it was meant to be
            left = across[0] * MM - MARGIN + tile.corner[0]
            foot = (image.shape[0] - down[1]) * MM - MARGIN - FOOT + tile.corner[1]
            assert not outline.intersects(shapely.box(left, foot, left + 101.6, foot + 101.6)), f"page {number}"
    assert len(readings) >= 2 * 4
    assert np.abs(np.array(readings) - 100.0).max() < 0.2
    print(f"scale squares {min(readings):.3f} to {max(readings):.3f} mm")


def test_the_first_page_has_both_squares_and_says_what_to_do(printed):
    _, reader, pages = printed
    across, down = _square(pages[0])
    for places in (across, down):
        sides = sorted((b - a) * MM for k, a in enumerate(places) for b in places[k + 1 :])
        assert min(abs(s - 100.0) for s in sides) < 0.2
        assert min(abs(s - 101.6) for s in sides) < 0.2
    text = reader.pages[0].extract_text()
    assert "Print at 100 %" in text and "Measure this square" in text and "Page map" in text


def test_pages_have_the_paper_s_size_and_follow_the_map(printed, demo):
    paper, reader, pages = printed
    size = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}[paper]
    expected = 1 + len(WORKROOM) + sum(len(tiling(p, paper).tiles) for p in demo.pieces)
    assert len(reader.pages) == len(pages) == expected
    for page in reader.pages:
        box = sorted(float(v) * 25.4 / 72 for v in page.mediabox[2:])
        assert box == pytest.approx(size, abs=0.01)
    first = 2 + len(WORKROOM)
    for piece in demo.pieces:
        for k in range(len(tiling(piece, paper).tiles)):
            text = reader.pages[first + k - 1].extract_text()
            assert short_name(piece.name) in text and piece.name.removeprefix("edge card, ") in text
            assert f"page {first + k} of {expected}" in text
        first += len(tiling(piece, paper).tiles)


def test_a_piece_is_turned_only_to_save_a_page():
    """A strip 300 mm long fits one A4 page only askew (the frame's diagonal is longer than its sides)."""
    strip = np.array([[0.0, 0.0], [290.0, 0.0], [290.0, 12.0], [0.0, 12.0]])
    lying = Piece("strip", "card", (Line("cut", strip, closed=True),), (Note("up", (100.0, 4.0)),))
    spread = tiling(lying, "a4")
    assert len(spread.tiles) == 1
    assert np.linalg.norm(np.diff(spread.piece.outline[:2], axis=0)) == pytest.approx(290.0)
    (note,) = spread.piece.notes
    side = spread.piece.outline[1] - spread.piece.outline[0]
    assert note.turn == pytest.approx(np.degrees(np.arctan2(side[1], side[0]))) and note.turn != 0
    small = Piece("card", "card", (Line("cut", strip * 0.5, closed=True),))
    assert tiling(small, "a4").piece.outline == pytest.approx(strip * 0.5)


def _dark(image):
    return (image[..., 0] < 110) & (image[..., 1] < 110) & (image[..., 2] < 110)


def test_tiles_reassemble_to_the_outline(printed, demo):
    """Pages laid so that the lettered crosses meet: ink stands on the outline everywhere, within 0.3 mm."""
    paper, _, pages = printed
    number = 1 + len(WORKROOM)
    for piece in demo.pieces:
        spread = tiling(piece, paper)
        images = [_dark(image) for image in pages[number : number + len(spread.tiles)]]
        number += len(spread.tiles)
        places = _laid_by_crosses(spread, images)
        outline = _pointed(spread.piece.outline, 2.0)
        worst = np.full(len(outline), np.inf)
        for place, image in zip(places, images, strict=True):
            worst = np.minimum(worst, _distance_to_ink(outline - place, spread, image))
        assert worst.max() < 0.3, f"{piece.name}: {worst.max():.2f} mm"


def _laid_by_crosses(spread, images):
    """Piece coordinates of each page's lower left corner, found by laying cross on cross."""
    w, h = spread.frame
    found = {}
    for tile, image in zip(spread.tiles, images, strict=True):
        near = {
            (down, along): (
                MARGIN + (8.0 if not along else w - 8.0),
                MARGIN + FOOT + (h - 8.0 if not down else 8.0),
            )
            for down in (0, 1)
            for along in (0, 1)
        }
        for (down, along), guess in near.items():
            found[(tile.row, tile.column, down, along)] = _cross(image, guess)
    first = spread.tiles[0]
    places = {(first.row, first.column): np.array(first.corner) - [MARGIN, MARGIN + FOOT]}
    waiting = list(spread.tiles[1:])
    while waiting:
        tile = waiting.pop(0)
        r, c = tile.row, tile.column
        for other, theirs, mine in (
            ((r, c - 1), (0, 1), (0, 0)),
            ((r - 1, c), (1, 0), (0, 0)),
            ((r, c + 1), (0, 0), (0, 1)),
        ):
            if other in places:  # its crosses lie on those of that neighbour
                places[r, c] = places[other] + found[(*other, *theirs)] - found[(r, c, *mine)]
                break
        else:
            waiting.append(tile)
    return [places[t.row, t.column] for t in spread.tiles]


def _cross(dark, guess):
    """Middle of a lettered cross near `guess` (mm from the page's lower left), read from the picture."""
    high = dark.shape[0]
    x, y = guess[0] / MM, high - guess[1] / MM
    reach = round(3.5 / MM)
    x0, y0 = round(x) - reach, round(y) - reach
    window = dark[y0 : y0 + 2 * reach, x0 : x0 + 2 * reach]
    column, row = _middle(window.sum(axis=0)), _middle(window.sum(axis=1))
    return np.array([(x0 + column + 0.5) * MM, (high - (y0 + row + 0.5)) * MM])


def _middle(hits):
    full = np.flatnonzero(hits > 0.9 * hits.max())
    return float(full.mean())


def _pointed(outline, step):
    closed = np.concatenate([outline, outline[:1]])
    run = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))])
    at = np.arange(0, run[-1], step)
    return np.stack([np.interp(at, run, closed[:, k]) for k in (0, 1)], -1)


def _distance_to_ink(points, spread, dark):
    """How far (mm) the middle of the ink lies from each point (page coordinates); inf outside the frame."""
    w, h = spread.frame
    result = np.full(len(points), np.inf)
    inside = (
        (points[:, 0] > MARGIN + 1.2)
        & (points[:, 0] < MARGIN + w - 1.2)
        & (points[:, 1] > MARGIN + FOOT + 1.2)
        & (points[:, 1] < MARGIN + FOOT + h - 1.2)
    )
    near = points[inside]
    place = np.stack([near[:, 0] / MM - 0.5, dark.shape[0] - near[:, 1] / MM - 0.5], axis=-1)  # in dots
    reach = round(0.45 / MM)
    offset = np.arange(-reach, reach + 1)
    across = np.round(place[:, 0]).astype(int)[:, None, None] + offset[None, None, :]
    down = np.round(place[:, 1]).astype(int)[:, None, None] + offset[None, :, None]
    ink = dark[down, across]
    count = ink.sum(axis=(1, 2))
    x, y = across - place[:, 0, None, None], down - place[:, 1, None, None]
    nearest = np.where(ink, np.hypot(x, y), np.inf).min(axis=(1, 2))
    middle = np.hypot((ink * x).sum(axis=(1, 2)), (ink * y).sum(axis=(1, 2))) / np.maximum(count, 1)
    result[inside] = np.where(count > 0, np.maximum(nearest, middle) * MM, np.inf)
    return result


def test_the_large_sheet_is_to_scale(demo, tmp_path):
    raw = sheet_pdf(demo)
    image = _rasterised(raw, 100)[0]
    blue = _blue(image)
    mm = 0.254
    for axis in (0, 1):
        hits = blue.sum(axis=axis)
        rows = np.flatnonzero(hits > 0.85 * 100 / mm)
        middles = [float(g.mean()) for g in np.split(rows, np.flatnonzero(np.diff(rows) > 2) + 1)]
        sides = sorted((b - a) * mm for k, a in enumerate(middles) for b in middles[k + 1 :])
        assert min(abs(s - 100.0) for s in sides) < 0.2
        assert min(abs(s - 101.6) for s in sides) < 0.2
    placed, wide, high = side_by_side([scale_piece(), *demo.pieces], 914.0)
    assert image.shape[1] * mm > wide - 1
    boxes = [p.bounds for p in placed]
    for k, (x0, y0, x1, y1) in enumerate(boxes):
        assert x0 >= 0 and y0 >= 0 and x1 <= wide and y1 <= high
        assert all(x1 < a or c < x0 or y1 < b or d < y0 for a, b, c, d in boxes[:k])
