"""Read printed pages back with PDFium: where every letter and every line came to lie."""

import ctypes

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
import shapely

MM = 25.4 / 72


def letters(page):
    """Give the letters of a page and boxes (n, 4) of ink: left, bottom, right, top [mm]."""
    text = page.get_textpage()
    count = text.count_chars()
    signs = [text.get_text_range(i, 1) for i in range(count)]
    boxes = np.array([text.get_charbox(i) for i in range(count)]).reshape(-1, 4) * MM
    # a box stands upright round a letter that may be turned, and is larger than its ink then
    turn = np.array([pdfium.FPDFText_GetCharAngle(text.raw, i) for i in range(count)])
    spare = (
        0.25
        * np.abs(np.sin(2 * turn))
        * np.minimum(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1])
    )
    boxes = boxes + spare[:, None] * np.array([1, 1, -1, -1])
    inked = (
        np.array([bool(s.strip()) for s in signs], bool)
        & (boxes[:, 2] > boxes[:, 0])
        & (boxes[:, 3] > boxes[:, 1])
    )
    return [signs[i] for i in np.flatnonzero(inked)], boxes[inked], np.flatnonzero(inked)


def overlaps(page):
    """Give the pairs of letters that lie over each other, with where [mm]."""
    signs, boxes, order = letters(page)
    if not len(boxes):
        return []
    shapes = shapely.box(*boxes.T)
    one, other = shapely.STRtree(shapes).query(shapes, "intersects")
    # neighbours in a word are set closely; a ligature is two letters in one place
    apart = order[other] - order[one] > 1
    one, other = one[apart], other[apart]
    shared = shapely.area(shapely.intersection(shapes[one], shapes[other]))
    least = np.minimum(shapely.area(shapes[one]), shapely.area(shapes[other]))
    return [
        (around(signs, i), around(signs, k), tuple(boxes[i].round(1)))
        for i, k, bad in zip(one, other, shared > 0.15 * least, strict=True)
        if bad
    ]


def around(signs, k):
    """Give a letter with its neighbours, to find it by."""
    return "".join(signs[max(0, k - 8) : k + 8])


def outside(page):
    """Give the letters that are off the paper."""
    signs, boxes, _ = letters(page)
    width, height = (v * MM for v in page.get_size())
    off = (boxes[:, :2] < 0).any(axis=1) | (boxes[:, 2] > width) | (boxes[:, 3] > height)
    return [around(signs, k) for k in np.flatnonzero(off)]


def paths(page):
    """Give the corners (k, 2) of every path on a page, from its lower left [mm]."""
    found = []
    for thing in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_PATH], max_depth=8):
        a, b, c, d, e, f = thing.get_matrix().get()
        points = []
        for i in range(pdfium.FPDFPath_CountSegments(thing.raw)):
            segment = pdfium.FPDFPath_GetPathSegment(thing.raw, i)
            x, y = ctypes.c_float(), ctypes.c_float()
            pdfium.FPDFPathSegment_GetPoint(segment, x, y)
            points.append((a * x.value + c * y.value + e, b * x.value + d * y.value + f))
        found.append(np.array(points).reshape(-1, 2) * MM)
    return found


def ruled_through(page):
    """Give the letters that a long level rule goes through, with where [mm]."""
    signs, boxes, _ = letters(page)
    found = []
    for line in paths(page):
        if len(line) != 2 or np.ptp(line[:, 1]) > 0.01 or np.ptp(line[:, 0]) < 100:
            continue
        (left, right), y = np.sort(line[:, 0]), line[0, 1]
        hit = (boxes[:, 1] < y + 0.1) & (boxes[:, 3] > y) & (boxes[:, 0] > left)
        hit &= boxes[:, 2] < right
        found += [(signs[i], boxes[i, :2].round(1).tolist()) for i in np.flatnonzero(hit)]
    return found


def pages(pdf):
    """Open a PDF given as a path or as bytes."""
    return list(pypdfium2.PdfDocument(pdf))


def strokes(page):
    """Give the width of every dark line that is drawn on a page [mm]."""
    found = []
    for thing in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_PATH], max_depth=8):
        fill, stroked = ctypes.c_int(), ctypes.c_int()
        pdfium.FPDFPath_GetDrawMode(thing.raw, fill, stroked)
        if not stroked.value:
            continue
        r, g, b, a = (ctypes.c_uint() for _ in range(4))
        pdfium.FPDFPageObj_GetStrokeColor(thing.raw, r, g, b, a)
        if min(r.value, g.value, b.value) > 200:  # the white edge round a letter
            continue
        width = ctypes.c_float()
        pdfium.FPDFPageObj_GetStrokeWidth(thing.raw, width)
        m = thing.get_matrix().get()
        found.append(width.value * abs(m[0] * m[3] - m[1] * m[2]) ** 0.5 * MM)
    return np.array(found)
