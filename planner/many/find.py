"""What is to be done below a folder: scenes, and clips that no scene uses.

A scene is a file scene.yaml, or any other .yaml or .yml with a `linebeat:` key. A clip is a sound
file; a .txt of the same name beside it holds the words said. Names are relative to the folder,
with slashes, sorted, so that every machine lists them alike.

Left out: hidden files and folders, links to folders (so no loop can be walked), links that lead
out of the folder, what is no ordinary file. The linked ones are counted, never followed.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from audio.errors import LinebeatError
from audio.regular_file import open_regular
from planner.scene import Scene

SOUND_ENDINGS = frozenset(
    ".wav .wave .bwf .rf64 .w64 .aif .aiff .aifc .caf .au .snd .flac .ogg .oga .opus .mp3 .m4a .aac"
    .split()
)  # fmt: skip
SCENE_ENDINGS = frozenset({".yaml", ".yml"})
HEAD_BYTES = 65_536  # of a YAML file, in which its `linebeat:` key is looked for
_SCENE_KEY = re.compile(rb"(?m)^[\s{\xef\xbb\xbf]*[\"']?linebeat[\"']?[ \t]*:")

Facts = tuple[int, int, int]  # size in bytes, time of change and of state change in ns


@dataclass(frozen=True, slots=True)
class Item:
    """A scene or a clip. `facts` are those of every file it depends on, None for one not there.

    `scene` is None for a clip, and for a scene that is done already or has a `problem`.
    """

    name: str
    facts: Mapping[str, Facts | None]
    scene: Scene | None = None
    problem: str = ""

    @property
    def is_scene(self) -> bool:
        """A scene rather than a clip."""
        return PurePosixPath(self.name).suffix.lower() in SCENE_ENDINGS

    @property
    def text_name(self) -> str | None:
        """The transcript beside a clip, if there is one."""
        return next((n for n, f in self.facts.items() if n != self.name and f), None)


@dataclass(slots=True)
class Listed:
    """The files of a folder by kind, and what could not be looked at."""

    scenes: list[str] = field(default_factory=list)
    clips: list[str] = field(default_factory=list)
    problems: list[tuple[str, str]] = field(default_factory=list)
    links: int = 0


def list_files(root: Path) -> Listed:
    """Every file below a folder that may be a scene or a clip, sorted."""
    listed = Listed()
    real_root = os.path.realpath(root)

    def unreadable(error: OSError) -> None:
        name = _relative(str(error.filename), str(root))
        listed.problems.append((name, f"cannot be looked into: {error.strerror}"))

    for folder, folders, files in os.walk(root, onerror=unreadable):
        links = [n for n in folders if os.path.islink(os.path.join(folder, n))]  # noqa: PTH114, PTH118
        listed.links += sum(not n.startswith(".") for n in links)
        folders[:] = sorted(n for n in folders if not n.startswith("."))
        for file in sorted(files):
            if file.endswith(".txt") and _leads_out(Path(folder, file), real_root):
                listed.links += 1  # a transcript of elsewhere: not read
            kind = PurePosixPath(file).suffix.lower()
            if not file.startswith(".") and (kind in SOUND_ENDINGS or kind in SCENE_ENDINGS):
                _sort_in(listed, Path(folder, file), str(root), real_root)
    listed.scenes.sort()
    listed.clips.sort()
    listed.problems.sort()
    return listed


def _sort_in(listed: Listed, path: Path, root: str, real_root: str) -> None:
    """A file into the list it belongs to, if it belongs to any."""
    name = _relative(str(path), root)
    try:
        if _leads_out(path, real_root):
            listed.links += 1
            return
        if not stat.S_ISREG(path.stat().st_mode):
            return
        if path.suffix.lower() in SOUND_ENDINGS:
            listed.clips.append(name)
        elif path.name == "scene.yaml" or _SCENE_KEY.search(_head(path)):
            listed.scenes.append(name)
    except OSError as error:  # a link to nothing, a file that went away, no right to read
        listed.problems.append((name, f"cannot be read: {error.strerror}"))


def _leads_out(path: Path, real_root: str) -> bool:
    """Whether a name is a link to something outside the folder."""
    return path.is_symlink() and not Path(os.path.realpath(path)).is_relative_to(real_root)


def _head(path: Path) -> bytes:
    with open_regular(path) as file:
        return file.read(HEAD_BYTES)


def _relative(path: str, root: str) -> str:
    return os.path.relpath(path, root).replace(os.sep, "/")


def file_facts(root: Path, name: str) -> Facts | None:
    """What tells a changed file from an unchanged one; None if it is not there."""
    try:
        found = (root / name).stat()
    except OSError:
        return None
    return found.st_size, found.st_mtime_ns, found.st_ctime_ns


def clip_item(root: Path, name: str) -> Item:
    """A clip with the transcript beside it."""
    text_name = str(PurePosixPath(name).with_suffix(".txt"))
    if _leads_out(root / text_name, os.path.realpath(root)):
        return Item(name, {name: file_facts(root, name)})
    return Item(name, {name: file_facts(root, name), text_name: file_facts(root, text_name)})


def scene_item(root: Path, name: str) -> Item:
    """A scene, read; a mistake in it is kept as the item's problem."""
    from planner.scene_file import read_scene

    facts = {name: file_facts(root, name)}
    try:
        scene = read_scene(root / name)
    except LinebeatError as error:
        return Item(name, facts, problem=without_root(error, root))
    for sound in scene_sounds(name, scene):
        facts[sound] = file_facts(root, sound)
    return Item(name, facts, scene)


def scene_sounds(name: str, scene: Scene) -> Sequence[str]:
    """The sounds of a scene, as names below the folder, each once."""
    folder = PurePosixPath(name).parent
    return tuple(dict.fromkeys(_tidy(folder / line.sound) for line in scene.lines))


def _tidy(path: PurePosixPath) -> str:
    return os.path.normpath(path).replace(os.sep, "/")


def without_root(error: LinebeatError, root: Path) -> str:
    """An error as one line, its place told from the folder on, alike on every machine."""
    return error.line().replace(str(root) + os.sep, "")


def loose_clips(root: Path, listed: Listed, used: set[str]) -> Iterator[Item]:
    """The clips that no scene uses; `used` has the real paths of those that one does."""
    for name in listed.clips:
        if os.path.realpath(root / name) not in used:
            yield clip_item(root, name)
