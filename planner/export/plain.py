"""Text made safe for where it goes: a cell of a table, a page, a picture, a cue.

User text (names, words, notes) is never trusted: it may hold quotes, markup, formulas, characters
that turn the reading direction, or halves of characters. What is kept: letters of any script,
emoji with their joiners, right-to-left text. What goes: control characters, characters that
override the direction of what follows, lone surrogates.
"""

from __future__ import annotations

import csv
import html
import io
from collections.abc import Iterable, Sequence

# A spreadsheet takes a cell that begins so for a formula (OWASP, "CSV Injection").
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\uff1d", "\uff0b", "\uff0d", "\uff20")
# Format characters that belong to words: joiners, direction marks, flags of regions.
_KEPT_FORMATS = frozenset("\u200c\u200d\u200e\u200f\u061c") | {
    chr(c) for c in range(0xE0020, 0xE0080)
}

Cell = str | int | float | None


def one_line(text: str) -> str:
    """The text on one line, without what cannot be shown; runs of spaces become one."""
    shown = "".join(c if c.isprintable() or c in _KEPT_FORMATS else _stand_in(c) for c in text)
    return " ".join(shown.split())


def _stand_in(char: str) -> str:
    """What stands for a character that is not shown: a space for breaks, else nothing."""
    if char.isspace() or ord(char) < 32:
        return " "
    return "\ufffd" if 0xD800 <= ord(char) <= 0xDFFF else ""


def escaped(text: str) -> str:
    """For HTML, SVG and attributes in double quotes."""
    return html.escape(one_line(text), quote=True)


def cell(text: str) -> str:
    """For a cell of a table: a text that a spreadsheet would run is marked as text with a "'"."""
    plain = one_line(text)
    return "'" + plain if plain.startswith(FORMULA_STARTS) else plain


def uncell(text: str) -> str:
    """The inverse of `cell`: a cell's text without the mark."""
    return text[1:] if text[:1] == "'" and text[1:].startswith(FORMULA_STARTS) else text


def csv_text(header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """A table as CSV (RFC 4180: commas, quotes doubled, CRLF), texts made safe.

    A byte order mark comes first, so that spreadsheets read it as UTF-8.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow([cell(name) for name in header])
    for row in rows:
        writer.writerow(["" if v is None else cell(v) if isinstance(v, str) else v for v in row])
    return "\ufeff" + out.getvalue()
