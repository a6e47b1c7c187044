"""What every fuzzer feeds: one function an input, bytes in, nothing or a LinebeatError out.

Each reads as a command would, and on what can be read runs what follows it (a scene is saved, a
track is reviewed). Anything but a LinebeatError is a finding.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from audio.errors import LinebeatError
from audio.shown import shown_line

FOLDER = Path(tempfile.mkdtemp(prefix="linebeat-fuzz-"))
SCENE_HEAD = "linebeat: 1\nrate: 24\ncharacters: [clerk]\n"


def _file(name: str, data: bytes) -> Path:
    path = FOLDER / name
    path.write_bytes(data)
    return path


def scene(data: bytes) -> None:
    """A scene file: read, and saved again with a change."""
    from planner.scene.text.splice import spliced
    from planner.scene_file import read_scene_and_text

    read, text = read_scene_and_text(_file("scene.yaml", data))
    spliced(text, replace(read, title="Another: title", notes=read.notes[1:]), file="scene.yaml")


def poses(data: bytes) -> None:
    """A table of key poses."""
    from planner.check.pose_file import read_poses

    table = read_poses(_file("poses.csv", data), ("clerk", "visitor"))
    table.outside((1, 100))


def _review(path: Path) -> None:
    from planner.frames import Clock, FrameRate
    from planner.paths.review import review_paths
    from planner.paths.track_file import read_tracks

    tracks = read_tracks(path, rate=24.0, first_frame=1001)
    if tracks.count <= 400 and len(tracks.names) <= 8:
        review_paths(tracks, clock=Clock(FrameRate.parse("24"), 1001)).to_json()


def tracks(data: bytes) -> None:
    """A table of motion tracks, reviewed."""
    _review(_file("tracks.csv", data))


def bvh(data: bytes) -> None:
    """A skeleton with its motion, reviewed."""
    _review(_file("motion.bvh", data))


def transcript(data: bytes) -> None:
    """The words said, as a file and as a text; pronounced."""
    from audio.words.pronounce import pronounce_text
    from planner.commands.read import read_text

    text = read_text(str(_file("line.txt", data)))
    said = pronounce_text(text)
    for word in said.words:
        if sum(len(s.phones) for s in word.syllables) != len(word.phones):
            raise AssertionError(f"phones of {word.text!r} are not those of its syllables")


def sound(data: bytes) -> None:
    """A sound file, as far as a clip; what is read is sound."""
    from audio.clip import load_clip

    clip = load_clip(_file("line.wav", data))
    if not abs(clip.samples).max() <= 1.0:
        raise AssertionError("a sample beyond full scale")


TARGETS: dict[str, Callable[[bytes], None]] = {
    "scene": scene, "poses": poses, "tracks": tracks, "bvh": bvh, "transcript": transcript,
    "sound": sound,
}  # fmt: skip


def fed(name: str, data: bytes) -> LinebeatError | None:
    """Feed a target. Returns the refusal, if it was refused; all else goes through."""
    try:
        TARGETS[name](data)
    except LinebeatError as error:
        line = error.line()
        assert line == shown_line(line), line
        assert len(line) < 3000, line
        return error
    return None
