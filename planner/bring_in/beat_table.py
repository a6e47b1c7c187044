"""Beats from a table: CSV with the header `first,last,who,intent,strength,toward,note`.

`strength`, `toward` and `note` may be left out, `who` in a scene with one character. Frames are the
scene's own, inclusive.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from pathlib import Path

from audio.errors import TableError
from audio.regular_file import TooLargeError, read_regular
from planner.export.plain import uncell
from planner.scene import Beat
from planner.told.wording import nearest

COLUMNS = ("first", "last", "who", "intent", "strength", "toward", "note")
SIZE_MAX = 5_000_000


def read_beats(path: str | Path, characters: Sequence[str]) -> tuple[Beat, ...]:
    """The beats of a CSV file. Raises TableError, its `where` naming file and line."""
    try:
        text = read_regular(path, SIZE_MAX).decode("utf-8-sig")
    except FileNotFoundError:
        raise TableError("no such beats file", where=str(path), mend="check the name") from None
    except UnicodeDecodeError:
        raise TableError("the file is not UTF-8 text", where=str(path),
                         mend="save it as UTF-8") from None  # fmt: skip
    except TooLargeError:
        raise TableError("too large for a list of beats", where=str(path),
                         mend="check the name") from None  # fmt: skip
    except (OSError, ValueError) as problem:
        said = getattr(problem, "strerror", None) or str(problem)
        raise TableError(f"cannot be read: {said}", where=str(path)) from None
    return parse_beats(text, characters, file=str(path))


def parse_beats(
    text: str, characters: Sequence[str], *, file: str = "beats.csv"
) -> tuple[Beat, ...]:
    """The beats a text describes. Raises TableError."""
    rows = _rows(text, file)
    where, header = next(rows, (f"{file}:1", []))
    names = [name.strip().lower() for name in header]
    needed = ("first", "last", "intent", *(("who",) if len(characters) > 1 else ()))
    missing = [name for name in needed if name not in names]
    if missing:
        raise TableError(f'no column "{missing[0]}"', where=where,
                         mend=f"begin with {','.join(COLUMNS)}")  # fmt: skip
    return tuple(
        _beat(dict(zip(names, map(str.strip, cells), strict=False)), characters, where)
        for where, cells in rows
    )


def _rows(text: str, file: str) -> Iterator[tuple[str, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    begins = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield f"{file}:{begins}", [uncell(cell) for cell in cells]
            begins = reader.line_num + 1
    except csv.Error as problem:
        raise TableError(f"not a CSV row: {problem}", where=f"{file}:{begins}",
                         mend="look for a stray quote") from None  # fmt: skip


def _beat(row: dict[str, str], characters: Sequence[str], where: str) -> Beat:
    who = row.get("who", "") or (characters[0] if len(characters) == 1 else "")
    toward = row.get("toward", "")
    for name in (who, *([toward] if toward else [])):
        if name not in characters:
            raise TableError(f'no character "{name[:60]}"', where=where,
                             mend=nearest(name, characters))  # fmt: skip
    try:
        first, last = int(row["first"]), int(row["last"])
        strength = float(row.get("strength", "") or 1.0)
    except (ValueError, KeyError):
        raise TableError("frames are whole numbers, a strength a number from 0 to 1", where=where,
                         mend="write 1001,1024,clerk,teasing,0.7") from None  # fmt: skip
    if last < first or not 0 <= strength <= 1:
        raise TableError(f"{first}-{last} at {strength:g} is no beat", where=where,
                         mend="put the first frame first, and a strength from 0 to 1")  # fmt: skip
    if not row.get("intent"):
        raise TableError("no intent", where=where, mend="name what the character wants")
    return Beat(row["intent"], who, None, None, (first, last), strength, toward or None,
                row.get("note", ""))  # fmt: skip
