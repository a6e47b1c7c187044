"""Scene files: read with file:line for every mistake, saved without touching what did not change.

    scene, text = read_scene_and_text("scene.yaml")
    text = save_scene("scene.yaml", text, replace(scene, notes=(...)))

Version 1 of the format; UTF-8 (a byte order mark and CRLF line ends are kept). Saving replaces the
file whole or not at all and keeps the version before beside it as NAME~. A file that somebody else
changed since it was read is not overwritten, and two savers wait for each other.

Parts: `scene_yaml` (nodes with places), `scene_value` and `scene_read` (typing), `scene_checks`,
`scene_parse` (text to Scene), `scene_plain` and `yaml_text` (the way back), `scene_splice`.
"""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Callable, Collection, Iterator
from pathlib import Path

from audio.errors import SceneError
from audio.regular_file import open_regular
from planner.files.file_kind import HEAD_BYTES, kind_of
from planner.files.safe_write import safe_write
from planner.scene import Scene
from planner.scene.text.checks import check_scene
from planner.scene.text.parse import parse_scene
from planner.scene.text.plain import scene_to_text
from planner.scene.text.splice import spliced

__all__ = [
    "ChangedError",
    "change_scene",
    "check_scene",
    "parse_scene",
    "read_scene",
    "read_scene_and_text",
    "save_scene",
    "scene_to_text",
]

SIZE_MAX = 1_000_000  # bytes; a scene of a thousand lines has 300,000, and reads in a second
CHANGE_TRIES = 200  # each means that somebody else was quicker
HEARD = ("a sound", "a video")  # what a scene can be started from
LOCK_WAIT_S = 30.0  # a save takes milliseconds, hundreds of savers seconds; more is one that hangs


class ChangedError(SceneError):
    """A scene file that somebody else changed since it was read: read again, and try again."""


def read_scene(path: str | Path, *, allow_outside: bool = False) -> Scene:
    """The scene a file describes.

    Raises SceneError, its `where` naming file and line, for the first mistake found.
    """
    return read_scene_and_text(path, allow_outside=allow_outside)[0]


def read_scene_and_text(path: str | Path, *, allow_outside: bool = False) -> tuple[Scene, str]:
    """The scene and the file's text, which `save_scene` wants back."""
    text = decode(read_bytes(path), file=str(path))
    return parse_scene(text, file=str(path), allow_outside=allow_outside), text


def read_bytes(path: str | Path) -> bytes:
    """The bytes of a scene file. Raises SceneError if it is missing, no file, or too large."""
    file = Path(path)
    where = str(path)
    try:
        if file.is_dir():
            raise SceneError("is a folder", where=where, mend="name the scene file in it")
        if file.exists() and not file.is_file():
            raise SceneError("is no ordinary file", where=where, mend="name a scene file")
        with open_regular(file) as stream:
            data = stream.read(SIZE_MAX + 1)
    except FileNotFoundError:
        raise SceneError(
            "no such scene file",
            where=where,
            mend="check the name, or make one with linebeat start",
        ) from None
    except (OSError, ValueError) as problem:
        said = getattr(problem, "strerror", None) or str(problem)
        raise SceneError(f"cannot be read: {said}", where=where) from None
    kind = kind_of(data[:HEAD_BYTES])
    if kind:
        mend = "make a scene of it with linebeat start" if kind in HEARD else "check the name"
        raise SceneError(f"is {kind}, no scene file", where=where, mend=mend)
    if len(data) > SIZE_MAX:
        raise SceneError(
            f"larger than {SIZE_MAX // 1_000_000} MB, so no scene file",
            where=where,
            mend="split it into scenes, or check the name",
        )
    return data


def decode(data: bytes, *, file: str) -> str:
    """The text of a scene file, a byte order mark kept. Raises SceneError if it is not UTF-8."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\0" in data[:4]:
        raise SceneError(
            "the file is UTF-16 or UTF-32 text", where=f"{file}:1", mend="save it as UTF-8"
        )
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        line_no = 1 + data.count(b"\n", 0, error.start)
        raise SceneError(
            "the file is not UTF-8 text", where=f"{file}:{line_no}", mend="save it as UTF-8"
        ) from None


def save_scene(
    path: str | Path,
    old_text: str,
    scene: Scene,
    *,
    sections: Collection[str] | None = None,
    force: bool = False,
) -> str:
    """Save a scene into its file and return the file's new text, for the next save.

    old_text : the text the scene was read from. sections : save only these ("notes", ...), all
    that differ by default. force : overwrite a file that was changed meanwhile (it stays as NAME~).
    Raises SceneError if the file changed or the scene contradicts itself, OutputError if it
    cannot be written; the file is then as it was.
    """
    with _alone(Path(path)):
        on_disk = _text_on_disk(path, force=force)
        same = on_disk is not None and _lines(on_disk) == _lines(old_text)
        if not same and not force:
            raise ChangedError(
                "changed on disk since it was read",
                where=str(path),
                mend="read it again before saving, so that nothing is lost",
            )
        base = on_disk if on_disk is not None and same else old_text
        text = spliced(base, scene, file=str(path), sections=sections)
        if text != on_disk:
            safe_write(path, text, keep_last=True)
    return text


def change_scene(
    path: str | Path, change: Callable[[Scene], Scene], *, sections: Collection[str] | None = None
) -> Scene:
    """Read a scene, change it, save it; anew where somebody else saved in between.

    Returns the scene as saved. Raises what `read_scene`, `change` and `save_scene` raise.
    """
    for _ in range(CHANGE_TRIES):
        scene, text = read_scene_and_text(path)
        changed = change(scene)
        with contextlib.suppress(ChangedError):
            save_scene(path, text, changed, sections=sections)
            return changed
    raise ChangedError("others keep saving into it", where=str(path), mend="try again")


def _text_on_disk(path: str | Path, *, force: bool) -> str | None:
    """The file's text; with `force` None for a file that is gone or unreadable."""
    try:
        return decode(read_bytes(path), file=str(path))
    except SceneError:
        if not force:
            raise
        return None


def _lines(text: str) -> str:
    """The text whatever its line ends and byte order mark."""
    return text.removeprefix("\ufeff").replace("\r\n", "\n")


@contextlib.contextmanager
def _alone(path: Path) -> Iterator[None]:
    """Keep other savers out of the folder while this one compares and writes.

    Where the system or the disk knows no such locks, saving goes on without.
    """
    try:
        import fcntl
    except ImportError:
        yield
        return
    with contextlib.ExitStack() as stack:
        with contextlib.suppress(OSError):
            handle = os.open(Path(os.path.realpath(path)).parent, os.O_RDONLY)
            stack.callback(os.close, handle)
            _wait_for(lambda: fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB), path)
        yield


def _wait_for(lock: Callable[[], None], path: Path) -> None:
    """Take a lock, waiting a little. Raises SceneError if another saver holds on to it."""
    until = time.monotonic() + LOCK_WAIT_S
    while True:
        try:
            lock()
        except BlockingIOError:
            if time.monotonic() > until:
                raise SceneError(
                    "another linebeat is saving in this folder",
                    where=str(path),
                    mend="try again when it is done",
                ) from None
            time.sleep(0.01)
        else:
            return
