"""The scene on disk: saving it, noticing that somebody else changed it, and unsaved work kept.

Unsaved work lies beside the scene as `NAME.unsaved`: the text that saving would write, under a
first line that says of which version of the file it is a change. It goes when the scene is saved
or the work is given up. Where nothing can be written beside the scene it lies in the user's own
folder instead. A file or a folder that is gone is made anew, from the text known last. Nothing here
knows a screen.
"""

from __future__ import annotations

import contextlib
import hashlib
from dataclasses import dataclass, field
from pathlib import Path

from audio.errors import LinebeatError, OutputError
from audio.folders import state_folder
from planner.files.safe_write import safe_write
from planner.scene import Scene
from planner.scene.text.splice import spliced
from planner.scene_file import decode, parse_scene, read_bytes, save_scene

ENDING = ".unsaved"
FIRST_LINE = "# unsaved work of linebeat on version "


@dataclass(frozen=True, slots=True)
class Unsaved:
    """Work that was not saved. `fits`: the file is still the one that was being changed."""

    scene: Scene
    fits: bool
    time_s: float  # when it was kept, in seconds of the epoch


@dataclass(slots=True)
class Keeper:
    """One scene file. `text` is the file as it was read or saved last."""

    path: Path
    text: str
    noticed: str = ""  # the newest text on disk that differed from `text`
    spare_path: Path = field(init=False)  # where unsaved work is kept if not beside the scene
    _is_folder_new: bool = False  # made anew since the file was there last

    def __post_init__(self) -> None:
        self.spare_path = _spare(self.path)

    @property
    def unsaved_path(self) -> Path:
        """Where unsaved work is kept."""
        return self.path.with_name(self.path.name + ENDING)

    def is_gone(self) -> bool:
        """True if there is no file any more: deleted, or its folder renamed."""
        try:
            self.path.stat()
        except (FileNotFoundError, NotADirectoryError):
            return True
        except OSError:
            return False
        return False

    def is_folder_gone(self) -> bool:
        """True if the folder of the file is gone as well, or was made anew to keep work in."""
        return self._is_folder_new or not self.path.parent.exists()

    def save(self, scene: Scene, *, over: bool = False) -> None:
        """Save; `over` writes over a file that somebody changed (it stays as NAME~).

        A file that is gone is written anew, its folder too.
        Raises LinebeatError; the file is then as it was.
        """
        self._make_folder()
        self.text = save_scene(self.path, self.text, scene, force=over or self.is_gone())
        self.noticed, self._is_folder_new = "", False
        self.give_up()

    def changed_on_disk(self) -> bool:
        """True if the file is no longer what was read or saved last, and is not gone."""
        try:
            text = decode(read_bytes(self.path), file=str(self.path))
        except LinebeatError:
            return False
        self.noticed = text if text != self.text else ""
        return text != self.text

    def read_again(self) -> Scene:
        """The scene as it stands in the file now.

        Raises LinebeatError if it cannot be read.
        """
        text = decode(read_bytes(self.path), file=str(self.path))
        scene = parse_scene(text, file=str(self.path), allow_outside=True)
        self.text, self.noticed = text, ""
        return scene

    def keep(self, scene: Scene) -> Path:
        """Keep unsaved work: beside the scene, else in the spare place. Returns where it lies.

        Raises LinebeatError if it can be written in neither.
        """
        body = spliced(self.text, scene, file=str(self.path))
        text = f"{FIRST_LINE}{_digest(self.text)}\n{body}"
        try:
            self._make_folder()
            safe_write(self.unsaved_path, text, unasked=True)
        except OutputError:
            if not self._kept_in_spare(text):
                raise
            return self.spare_path
        return self.unsaved_path

    def _kept_in_spare(self, text: str) -> bool:
        try:
            self.spare_path.parent.mkdir(parents=True, exist_ok=True)
            safe_write(self.spare_path, text, unasked=True)
        except (OSError, OutputError):
            return False
        return True

    def _make_folder(self) -> None:
        """The folder of the scene anew, if it is gone; its own parent must be there."""
        folder = self.path.parent
        if folder.is_dir():
            return
        try:
            folder.mkdir()
            self._is_folder_new = True
        except OSError as problem:
            what = f"the folder is gone and cannot be made: {problem.strerror}"
            raise OutputError(what, where=str(folder), mend="put it back where it was") from None

    def unsaved(self) -> Unsaved | None:
        """Work kept by an earlier desk that differs from the file; None if there is none."""
        path = self._kept_path()
        if path.is_symlink() or not path.is_file():  # a link is nothing a desk left here
            return None
        try:
            first, _, body = decode(read_bytes(path), file=str(path)).partition("\n")
            scene = parse_scene(body, file=str(self.path), allow_outside=True)
            kept_s = path.stat().st_mtime
        except (LinebeatError, OSError):
            return None
        if body == self.text:
            return None
        return Unsaved(scene, first == f"{FIRST_LINE}{_digest(self.text)}", kept_s)

    def set_aside(self) -> None:
        """Put unsaved work aside as NAME.unsaved~, so that it is not offered again."""
        path = self._kept_path()
        with contextlib.suppress(OSError):
            path.replace(path.with_name(path.name + "~"))

    def give_up(self) -> None:
        """Remove unsaved work."""
        for path in (self.unsaved_path, self.spare_path):
            with contextlib.suppress(OSError):
                path.unlink(missing_ok=True)

    def _kept_path(self) -> Path:
        """Where unsaved work lies: beside the scene, or if there is none, in the spare place."""
        beside = self.unsaved_path
        return self.spare_path if self.spare_path.exists() and not beside.exists() else beside


def _spare(path: Path) -> Path:
    """A place in the user's own folder for unsaved work on a scene, told apart by its full path."""
    base = state_folder()
    try:
        full = path.absolute()
    except OSError:  # no working folder
        base = None
    if base is None:
        return path.with_name(path.name + ENDING)
    return base / f"{full.parent.name}-{path.name}-{_digest(str(full))[:8]}{ENDING}"


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:16]
