"""A grid of characters with roles, frozen into rows of runs: what every panel of the desk shows.

A role says what a cell is ("strong", "pause", "note"), never how it looks: `views.looks`
turns roles into styles. Marks lie over a role: the cursor's column, what is picked, what is chosen.
Wide characters (two cells) and combining ones (none) are kept whole.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from rich.cells import cell_len

from audio.shown import shown_line

CURSOR = 1  # the column of the cursor frame
PICKED = 2  # words or frames picked for tagging
CHOSEN = 4  # the thing the keys act on
HIT = 8  # the frame a move is about
UNDER = 16  # carried by the move or beat: drawn as a line under the cell
NEXT = 32  # every second of neighbouring blocks, a little darker, so that each is seen to end
SAID = 64  # the word that is being said

LONG_ENOUGH = 8  # cells; in fewer, three dots would leave too few letters


@dataclass(frozen=True, slots=True)
class Run:
    """Neighbouring cells of one role and the same marks."""

    text: str
    role: str = "plain"
    marks: int = 0


Row = tuple[Run, ...]
Rows = tuple[Row, ...]


class Canvas:
    """A grid being drawn, `height` rows of `width` cells; what falls outside is cut off."""

    def __init__(self, width: int, height: int) -> None:
        self.width = max(0, width)
        self.height = max(0, height)
        self._chars = [[" "] * self.width for _ in range(self.height)]
        self._roles = [["plain"] * self.width for _ in range(self.height)]
        self._marks = [[0] * self.width for _ in range(self.height)]

    def put(self, row: int, column: int, text: str, role: str = "plain", marks: int = 0) -> None:
        """Write `text` from `column` on; over whatever was there."""
        if not 0 <= row < self.height:
            return
        chars, roles, flags = self._chars[row], self._roles[row], self._marks[row]
        for char in plain(text):
            size = 1 if " " <= char <= "~" else cell_len(char)
            if size == 0:
                if 0 < column <= self.width:
                    chars[column - 1] += char
                continue
            if column >= self.width:
                return
            if column >= 0 and column + size <= self.width:
                chars[column], roles[column] = char, role
                flags[column] |= marks
                if size == 2:
                    chars[column + 1], roles[column + 1] = "", role
                    flags[column + 1] |= marks
            column += size

    def is_free(self, row: int, first: int, last: int) -> bool:
        """True if nothing but blanks and contour stands there (columns inclusive, clipped)."""
        if not 0 <= row < self.height:
            return False
        roles = self._roles[row][max(0, first) : max(0, last + 1)]
        return all(
            role in ("plain", "contour", "glide", "bridge", "stem", "zero") for role in roles
        )

    def is_blank(self, row: int, column: int) -> bool:
        """True if the cell exists and nothing stands there."""
        inside = 0 <= row < self.height and 0 <= column < self.width
        return inside and self._chars[row][column] == " "

    def mark(self, row: int, first: int, last: int, bits: int) -> None:
        """Lay marks over the cells of a row, columns inclusive, clipped."""
        if 0 <= row < self.height:
            flags = self._marks[row]
            for column in range(max(0, first), min(self.width, last + 1)):
                flags[column] |= bits

    def mark_column(self, column: int, bits: int) -> None:
        """Lay marks over a whole column."""
        if 0 <= column < self.width:
            for flags in self._marks:
                flags[column] |= bits

    def rows(self) -> Rows:
        """The grid, frozen."""
        return tuple(
            _runs(chars, roles, flags)
            for chars, roles, flags in zip(self._chars, self._roles, self._marks, strict=True)
        )


def _runs(chars: list[str], roles: list[str], flags: list[int]) -> Row:
    runs: list[Run] = []
    start = 0
    for column in range(1, len(chars) + 1):
        if column == len(chars) or roles[column] != roles[start] or flags[column] != flags[start]:
            text = "".join(chars[start:column])
            if text:
                runs.append(Run(text, roles[start], flags[start]))
            start = column
    return tuple(runs)


def plain(text: str) -> str:
    """`text` with nothing a terminal may count otherwise: joined pictures cut to their first."""
    if text.isascii() and text.isprintable():
        return text
    text = shown_line(re.sub("\u200d.|[\ufe00-\ufe0f]", "", text))
    return "".join(char if char.isprintable() else " " for char in text)


def joined(*rows: Row) -> Row:
    """Rows side by side."""
    return tuple(run for row in rows for run in row)


def row_text(row: Row) -> str:
    """The characters of a row, without roles."""
    return "".join(run.text for run in row)


def fitted(text: str, cells: int) -> str:
    """`text` cut to so many cells, with "..." (or one "…" where that is much) at the cut."""
    text = plain(text)
    if cell_len(text) <= cells:
        return text
    if cells <= 0:
        return ""
    sign = "..." if cells >= LONG_ENOUGH else "…"
    kept = ""
    used = 0
    for char in text:
        size = cell_len(char)
        if used + size > cells - len(sign):
            break
        kept += char
        used += size
    return kept + sign


def padded(text: str, cells: int, *, right: bool = False) -> str:
    """`text` cut or filled with blanks to exactly so many cells."""
    text = fitted(text, cells)
    blanks = " " * (cells - cell_len(text))
    return blanks + text if right else text + blanks
