"""Pins: where a point is on a picture, as the user says; and their text.

A pin file is CSV `frame,name,x,y`, a row a pin, in any order. A track file that `track` wrote holds
its pins too, with how they looked, as remarks: `# pin FRAME NAME X Y LOOK`. So a table of tracks is
enough to find its points again in a second version of the movie.
"""

from __future__ import annotations

import base64
import binascii
import csv
import io
import re
import zlib
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from audio.errors import TableError
from planner.picture.patches import Grey, Patch

NAME = re.compile(r"[^\s,;=#.]+(?: [^\s,;=#.]+)*")
NAMES_MAX = 200  # points followed at a time
PINS_MAX = 20_000
LOOK_MARK = "# pin "
RADIUS_MAX = 40
COORDINATE_MAX = 100_000.0
_SHAPE = "the header is frame,name,x,y"


@dataclass(frozen=True, slots=True, eq=False)
class Pin:
    """A point named and placed on a frame (of the scene). look : its patch there, if known."""

    frame: int
    name: str
    x: float
    y: float
    look: Grey | None = None


def parse_pins(text: str, *, file: str = "points.csv") -> tuple[Pin, ...]:
    """The pins of a pin file, or of a track file that holds its pins.

    Raises TableError, its `where` naming file and line.
    """
    kept = [_from_remark(line, f"{file}:{number}")
            for number, line in enumerate(text.splitlines(), start=1)
            if line.startswith(LOOK_MARK)]  # fmt: skip
    pins = kept or _from_rows(text, file)
    if not pins:
        raise TableError("holds no points", where=file, mend="add rows frame,name,x,y")
    if len(pins) > PINS_MAX or len({pin.name for pin in pins}) > NAMES_MAX:
        raise TableError(f"holds more than {NAMES_MAX} points or {PINS_MAX:,} pins", where=file,
                         mend="follow them in parts")  # fmt: skip
    seen: dict[tuple[int, str], Pin] = {}
    for pin in pins:
        if (pin.frame, pin.name) in seen:
            raise TableError(f'"{pin.name}" stands twice on frame {pin.frame}', where=file,
                             mend="keep one")  # fmt: skip
        seen[pin.frame, pin.name] = pin
    return tuple(sorted(pins, key=lambda pin: pin.frame))


def _from_rows(text: str, file: str) -> list[Pin]:
    pins: list[Pin] = []
    columns: list[str] | None = None
    for number, line in enumerate(io.StringIO(text.lstrip("\ufeff")), start=1):
        where = f"{file}:{number}"
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        try:
            cells = [cell.strip() for cell in next(csv.reader([line.replace("\0", " ")]))]
        except csv.Error:
            raise TableError("a cell is far too long", where=where, mend=_SHAPE) from None
        if columns is None:
            columns = [cell.lower() for cell in cells]
            if sorted(columns) != ["frame", "name", "x", "y"]:
                raise TableError("is no table of points", where=where, mend=_SHAPE)
            continue
        if len(cells) != 4:
            raise TableError(f"{len(cells)} cells, but the header has 4", where=where,
                             mend="every row is frame,name,x,y")  # fmt: skip
        row = dict(zip(columns, cells, strict=True))
        pins.append(checked_pin(row["frame"], row["name"], row["x"], row["y"], where=where))
    return pins


def checked_pin(frame: str, name: str, x: str, y: str, *, where: str) -> Pin:
    """A pin from texts. Raises TableError."""
    if not re.fullmatch(r"-?[0-9]{1,9}", frame):
        raise TableError(f'frame "{frame[:40]}" is no whole number', where=where, mend="write 1001")
    if not NAME.fullmatch(name) or len(name) > 60:
        raise TableError(f'"{name[:40]}" is no name for a point', where=where,
                         mend="use letters, digits and _, such as clerk_nose")  # fmt: skip
    numbers = []
    for text in (x, y):
        try:
            value = float(text)
        except ValueError:
            value = float("nan")
        if not abs(value) < COORDINATE_MAX:
            raise TableError(f'"{text[:40]}" is no pixel', where=where,
                             mend="write pixels from the top left corner")  # fmt: skip
        numbers.append(value)
    return Pin(int(frame), name, numbers[0], numbers[1])


def _from_remark(line: str, where: str) -> Pin:
    cells = line[len(LOOK_MARK) :].split("\t")
    if len(cells) != 5:
        raise TableError("is no pin", where=where, mend="keep the line as track wrote it")
    pin = checked_pin(*cells[:4], where=where)
    return Pin(pin.frame, pin.name, pin.x, pin.y, _look(cells[4].strip(), where))


def _look(text: str, where: str) -> Grey:
    broken = TableError("the look of the pin is damaged", where=where,
                        mend="delete what follows its place, or write the file again")  # fmt: skip
    try:
        packed = base64.b64decode(text, validate=True)
        opener = zlib.decompressobj()
        raw = opener.decompress(packed, (2 * RADIUS_MAX + 1) ** 2 + 1)
    except (binascii.Error, zlib.error, ValueError):
        raise broken from None
    side = round(len(raw) ** 0.5)
    if side * side != len(raw) or side % 2 == 0 or not 5 <= side <= 2 * RADIUS_MAX + 1:
        raise broken
    return np.frombuffer(raw, dtype=np.uint8).reshape(side, side).astype(np.float32)


def pin_remark(pin: Pin, patch: Patch) -> str:
    """The line that keeps a pin and its look in a track file."""
    raw = np.clip(np.round(patch.values), 0, 255).astype(np.uint8).tobytes()
    look = base64.b64encode(zlib.compress(raw, 9)).decode("ascii")
    return f"{LOOK_MARK}{pin.frame}\t{pin.name}\t{pin.x:.2f}\t{pin.y:.2f}\t{look}"


def pins_text(pins: Iterable[Pin]) -> str:
    """A pin file."""
    rows = [f"{pin.frame},{pin.name},{pin.x:.2f},{pin.y:.2f}" for pin in pins]
    return "\n".join(["frame,name,x,y", *rows]) + "\n"
