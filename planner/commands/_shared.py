"""What several commands need: scenes with their readings, JSON out, a console, frames as shown."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from audio.errors import OutputError, SceneError
from planner.scene import Line, Scene

if TYPE_CHECKING:
    from rich.console import Console

    from audio.reading import VoiceReading


def console(*, width: int | None = None) -> Console:
    """A console for data on standard output; wide enough for a table when output is a file."""
    from planner.shown_console import SafeConsole

    if width is None and not sys.stdout.isatty():
        width = 120
    return SafeConsole(width=width, highlight=False, markup=False, emoji=False, soft_wrap=False)


def say(text: str) -> None:
    """A remark to the user, on standard error, never among the data."""
    sys.stderr.write("".join(c if c.isprintable() or c == "\n" else " " for c in text) + "\n")


@contextmanager
def working(text: str) -> Iterator[Callable[[str], None]]:
    """Says what is going on, on a terminal's standard error; the callable changes the words."""
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.markup import escape

    from planner.shown_console import SafeConsole

    with SafeConsole(stderr=True).status(escape(text)) as status:
        yield lambda words: status.update(escape(words))


def write_json(data: object, target: str) -> None:
    """JSON to a file, or alone on standard output for "-".

    Raises OutputError if the file cannot be written.
    """
    from planner.shown import shown_json

    # No indent: only then does the library encode in C, four times as fast.
    text = shown_json(json.dumps(data, ensure_ascii=False, allow_nan=False)) + "\n"
    if target == "-":
        sys.stdout.write(text)
        return
    from planner.safe_write import safe_write

    safe_write(Path(target), text)
    say(f"wrote {target}")


def scene_path(given: str) -> Path:
    """The scene file that was meant: the file itself, or scene.yaml in a folder."""
    path = Path(given)
    return path / "scene.yaml" if path.is_dir() else path


def sound_path(scene: Scene, line: Line) -> Path:
    """Where a line's sound lies."""
    return Path(scene.folder) / line.sound


def read_lines(scene: Scene, *, tell: Callable[[str], None] = lambda _: None) -> Readings:
    """The reading of every line, by its number (from 1); stored ones cost next to nothing.

    Raises SceneError at the line's place if its sound is missing, and ClipError otherwise.
    """
    from audio.read_voice import read_file

    readings = {}
    for line in scene.lines:
        path = sound_path(scene, line)
        if not path.exists():
            raise SceneError(
                f'line {line.number}: no sound file "{line.sound}"',
                where=scene.where(f"lines/{line.number}"),
                mend=f"put it in {scene.folder} or correct the name",
            )
        tell(f"listening to line {line.number}: {line.sound}")
        readings[line.number] = read_file(
            path, text=line.say, sounds_like=line.sounds_like, part_s=line.clip_s
        )
    return readings


def load_scene_and_readings(given: str) -> tuple[Scene, Readings]:
    """A scene file and the readings of its lines, with progress on a terminal."""
    from planner.scene_file import read_scene

    scene = read_scene(scene_path(given))
    with working("reading the scene") as tell:
        return scene, read_lines(scene, tell=tell)


def check_writable(target: str) -> None:
    """Refuse early what could not be written at the end.

    Raises OutputError if the folder does not exist.
    """
    parent = Path(target).parent
    if target != "-" and not parent.is_dir():
        raise OutputError(f'no folder "{parent}"', where=target, mend="make it first")


Readings = dict[int, "VoiceReading"]
Json = dict[str, Any]
