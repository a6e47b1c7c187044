"""Track files: CSV `frame,NAME.x,NAME.y[,NAME.z]`, one row a frame, and BVH by its ending.

A column NAME.confidence, as `track` writes it, may stand beside a point and is not read: where a
point was not seen for certain, its cells are empty or it was told.

Read with the file's line for every mistake. UTF-8 (a byte order mark and CRLF are fine); commas,
semicolons or tabs between cells; an empty cell or "nan" is a gap, a missing row too, and both are
stated. What cannot be right is refused rather than guessed: a frame that stands twice, rows out of
order, a column without its partner, a coordinate that is no number.

A file of 200,000 frames and 100 points is read block by block into one array.
"""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Iterator, Sequence
from itertools import islice
from pathlib import Path
from typing import IO

import numpy as np

from audio.errors import TableError
from audio.reading import FloatArray
from audio.regular_file import open_regular
from planner.files.file_kind import HEAD_BYTES, kind_of
from planner.paths.signals import BoolArray
from planner.paths.tracks import Tracks
from planner.told.wording import nearest

BLOCK_ROWS = 4096
COORDINATE_MAX = 1e7  # beyond this a number is no coordinate
VALUES_MAX = 400_000_000  # numbers in a file: 3 GB
BYTES_MAX = 4_000_000_000  # of a file; 400 million numbers of ten characters
GAP_TIMES = 10  # frames may be spread over this many times their number, no more
GAP_ROOM = 10_000
_GAPS = ("", "nan", "na", "n/a", "null", "none", "-")
_AXES = ("x", "y", "z")
_SHAPE = "the header is frame,NAME.x,NAME.y with .z if there is depth"


def read_tracks(path: str | Path, *, rate: float | None = None, first_frame: int = 1) -> Tracks:
    """The tracks of a file, CSV or BVH.

    rate : frames a second of the scene, first_frame : its first frame; both for BVH, which counts
    from its own start. Raises TableError, its `where` naming file and line.
    """
    file = Path(path)
    where = str(path)
    if file.is_dir():
        raise TableError("is a folder", where=where, mend="name a track file in it")
    try:
        with open_regular(file) as stream:
            head = stream.read(HEAD_BYTES)
            size = os.fstat(stream.fileno()).st_size
        if size > BYTES_MAX:
            raise TableError(f"larger than {BYTES_MAX // 1_000_000_000} GB", where=where,
                             mend="split it, or leave out points")  # fmt: skip
        kind = kind_of(head)
        if kind:
            raise TableError(f"is {kind}, no track file", where=where, mend="name a CSV or BVH")
        if head[:2] in (b"\xff\xfe", b"\xfe\xff"):
            raise TableError("is written in UTF-16", where=where, mend="save it as UTF-8")
        with io.TextIOWrapper(open_regular(file), encoding="utf-8-sig", newline="") as text:
            if file.suffix.lower() == ".bvh":
                from planner.paths.bvh import parse_bvh

                return parse_bvh(text.read(), file=where, rate=rate, first_frame=first_frame)
            return _read_csv(text, where)
    except FileNotFoundError:
        raise TableError("no such file", where=where, mend="check the name") from None
    except UnicodeDecodeError:
        raise TableError("is no text in UTF-8", where=where, mend="save it as UTF-8") from None
    except OSError as problem:
        raise TableError(f"cannot be read: {problem.strerror}", where=where) from None


def parse_csv(text: str, *, file: str = "tracks.csv") -> Tracks:
    """The tracks of a CSV text. Raises TableError."""
    return _read_csv(io.StringIO(text, newline=""), file)


def _read_csv(stream: IO[str], file: str) -> Tracks:
    header_line, separator, header_at = _header(stream, file)
    names, columns, frame_column = _columns(header_line, file, header_at)
    width = len(header_line)
    frames: list[FloatArray] = []
    values: list[FloatArray] = []
    at = header_at
    order = [column for track in columns for column in track]
    total = 0
    for lines in _blocks(stream, file, at):
        table = _numbers(lines, separator, width, file, at + 1)
        rows = ~np.all(np.isnan(table), axis=1) | _stated(lines)
        if rows.any():
            _check_frames(table[rows][:, frame_column], frames, lines, file, at + 1)
            frames.append(table[rows][:, frame_column].copy())
            values.append(table[rows][:, order])
            total += values[-1].size
        if total > VALUES_MAX:
            raise TableError(f"holds more than {VALUES_MAX:,} numbers", where=file,
                             mend="split it, or leave out points")  # fmt: skip
        at += len(lines)
    if not frames:
        raise TableError("has a header and no rows", where=file, mend="add a row a frame")
    return _assemble(names, len(columns[0]), np.concatenate(frames), values, file)


def _header(stream: IO[str], file: str) -> tuple[list[str], str, int]:
    """The header's cells, the separator, and the line it stands on."""
    for number, line in enumerate(islice(stream, 50), start=1):
        if "\0" in line:
            break
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        separator = max(",;\t", key=line.count)
        cells = _cells(line, separator, f"{file}:{number}")
        return [cell.strip() for cell in cells], separator, number
    raise TableError("has no header", where=file, mend=_SHAPE)


def _columns(
    header: Sequence[str], file: str, line: int
) -> tuple[tuple[str, ...], list[list[int]], int]:
    """Track names, the columns of each (x, y, maybe z), and the frame column."""
    where = f"{file}:{line}"
    lower = [cell.lower() for cell in header]
    if "frame" not in lower:
        raise TableError("no column is called frame", where=where, mend=_SHAPE)
    if len(set(lower)) != len(lower):
        twice = next(cell for cell in header if lower.count(cell.lower()) > 1)
        raise TableError(f'column "{twice}" stands twice', where=where, mend="rename one")
    found: dict[str, dict[str, int]] = {}
    for index, cell in enumerate(header):
        if lower[index] == "frame":
            continue
        name, dot, axis = cell.rpartition(".")
        if name and axis.lower() == "confidence":
            continue
        if not dot or not name or axis.lower() not in _AXES:
            raise TableError(f'column "{cell}" is neither frame nor NAME.x, NAME.y or NAME.z',
                             where=where, mend="rename it or leave it out")  # fmt: skip
        found.setdefault(name, {})[axis.lower()] = index
    if not found:
        raise TableError("has a frame column and no points", where=where, mend=_SHAPE)
    for name, axes in found.items():
        if not {"x", "y"} <= axes.keys():
            lacks = "y" if "x" in axes else "x"
            others = [cell for cell in header if cell.lower().endswith(f".{lacks}")]
            raise TableError(f'"{name}" has no column {name}.{lacks}', where=where,
                             mend=nearest(f"{name}.{lacks}", others))  # fmt: skip
    deep = [name for name, axes in found.items() if "z" in axes]
    if deep and len(deep) < len(found):
        flat = next(name for name, axes in found.items() if "z" not in axes)
        raise TableError(f'"{deep[0]}" has a z and "{flat}" has none', where=where,
                         mend="give all points a z, or none")  # fmt: skip
    axes_used = _AXES if deep else _AXES[:2]
    columns = [[axes[axis] for axis in axes_used] for axes in found.values()]
    return tuple(found), columns, lower.index("frame")


def _blocks(stream: IO[str], file: str, at: int) -> Iterator[list[str]]:
    while True:
        lines = list(islice(stream, BLOCK_ROWS))
        if not lines:
            return
        yield lines
        at += len(lines)


def _numbers(
    lines: list[str], separator: str, width: int, file: str, first_line: int
) -> FloatArray:
    """The numbers of some lines, shape (lines, width), NaN in gaps and on blank lines."""
    try:  # the quick road, for files without gaps
        if not all(line.strip() for line in lines):
            raise ValueError("blank lines")
        table = np.loadtxt(lines, delimiter=separator, ndmin=2, comments=None, quotechar='"')
        if table.shape == (len(lines), width) and np.all(np.abs(table) < COORDINATE_MAX):
            return np.asarray(table, dtype=np.float64)
    except ValueError:
        pass
    table = np.full((len(lines), width), np.nan)
    for row, line in enumerate(lines):
        where = f"{file}:{first_line + row}"
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        cells = _cells(line.replace("\0", " "), separator, where)
        if len(cells) != width:
            raise TableError(f"{len(cells)} cells, but the header has {width}", where=where,
                             mend="every row needs a cell for every column")  # fmt: skip
        for column, cell in enumerate(cells):
            table[row, column] = _number(cell.strip(), where)
    return table


def _cells(line: str, separator: str, where: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=separator), [])
    except csv.Error:
        raise TableError("a cell is far too long", where=where,
                         mend="export the table again") from None  # fmt: skip


def _number(cell: str, where: str) -> float:
    if cell.lower() in _GAPS:
        return float("nan")
    try:
        value = float(cell)
    except ValueError:
        comma = "," in cell and cell.replace(",", "", 1).lstrip("-+").isdigit()
        mend = "write decimals with a point" if comma else "write a number, or nothing for a gap"
        raise TableError(f'"{cell[:40]}" is no number', where=where, mend=mend) from None
    if not abs(value) < COORDINATE_MAX:
        raise TableError(f'"{cell[:40]}" is no coordinate', where=where,
                         mend=f"coordinates lie under {COORDINATE_MAX:,.0f}")  # fmt: skip
    return value


def _stated(lines: list[str]) -> np.ndarray:
    """True for lines that hold cells, be they all gaps."""
    return np.array([bool(line.strip()) and not line.lstrip().startswith("#") for line in lines])


def _check_frames(
    block: FloatArray, before: list[FloatArray], lines: list[str], file: str, first_line: int
) -> None:
    """Refuse frames that are no whole numbers, stand twice or run backwards."""
    stated = np.flatnonzero(_stated(lines))
    last = before[-1][-1] if before else -np.inf
    previous = np.concatenate([[last], block[:-1]])
    whole = np.isfinite(block) & (block == np.round(block))
    wrong = np.flatnonzero(~whole | ~(block > previous))
    if not len(wrong):
        return
    at = int(wrong[0])
    where = f"{file}:{first_line + int(stated[at])}"
    if np.isnan(block[at]):
        raise TableError("the row has no frame", where=where, mend="number every row")
    if not whole[at]:
        raise TableError(f"frame {block[at]:g} is no whole number", where=where,
                         mend="is frame the right column? rows are whole frames")  # fmt: skip
    if block[at] == previous[at]:
        raise TableError(f"frame {block[at]:.0f} stands twice", where=where, mend="keep one row")
    earlier = block[at] in np.concatenate([*before, block[:at]])
    if earlier:
        raise TableError(f"frame {block[at]:.0f} stands twice", where=where, mend="keep one row")
    raise TableError(f"frame {block[at]:.0f} comes after {previous[at]:.0f}", where=where,
                     mend="sort the rows by frame")  # fmt: skip


def _assemble(
    names: tuple[str, ...], dims: int, frames: FloatArray, values: list[FloatArray], file: str
) -> Tracks:
    """Rows as an array over all frames, what is missing stated."""
    first, last = int(frames[0]), int(frames[-1])
    count = last - first + 1
    if count > GAP_TIMES * len(frames) + GAP_ROOM:
        jump = int(np.argmax(np.diff(frames)))
        raise TableError(f"frames jump from {frames[jump]:.0f} to {frames[jump + 1]:.0f}",
                         where=file, mend="correct the number")  # fmt: skip
    points = np.full((len(names), count, dims), np.nan)
    row = 0
    for block in values:
        at = frames[row : row + len(block)].astype(np.int64) - first
        points[:, at] = block.reshape(len(block), len(names), dims).transpose(1, 0, 2)
        row += len(block)
    values.clear()
    points.flags.writeable = False
    return Tracks(names, first, points, file, tuple(_gap_remarks(names, points, first)))


def _gap_remarks(names: tuple[str, ...], points: FloatArray, first: int) -> Iterator[str]:
    """One remark for frames that lack everything, one for each track with gaps of its own."""
    missing = np.stack([~np.isfinite(track).all(axis=1) for track in points])
    if not missing.any():
        return
    nowhere: BoolArray = np.logical_and.reduce(missing)
    if nowhere.any():
        yield f"{_ranges(nowhere, first)} missing: nothing is measured there"
    for name, mask in zip(names, missing, strict=True):
        own: BoolArray = mask & ~nowhere
        if own.any():
            yield f"{name} has gaps: {_ranges(own, first)}"


def _ranges(mask: BoolArray, first: int) -> str:
    """ "frames 3, 7-9" ; long lists are cut."""
    from planner.paths.ranges import runs

    begin, end = runs(mask)
    told = [
        f"{first + a}" if a == b else f"{first + a}-{first + b}"
        for a, b in zip(begin[:6], end[:6], strict=True)
    ]
    more = f" and {len(begin) - 6} more places" if len(begin) > 6 else ""
    return f"frames {', '.join(told)}{more}"
