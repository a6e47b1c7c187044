"""Key poses from a table: CSV with the header `frame,who,part,name`.

Conventions: frames are the scene's own whole numbers. `who` may be left out in a scene with one
character, `name` always; columns we do not know are kept with each pose. UTF-8, with or without a
byte order mark, any line ends; commas, or semicolons as some spreadsheets write them. Lines in
messages are the file's own, so that a text editor finds them.
A pose outside the shot is kept and remarked on: it may belong to the next shot.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from audio.errors import TableError
from audio.regular_file import open_regular
from planner.files.file_kind import HEAD_BYTES, kind_of
from planner.scene import PARTS, KeyPose
from planner.told.wording import nearest

COLUMNS = ("frame", "who", "part", "name")
SIZE_MAX = 20_000_000  # bytes; a pose takes about 40, a long film's worth is far smaller
ROWS_MAX = 200_000
_WHOLE = re.compile(r"[+-]?[0-9]{1,7}")
# As other tables call our columns, and hands and arms without their sides are refused all the same.
CALLED = {"character": "who", "char": "who", "body part": "part", "pose": "name", "key": "frame"}
_WHOLE_POINT = re.compile(r"([+-]?[0-9]{1,7})[.,]0*")
_DECIMAL = re.compile(r"[+-]?[0-9]{1,12}\.[0-9]*")


@dataclass(frozen=True, slots=True)
class PoseTable:
    """Poses in the file's order, and the line each stands on."""

    poses: tuple[KeyPose, ...]
    line_nos: tuple[int, ...]
    file: str

    def outside(self, shot: tuple[int, int]) -> tuple[str, ...]:
        """A remark for each pose outside the shot (first and last frame, inclusive)."""
        first, last = shot
        poses = self.poses
        if (
            poses
            and max(p.frame for p in poses) <= last - first + 1
            and first > 1
            and all(p.frame < first for p in poses)
        ):
            return (f"{self.file}: frames {poses[0].frame} and on are counted from 1, the shot is "
                    f"{first}-{last}; add {first - 1} to each",)  # fmt: skip
        return tuple(
            f"{self.file}:{line_no}: frame {pose.frame} lies outside the shot ({first}-{last})"
            for pose, line_no in zip(self.poses, self.line_nos, strict=True)
            if not first <= pose.frame <= last
        )


def read_poses(path: str | Path, characters: Sequence[str]) -> PoseTable:
    """The poses of a CSV file. Raises TableError, its `where` naming file and line."""
    return parse_poses(_text(Path(path), str(path)), characters, file=str(path))


def _text(path: Path, where: str) -> str:
    try:
        if path.is_dir():
            raise TableError("is a folder", where=where, mend="name the poses file in it")
        with open_regular(path) as stream:
            data = stream.read(SIZE_MAX + 1)
    except FileNotFoundError:
        raise TableError("no such poses file", where=where, mend="check the name") from None
    except (OSError, ValueError) as problem:
        said = getattr(problem, "strerror", None) or str(problem)
        raise TableError(f"cannot be read: {said}", where=where) from None
    kind = kind_of(data[:HEAD_BYTES])
    if kind:
        raise TableError(f"is {kind}, no table of key poses", where=where, mend="name a CSV file")
    if len(data) > SIZE_MAX:
        raise TableError(
            f"larger than {SIZE_MAX // 1_000_000} MB, so no list of key poses", where=where,
            mend="check the name; motion tracks go to linebeat paths",
        )  # fmt: skip
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise TableError("the file is UTF-16 text", where=f"{where}:1", mend="save it as UTF-8")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line_no = 1 + data.count(b"\n", 0, error.start)
        raise TableError(
            "the file is not UTF-8 text", where=f"{where}:{line_no}", mend="save it as UTF-8"
        ) from None


def parse_poses(text: str, characters: Sequence[str], *, file: str = "poses.csv") -> PoseTable:
    """The poses a text describes; `file` is its name in messages. Raises TableError."""
    rows = _rows(text.removeprefix("\ufeff"), file)
    line_no, header = next(rows, (1, []))
    columns = _columns(header, characters, f"{file}:{line_no}")
    poses: list[KeyPose] = []
    line_nos: list[int] = []
    seen: dict[tuple[int, str, str], int] = {}
    for line_no, cells in rows:
        where = f"{file}:{line_no}"
        pose = _pose(columns, cells, characters, where)
        key = (pose.frame, pose.who, pose.part)
        if key in seen:
            raise TableError(
                f"frame {pose.frame} of {pose.who}'s {pose.part} stands on line {seen[key]} too",
                where=where, mend="delete one of the two rows",
            )  # fmt: skip
        if len(poses) >= ROWS_MAX:
            raise TableError(f"more than {ROWS_MAX} rows", where=where, mend="split the table")
        seen[key] = line_no
        poses.append(pose)
        line_nos.append(line_no)
    return PoseTable(tuple(poses), tuple(line_nos), file)


def _rows(text: str, file: str) -> Iterator[tuple[int, list[str]]]:
    """The rows that say something, each with the line it begins on."""
    if "\0" in text:
        line_no = 1 + text.count("\n", 0, text.index("\0"))
        raise TableError(
            "a NUL byte, so no text table", where=f"{file}:{line_no}", mend="save it as CSV"
        )
    text = _without_remarks(text)
    head = next((line for line in text.splitlines() if line.strip()), "")
    stated = re.fullmatch(r"\s*sep=(.)\s*", head)
    if stated:  # some spreadsheets say so in a line of its own
        text = text.replace(head, "", 1)
    mark = ";" if ";" in head and "," not in head else "," if "\t" not in head else "\t"
    mark = stated[1] if stated else mark
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    begins = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield begins, cells
            begins = reader.line_num + 1
    except csv.Error as problem:
        raise TableError(
            f"not a CSV row: {problem}", where=f"{file}:{begins}", mend="look for a stray quote"
        ) from None


def _without_remarks(text: str) -> str:
    """The text with lines that begin with # emptied, so that line numbers stay."""
    return "".join(
        "\n" if line.lstrip().startswith("#") else line for line in text.splitlines(keepends=True)
    )


def _columns(header: list[str], characters: Sequence[str], where: str) -> list[str]:
    """The names of the columns, checked."""
    names = [cell.strip() for cell in header]
    known = [
        name.lower() if name.lower() in COLUMNS else CALLED.get(name.lower(), name)
        for name in names
    ]
    if not any(known):
        raise TableError("the table is empty", where=where, mend=f"begin with {','.join(COLUMNS)}")
    doubles = [name for name in known if name and known.count(name) > 1]
    if doubles:
        raise TableError(
            f'the column "{_short(doubles[0])}" stands twice', where=where, mend="delete one"
        )
    needed = ("frame", "part") if len(characters) == 1 else ("frame", "who", "part")
    missing = [name for name in needed if name not in known]
    if missing:
        what = f'no column "{missing[0]}"'
        if _WHOLE.fullmatch(names[0]):
            what += "; the first row looks like a pose, not a header"
        raise TableError(what, where=where, mend=f"begin with {','.join(COLUMNS)}")
    return known


def _pose(columns: list[str], cells: list[str], characters: Sequence[str], where: str) -> KeyPose:
    if len(cells) > len(columns) and any(c.strip() for c in cells[len(columns) :]):
        raise TableError(
            f"{len(cells)} cells under {len(columns)} columns", where=where,
            mend="put a text that has commas in double quotes",
        )  # fmt: skip
    row = dict(zip(columns, [c.strip() for c in cells], strict=False))
    who = row.get("who", "")
    if not who and len(characters) == 1:
        who = characters[0]
    return KeyPose(
        frame=_frame(row.get("frame", ""), where),
        who=_one_of(who, characters, "character", "who", where),
        part=_one_of(row.get("part", "").lower(), PARTS, "part", "part", where),
        name=" ".join(row.get("name", "").split()),
        extra=MappingProxyType({k: v for k, v in row.items() if k and k not in COLUMNS}),
    )


def _frame(text: str, where: str) -> int:
    if not text:
        raise TableError("no frame", where=where, mend="write a whole frame such as 1001")
    whole = _WHOLE_POINT.fullmatch(text)
    if whole:  # a spreadsheet's 1018.0
        return int(whole[1])
    if not _WHOLE.fullmatch(text):
        mend = "write a whole frame such as 1001"
        if _DECIMAL.fullmatch(text):
            mend = f"key poses stand on whole frames; write {round(float(text))}"
        raise TableError(f'"{_short(text)}" is not a frame', where=where, mend=mend)
    return int(text)


def _one_of(name: str, known: Sequence[str], kind: str, column: str, where: str) -> str:
    if not name:
        raise TableError(f"no {column}", where=where, mend=f"name a {kind} ({', '.join(known)})")
    if name in known:
        return name
    raise TableError(f'unknown {kind} "{_short(name)}"', where=where, mend=nearest(name, known))


def _short(text: str) -> str:
    flat = " ".join(text.split())
    return flat if len(flat) <= 60 else flat[:57] + "..."
