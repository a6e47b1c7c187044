"""The figure of a frame as text: braille dots, two across and four down a cell, or half blocks.

    shapes, points = figure_at(motion, rate, frame)
    for line in figure_text(shapes, points, columns=30, rows=14): print(line)

Lines are drawn over what lies behind them, blocks hide it. Where a head is small the eyes are their
pupils and limbs are single lines, so that brows, gaze, mouth and silhouette stay. Pure; no library.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from audio.reading import FloatArray
from planner.motion.figure import INK, TOP, Shape

FOOT = 0.3  # heads under the hips: legs say little in a small figure
SMALL_HEAD = 30.0  # dots: under it the figure is simplified
LIMB_DOTS = 1.15  # half the width of a simplified limb
LEAST_DOTS = 0.55  # half the width of the thinnest line
MARGIN = 0.5  # dots
_LEFT_OUT = ("upper lid", "ear", "nose in", "thumb", "leg", "waist")
_DOTS = np.array([[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]])  # ISO/IEC 10646 braille
_BLOCKS = " ▀▄█"

Dots = NDArray[np.bool_]


def figure_text(
    shapes: Sequence[Shape], points: FloatArray, *, columns: int, rows: int, blocks: bool = False
) -> tuple[str, ...]:
    """A frame's figure as `rows` lines of `columns` characters each.

    shapes, points : as `figure_at` gives them; blocks : half blocks where a terminal has no
    braille. Raises ValueError for a size under one cell.
    """
    if columns < 1 or rows < 1:
        raise ValueError(f"a figure needs a cell: {columns} by {rows}")
    if blocks:
        dots = figure_dots(shapes, points, columns, 2 * rows)
        pairs = dots[0::2] + 2 * dots[1::2]
        return tuple("".join(_BLOCKS[k] for k in row) for row in pairs)
    dots = figure_dots(shapes, points, 2 * columns, 4 * rows)
    cells = dots.reshape(rows, 4, columns, 2).transpose(0, 2, 1, 3)
    codes = (cells * _DOTS).sum(axis=(2, 3))
    return tuple("".join(chr(0x2800 + int(k)) for k in row) for row in codes)


def figure_dots(shapes: Sequence[Shape], points: FloatArray, wide: int, high: int) -> Dots:
    """The figure as dots, shape (high, wide), True where there is ink. Centred, as high as fits."""
    head = (high - 2 * MARGIN) / (FOOT - TOP)
    simple = head < SMALL_HEAD
    placed = points * head + np.array([wide / 2, MARGIN - TOP * head])
    dots = np.zeros((high, wide), dtype=bool)
    for shape in shapes:
        own = placed[shape.first : shape.first + shape.count]
        if simple and _left_out(shape):
            continue
        limb = not shape.fill and shape.width > 0.09
        if limb and simple:
            if shape.ink == INK:
                _line(dots, own, closed=False, half=min(LIMB_DOTS, 0.5 * shape.width * head))
            continue
        if shape.fill and not (simple and shape.name.endswith("eye")):
            _block(dots, own, ink=shape.fill == INK)
        if simple and shape.name.endswith(("eye", "pupil")):
            if shape.name.endswith("pupil"):
                _line(dots, own.mean(axis=0)[None], closed=False, half=LEAST_DOTS + 0.25)
            continue
        half = max(0.5 * shape.width * head, LEAST_DOTS)
        _line(dots, own, closed=shape.closed, half=half, ink=shape.ink == INK)
    return dots


def _left_out(shape: Shape) -> bool:
    return any(shape.name.endswith(end) or f"{end} in" in shape.name for end in _LEFT_OUT)


def _around(dots: Dots, points: FloatArray, margin: float) -> tuple[slice, slice] | None:
    """Rows and columns that a shape can touch."""
    high, wide = dots.shape
    low = np.floor(points.min(axis=0) - margin).astype(int)
    top = np.ceil(points.max(axis=0) + margin).astype(int) + 1
    x, y = slice(max(low[0], 0), min(top[0], wide)), slice(max(low[1], 0), min(top[1], high))
    return (y, x) if x.stop > x.start and y.stop > y.start else None


def _centres(place: tuple[slice, slice]) -> FloatArray:
    y, x = np.mgrid[place[0], place[1]]
    found: FloatArray = np.stack([x + 0.5, y + 0.5], axis=-1)
    return found


def _line(dots: Dots, points: FloatArray, *, closed: bool, half: float, ink: bool = True) -> None:
    """Dots nearer than `half` to a line through points."""
    place = _around(dots, points, half + 1)
    if place is None:
        return
    ends = np.roll(points, -1, axis=0) if closed else points[1:]
    starts = points if closed else points[:-1]
    if len(points) == 1:
        starts = ends = points
    at = _centres(place)[:, :, None]
    way = ends - starts
    length = np.maximum(np.sum(way * way, axis=1), 1e-9)
    share = np.clip(np.sum((at - starts) * way, axis=-1) / length, 0.0, 1.0)
    off = at - (starts + share[..., None] * way)
    near = (np.sum(off * off, axis=-1) <= half * half).any(axis=-1)
    dots[place] = np.where(near, ink, dots[place])


def _block(dots: Dots, points: FloatArray, *, ink: bool) -> None:
    """Dots inside a closed line (even-odd), hidden or inked."""
    place = _around(dots, points, 1)
    if place is None:
        return
    at = _centres(place)
    x, y = at[..., 0, None], at[..., 1, None]
    x0, y0 = points[:, 0], points[:, 1]
    x1, y1 = np.roll(x0, -1), np.roll(y0, -1)
    crosses = (y0 > y) != (y1 > y)
    rise = np.where(y1 == y0, 1.0, y1 - y0)
    inside = (crosses & (x < (x1 - x0) * (y - y0) / rise + x0)).sum(axis=-1) % 2 == 1
    dots[place] = np.where(inside, ink, dots[place])
