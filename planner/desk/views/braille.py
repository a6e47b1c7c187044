"""A curve in braille dots: two columns and four rows of dots a cell, joined without a break.

Pure. Dot columns run left to right from 0, heights from 0.0 (bottom) to 1.0 (top); None is a gap.
"""

from __future__ import annotations

from collections.abc import Sequence

DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))  # by row, column (Unicode 2800)
BLANK = 0x2800
ACROSS, DOWN = 2, 4  # dots a cell


class Curve:
    """Dots of a field of cells; `cells` gives the characters that are not blank."""

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width, height
        self._bits: dict[tuple[int, int], int] = {}

    def row_of(self, share: float) -> int:
        """The row of dots of a height, from the top."""
        rows = self.height * DOWN
        return rows - 1 - round(min(1.0, max(0.0, share)) * (rows - 1))

    def dot(self, x: int, y: int) -> None:
        """A dot by its column and row of dots."""
        if 0 <= x < self.width * ACROSS and 0 <= y < self.height * DOWN:
            cell = (y // DOWN, x // ACROSS)
            self._bits[cell] = self._bits.get(cell, 0) | DOTS[y % DOWN][x % ACROSS]

    def draw(self, heights: Sequence[float | None], *, first: int = 0, every: int = 1) -> None:
        """Join neighbouring heights by upright strokes; `every` second dot column only, if 2."""
        before: int | None = None
        for place, share in enumerate(heights):
            if share is None:
                before = None
                continue
            y = self.row_of(share)
            x = first + place
            if x % every == 0:
                low, high = (y, y) if before is None else _between(before, y)
                for row in range(low, high + 1):
                    self.dot(x, row)
            before = y

    def cells(self) -> dict[tuple[int, int], str]:
        """The characters by row and column."""
        return {cell: chr(BLANK + bits) for cell, bits in self._bits.items()}


def _between(before: int, now: int) -> tuple[int, int]:
    """The rows a stroke to `now` covers, beginning next to where the last one ended."""
    if now > before:
        return before + 1, now
    if now < before:
        return now, before - 1
    return now, now


def bridged(heights: Sequence[float | None], most: int) -> list[float | None]:
    """Gaps of at most so many dots filled by a straight line; all else None."""
    found: list[float | None] = [None] * len(heights)
    last: int | None = None
    for place, share in enumerate(heights):
        if share is None:
            continue
        if last is not None and 1 < place - last <= most + 1:
            start = heights[last]
            assert start is not None
            for between in range(last, place + 1):
                part = (between - last) / (place - last)
                found[between] = start + (share - start) * part
        last = place
    return found
