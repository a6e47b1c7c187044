"""Marks of a timeline file: .otio and whatever else the installed OpenTimelineIO reads.

A mark lies where its clip, gap or track lies; the timeline's zero is the scene's first frame, so a
global start time of 00:00:00:00 (or none) begins the scene. Times at another rate are taken in
seconds and put on the frame on screen then.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from audio.errors import TableError
from audio.regular_file import check_regular
from planner.bring_in.marks import ForeignMark, poses_in
from planner.frames import EDGE_FRAMES
from planner.scene import KeyPose, Scene

SIZE_MAX = 50_000_000  # bytes; a timeline of a feature has a few
DEPTH_MAX = 200  # nested stacks; a timeline of ours has 12
FRAMES_MAX = 100_000_000  # a thousand hours
# What the library's readers raise on damaged files, seen by damaging them.
BROKEN = (ValueError, LookupError, TypeError, AttributeError, ArithmeticError, RuntimeError,
          AssertionError, NotImplementedError)  # fmt: skip
ENDINGS = (".otio", ".edl")


def read_timeline_poses(path: str | Path, scene: Scene) -> tuple[KeyPose, ...]:
    """The key poses marked in a timeline file. Raises TableError if there are none."""
    poses = poses_in(read_marks(path, scene), scene.characters)
    if not poses:
        raise TableError("no key poses in this timeline", where=str(path),
                         mend="name markers as key pose: head, chin down")  # fmt: skip
    return poses


def read_marks(path: str | Path, scene: Scene) -> tuple[ForeignMark, ...]:
    """Every marker of a timeline file, on the scene's frames, in order of time.

    Raises TableError for a file that is missing or no timeline, or without the library.
    """
    timeline = _read(Path(path), scene)
    try:
        return _marks(timeline, scene, path)
    except BROKEN as problem:
        said = " ".join(str(problem).split())[:120]
        raise TableError(f"no timeline that can be read: {said}", where=str(path),
                         mend="export it again") from None  # fmt: skip


def _marks(timeline: Any, scene: Scene, path: str | Path) -> tuple[ForeignMark, ...]:
    zero = _index(timeline.global_start_time, scene) if timeline.global_start_time else 0
    marks = []
    for marker, start, who in _placed(timeline.tracks):
        first = scene.clock.first_frame + zero + _index(start, scene)
        seconds = marker.marked_range.duration.to_seconds()
        length = max(1, round(_within(seconds * float(scene.rate.frames_per_s))))
        marks.append(
            ForeignMark(
                str(marker.name), (first, first + length - 1), who,
                str(getattr(marker, "comment", "") or ""), f'{path}: marker "{marker.name}"',
            )
        )  # fmt: skip
    return tuple(sorted(marks, key=lambda m: (m.frames, m.who, m.name)))


def _read(path: Path, scene: Scene) -> Any:
    try:
        import opentimelineio as otio
    except ImportError:
        raise TableError("a timeline needs OpenTimelineIO", where=str(path),
                         mend="pip install 'linebeat[timeline]'") from None  # fmt: skip
    try:
        if not path.exists():
            raise TableError("no such timeline file", where=str(path), mend="check the name")
        if check_regular(path).st_size > SIZE_MAX:
            raise TableError("too large for a timeline", where=str(path), mend="check the name")
        _check_depth(path)
        options = {"rate": float(scene.rate.frames_per_s)} if path.suffix == ".edl" else {}
        timeline = otio.adapters.read_from_file(str(path), **options)
    except (otio.exceptions.OTIOError, OSError, *BROKEN) as problem:
        said = " ".join(str(problem).split())[:120]
        raise TableError(f"no timeline that can be read: {said}", where=str(path)) from None
    if not isinstance(timeline, otio.schema.Timeline):
        raise TableError(f"holds a {type(timeline).__name__}, no timeline", where=str(path),
                         mend="export the timeline itself")  # fmt: skip
    return timeline


def _index(time: Any, scene: Scene) -> int:
    """The picture on screen at a time."""
    frames = float(time.value) * float(scene.rate.frames_per_s) / float(time.rate)
    return math.floor(_within(frames) + EDGE_FRAMES)


def _within(frames: float) -> float:
    """Frames that can be. Raises ValueError for what is no number or beyond any film."""
    if not abs(frames) <= FRAMES_MAX:
        raise ValueError(f"a time of {frames:g} frames")
    return frames


def _check_depth(path: Path) -> None:
    """Refuse brackets nested deeper than any timeline's: the library's reader breaks down on them.

    Raises ValueError.
    """
    depth = 0
    for mark in re.findall(rb'"(?:[^"\\]|\\.)*"|[\[\]{}]', path.read_bytes(), re.DOTALL):
        depth += (mark in b"[{") - (mark in b"]}") if len(mark) == 1 else 0
        if depth > DEPTH_MAX:
            raise ValueError(f"nested deeper than {DEPTH_MAX}")


def _placed(stack: Any) -> Iterator[tuple[Any, Any, str]]:
    """Markers of a timeline's tracks and what lies on them, each with its time and its track."""
    for marker in stack.markers:
        yield marker, marker.marked_range.start_time, ""
    for track in stack:
        told = track.metadata.get("linebeat", {}) if hasattr(track, "metadata") else {}
        who = str(told.get("who", "")) or str(track.name)
        for marker in track.markers:
            yield marker, marker.marked_range.start_time, who
        for item in track:
            if not hasattr(item, "markers"):
                continue  # a transition has none
            begins = track.range_of_child(item).start_time - item.trimmed_range().start_time
            for marker in item.markers:
                yield marker, marker.marked_range.start_time + begins, who
