"""What several commands need: scenes with their readings, JSON out, a console, frames as shown."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from audio.errors import ClipError, SceneError, TranscriptError
from audio.shown import shown_json
from planner import streams
from planner.scene import Line, Scene

if TYPE_CHECKING:
    from rich.console import Console

    from audio.reading import VoiceReading
    from planner.shot import Shot


say = streams.say  # a remark on standard error


def console(*, width: int | None = None) -> Console:
    """A console for data on standard output, loaded when it is needed: rich is slow."""
    from planner.told.shown_console import console as made

    return made(width=width)


@contextmanager
def working(text: str) -> Iterator[Callable[[str], None]]:
    """Says what is going on, on a terminal's standard error; the callable changes the words."""
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.markup import escape

    from planner.told.shown_console import SafeConsole

    with SafeConsole(stderr=True).status(escape(text)) as status:
        yield lambda words: status.update(escape(words))


def write_json(data: object, target: str) -> None:
    """JSON to a file, or alone on standard output for "-".

    Raises OutputError if the file cannot be written.
    """
    # No indent: only then does the library encode in C, four times as fast.
    plain = target == "-" and (sys.stdout.encoding or "").lower() not in ("utf-8", "utf8")
    text = shown_json(json.dumps(data, ensure_ascii=plain, allow_nan=False)) + "\n"
    if target == "-":
        sys.stdout.write(text)
        return
    from planner.files.safe_write import safe_write

    check_json(target)
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

    Raises SceneError if a sound is missing, ClipError if it cannot be read, both at the place of
    the line's sound in the scene file.
    """
    from audio.read_voice import read_file

    readings = {}
    for line in scene.lines:
        path = sound_path(scene, line)
        where = scene.where_of(f"lines/{line.number}/sound")
        if not path.exists():
            raise SceneError(
                f'line {line.number}: no sound file "{line.sound}"',
                where=where, mend=missing_mend(path, Path(scene.folder)),
            )  # fmt: skip
        tell(f"listening to line {line.number}: {line.sound}")
        try:
            readings[line.number] = read_file(
                path,
                text=line.say,
                sounds_like=line.sounds_like,
                part_s=line.clip_s,
                language=line.language,
            )
        except TranscriptError as error:
            place = scene.where_of(f"lines/{line.number}/language")
            what = f"line {line.number}: {error.what}"
            raise SceneError(what, where=place, mend=error.mend) from error
        except ClipError as error:
            what = f'line {line.number}: the sound "{line.sound}": {error.what}'
            raise ClipError(what, where=where, mend=error.mend) from error
    return readings


def missing_mend(path: Path, folder: Path) -> str:
    """How to mend a missing sound: the file of nearly that name, else where it belongs."""
    import difflib

    try:
        there = sorted(entry.name for entry in path.parent.iterdir() if entry.is_file())
    except OSError:
        there = []
    by_small = {name.casefold(): name for name in there}
    close = difflib.get_close_matches(path.name.casefold()[:80], list(by_small), n=1, cutoff=0.8)
    if close:
        found = path.with_name(by_small[close[0]])
        name = found.relative_to(folder) if found.is_relative_to(folder) else found
        return f'did you mean "{name.as_posix()}"?'
    shown = folder if folder.name else Path(os.path.realpath(folder)).name or folder
    return f'put it in the scene\'s folder ("{shown}") or correct the name'


def shot_of_scene(scene: Scene) -> Shot:
    """A scene and its sounds, with progress on a terminal; what is amiss is told once, as notes.

    Raises SceneError or ClipError as `read_lines`.
    """
    from planner.shot import shot_of
    from planner.shot.remarks import scene_remarks

    with working("reading the scene") as tell:
        shot = shot_of(scene, read_lines(scene, tell=tell))
    for remark in scene_remarks(shot):
        say(f"note: {remark}")
    return shot


def load_shot(given: str) -> Shot:
    """The shot of a scene file or its folder, with progress and notes."""
    from planner.scene_file import read_scene

    return shot_of_scene(read_scene(scene_path(given)))


def check_json(target: str) -> None:
    """Refuse early where no JSON can be written, or another file than ours would be lost.

    Raises OutputError. JSON that linebeat wrote is written anew: scripts do so every day.
    """
    from planner.files.targets import OUR_JSON, check_target

    check_target(target, ours=OUR_JSON)


Readings = dict[int, "VoiceReading"]
Json = dict[str, Any]
