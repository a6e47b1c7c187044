"""The scene on disk: saving it, noticing that somebody else changed it, and unsaved work kept.

Unsaved work lies beside the scene as `NAME.unsaved`: the text that saving would write, under a
first line that says of which version of the file it is a change. It goes when the scene is saved
or the work is given up. Nothing here knows a screen.
"""

from __future__ import annotations

import contextlib
import hashlib
from dataclasses import dataclass
from pathlib import Path

from audio.errors import LinebeatError
from planner.safe_write import safe_write
from planner.scene import Scene
from planner.scene_file import decode, parse_scene, read_bytes, save_scene
from planner.scene_text.splice import spliced

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

    @property
    def unsaved_path(self) -> Path:
        """Where unsaved work is kept."""
        return self.path.with_name(self.path.name + ENDING)

    def save(self, scene: Scene, *, over: bool = False) -> None:
        """Save; `over` writes over a file that somebody changed (it stays as NAME~).

        Raises LinebeatError; the file is then as it was.
        """
        self.text = save_scene(self.path, self.text, scene, force=over)
        self.noticed = ""
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

    def keep(self, scene: Scene) -> None:
        """Keep unsaved work. Raises LinebeatError if it cannot be written."""
        body = spliced(self.text, scene, file=str(self.path))
        safe_write(self.unsaved_path, f"{FIRST_LINE}{_digest(self.text)}\n{body}")

    def unsaved(self) -> Unsaved | None:
        """Work kept by an earlier desk that differs from the file; None if there is none."""
        path = self.unsaved_path
        if not path.exists():
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
        path = self.unsaved_path
        with contextlib.suppress(OSError):
            path.replace(path.with_name(path.name + "~"))

    def give_up(self) -> None:
        """Remove unsaved work."""
        with contextlib.suppress(OSError):
            self.unsaved_path.unlink(missing_ok=True)


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:16]
