"""BVH: a skeleton and its channels, as positions of joints in space by forward kinematics.

Conventions: a joint's rotation is the product of its channels' rotations in the order in which the
file lists them, angles in degrees, right-handed; a child stands at its parent's position plus the
parent's rotation times OFFSET. Position channels are added to the OFFSET of a root (so the format's
description by its makers, from memory) and take the place of the OFFSET of any other joint (as
writers do that give every joint six channels). Units are the file's own, y is up. Ends of limbs
("End Site") get their joint's name and "_end".

Frame 0 of the file is the scene's first frame; its frame time must fit the scene's rate, since
frames of another rate would be frames of another time.

What it does not do: several skeletons in one file (refused), scale, or rest poses.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from audio.errors import TableError
from audio.reading import FloatArray
from planner.paths.tracks import Tracks
from planner.told.wording import nearest

CHANNELS = ("Xposition", "Yposition", "Zposition", "Xrotation", "Yrotation", "Zrotation")
BLOCK_FRAMES = 8192  # rotations are kept for so many frames at a time
JOINTS_MAX = 2000
VALUES_MAX = 400_000_000
_LOWER = {channel.lower(): channel for channel in CHANNELS}


@dataclass(frozen=True, slots=True)
class Joint:
    """A joint or the end of a limb. `channels` as listed; `column` where they begin in a row."""

    name: str
    parent: int
    offset: tuple[float, float, float]
    channels: tuple[str, ...]
    column: int


@dataclass(slots=True)
class _Reader:
    """The words of a file with the line of each, and a place among them."""

    words: list[tuple[str, int]]
    file: str
    at: int = 0
    joints: list[Joint] = field(default_factory=list)
    column: int = 0

    def where(self) -> str:
        place = self.words[min(self.at, len(self.words) - 1)][1] if self.words else 1
        return f"{self.file}:{place}"

    def fail(self, what: str, mend: str) -> TableError:
        return TableError(what, where=self.where(), mend=mend)

    def peek(self) -> str:
        if self.at >= len(self.words):
            raise self.fail("the file ends in the middle of the skeleton", "export it again")
        return self.words[self.at][0]

    def take(self, wanted: str = "") -> str:
        word = self.peek()
        if wanted and word.lower() != wanted.lower():
            raise self.fail(f'"{word[:40]}" where "{wanted}" should stand', "export it again")
        self.at += 1
        return word

    def number(self) -> float:
        word = self.peek()
        try:
            value = float(word)
        except ValueError:
            raise self.fail(f'"{word[:40]}" is no number', "export it again") from None
        if not abs(value) < 1e7:
            raise self.fail(f'"{word[:40]}" is no length', "export it again")
        self.at += 1
        return value


def parse_bvh(
    text: str, *, file: str = "motion.bvh", rate: float | None = None, first_frame: int = 1
) -> Tracks:
    """Positions of every joint and limb end on every frame.

    rate : frames a second of the scene, or None to take any. Raises TableError naming the line.
    """
    match = re.search(r"^[ \t]*MOTION\b", text, re.MULTILINE | re.IGNORECASE)
    if not match:
        raise TableError("has no MOTION section", where=file, mend="export it again")
    joints = _skeleton(text[: match.start()], file)
    first_line = text.count("\n", 0, match.end()) + 1
    width = sum(len(joint.channels) for joint in joints)
    rows = _motion(text[match.end() :], file, first_line, width, rate)
    points = joint_positions(joints, rows)
    names = tuple(joint.name for joint in joints)
    return Tracks(names, first_frame, points, file,
                  (f"counted from frame {first_frame}, the file's own first",))  # fmt: skip


def _skeleton(text: str, file: str) -> list[Joint]:
    words = [
        (word, number) for number, line in enumerate(text.split("\n"), start=1)
        for word in line.split()
    ]  # fmt: skip
    reader = _Reader(words, file)
    reader.take("HIERARCHY")
    reader.take("ROOT")
    _read_joints(reader)
    if reader.at < len(words):
        raise reader.fail(f'"{reader.peek()[:40]}" after the skeleton', "keep one ROOT a file")
    names = [joint.name for joint in reader.joints]
    if len(set(names)) != len(names):
        twice = next(name for name in names if names.count(name) > 1)
        raise TableError(f'two joints are called "{twice}"', where=file, mend="rename one")
    return reader.joints


def _read_joints(reader: _Reader) -> None:
    """ROOT has been taken; reads it and all its children, without recursion."""
    parents: list[int] = []
    _open_joint(reader, -1, _name(reader))
    parents.append(0)
    while parents:
        word = reader.take()
        if word == "}":
            parents.pop()
        elif word.upper() == "JOINT":
            name = _name(reader)
            _open_joint(reader, parents[-1], name)
            parents.append(len(reader.joints) - 1)
        elif word.upper() == "END":
            reader.take("Site")
            _open_joint(reader, parents[-1], f"{reader.joints[parents[-1]].name}_end", end=True)
            reader.take("}")
        else:
            reader.at -= 1
            raise reader.fail(f'"{word[:40]}" in the skeleton', "JOINT, End Site or } is meant")
        if len(reader.joints) > JOINTS_MAX:
            raise reader.fail(f"more than {JOINTS_MAX} joints", "export the main joints only")


def _name(reader: _Reader) -> str:
    """A joint's name; it may have spaces, up to the brace."""
    words = []
    while reader.peek() != "{":
        words.append(reader.take())
    if not words:
        raise reader.fail("a joint without a name", "name it")
    return " ".join(words)


def _open_joint(reader: _Reader, parent: int, name: str, *, end: bool = False) -> None:
    reader.take("{")
    reader.take("OFFSET")
    offset = (reader.number(), reader.number(), reader.number())
    channels: list[str] = []
    if not end:
        reader.take("CHANNELS")
        count = reader.number()
        if count != int(count) or not 0 <= count <= 6:
            reader.at -= 1
            raise reader.fail(f"{count:g} channels", "a joint has 0 to 6")
        for _ in range(int(count)):
            channel = _LOWER.get(reader.peek().lower())
            if channel is None or channel in channels:
                raise reader.fail(f'unknown channel "{reader.peek()[:40]}"' if channel is None
                                  else f"channel {channel} stands twice",
                                  nearest(reader.peek(), CHANNELS))  # fmt: skip
            channels.append(channel)
            reader.at += 1
    reader.joints.append(Joint(name, parent, offset, tuple(channels), reader.column))
    reader.column += len(channels)


def _motion(text: str, file: str, first_line: int, width: int, rate: float | None) -> FloatArray:
    """The rows of channel values, shape (frames, width)."""
    lines = [(first_line + k, line.strip()) for k, line in enumerate(text.split("\n"))]
    stated = [(number, line) for number, line in lines if line]
    count = _stated(stated, 0, "Frames:", file)
    frame_time = _stated(stated, 1, "Frame Time:", file)
    if count != int(count) or count < 1:
        raise TableError(
            f"{count:g} frames", where=f"{file}:{stated[0][0]}", mend="export it again"
        )
    _check_rate(stated[1], frame_time, file, rate)
    rows = stated[2:]
    if len(rows) != int(count):
        place = rows[-1][0] if rows else stated[1][0]
        raise TableError(
            f"{len(rows)} rows of motion where {count:.0f} are announced", where=f"{file}:{place}",
            mend="the file is cut off, export it again" if len(rows) < count else "correct Frames:",
        )  # fmt: skip
    if len(rows) * max(width, 1) > VALUES_MAX:
        raise TableError(f"holds more than {VALUES_MAX:,} numbers", where=file, mend="split it")
    return _rows(rows, width, file)


def _stated(lines: list[tuple[int, str]], at: int, label: str, file: str) -> float:
    number, line = lines[at] if at < len(lines) else (lines[-1][0] if lines else 1, "")
    where = f"{file}:{number}"
    if not line.lower().startswith(label.lower()):
        raise TableError(f'no "{label}" after MOTION', where=where, mend="export it again")
    try:
        return float(line[len(label) :])
    except ValueError:
        raise TableError(f'"{line[:40]}" has no number', where=where,
                         mend="export it again") from None  # fmt: skip


def _check_rate(stated: tuple[int, str], frame_time: float, file: str, rate: float | None) -> None:
    """Refuse a file of another rate; the rounding of its frame time is allowed for."""
    where = f"{file}:{stated[0]}"
    if not 1e-4 < frame_time < 10.0:
        raise TableError(f"a frame time of {frame_time:g} s", where=where, mend="export it again")
    if rate is None:
        return
    digits = len(stated[1].rpartition(".")[2]) if "e" not in stated[1].lower()[11:] else 7
    if abs(frame_time - 1.0 / rate) > 0.51 * 10.0**-digits + 1e-6:
        raise TableError(
            f"runs at {1.0 / frame_time:.4g} frames a second, the scene at {rate:.5g}",
            where=where, mend="export it at the scene's rate",
        )  # fmt: skip


def _rows(rows: list[tuple[int, str]], width: int, file: str) -> FloatArray:
    values = np.empty((len(rows), width))
    for k, (number, line) in enumerate(rows):
        where = f"{file}:{number}"
        cells = line.split()
        if len(cells) != width:
            raise TableError(f"{len(cells)} values for {width} channels", where=where,
                             mend="the row is cut off, export it again")  # fmt: skip
        try:
            values[k] = np.array(cells, dtype=np.float64)
        except ValueError:
            raise TableError("a value is no number", where=where, mend="export it again") from None
    wrong = np.flatnonzero(~np.all(np.abs(values) < 1e7, axis=1))
    if len(wrong):
        raise TableError("a value is no coordinate or angle", where=f"{file}:{rows[wrong[0]][0]}",
                         mend="export it again")  # fmt: skip
    return values


def rotation(axis: str, degrees: FloatArray) -> FloatArray:
    """Rotations about an axis, right-handed, shape (frames, 3, 3).

    >>> rotation("Z", np.array([90.0]))[0].round(6)[:, 0]
    array([0., 1., 0.])
    """
    turn = np.radians(degrees)
    cos, sin = np.cos(turn), np.sin(turn)
    first, second = {"X": (1, 2), "Y": (2, 0), "Z": (0, 1)}[axis]
    matrix = np.zeros((len(turn), 3, 3))
    matrix[:, [0, 1, 2], [0, 1, 2]] = 1.0
    matrix[:, first, first] = cos
    matrix[:, second, second] = cos
    matrix[:, first, second] = -sin
    matrix[:, second, first] = sin
    return matrix


def joint_positions(joints: list[Joint], rows: FloatArray) -> FloatArray:
    """Positions of joints, shape (joints, frames, 3), from rows of channel values."""
    points = np.empty((len(joints), len(rows), 3))
    for start in range(0, len(rows), BLOCK_FRAMES):
        block = rows[start : start + BLOCK_FRAMES]
        turned: dict[int, FloatArray] = {}
        for k, joint in enumerate(joints):
            place = np.tile(np.array(joint.offset), (len(block), 1))
            for axis, values in _channels(joint, block, "position"):
                index = "XYZ".index(axis)
                place[:, index] = values + (joint.offset[index] if joint.parent < 0 else 0.0)
            turn: FloatArray | None = None
            if joint.parent >= 0:
                turn = turned[joint.parent]
                place = np.einsum("fij,fj->fi", turn, place)
                place = place + points[joint.parent, start : start + len(block)]
            points[k, start : start + len(block)] = place
            for axis, values in _channels(joint, block, "rotation"):
                own = rotation(axis, values)
                turn = own if turn is None else turn @ own
            turned[k] = rotation("X", np.zeros(len(block))) if turn is None else turn
    points.flags.writeable = False
    return points


def _channels(joint: Joint, block: FloatArray, kind: str) -> Iterator[tuple[str, FloatArray]]:
    for k, channel in enumerate(joint.channels):
        if channel.endswith(kind):
            yield channel[0], block[:, joint.column + k]
