"""What the user made: a scene as plain frozen data. Reading and writing: `planner.scene_file`.

Conventions: lines, words and phrases count from 1 here, as in the file; beats are named in
messages from 1 and in JSON from 0. Frames are the scene's own numbers, ranges inclusive.
`line_no` fields in `places` give the file line for messages.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from planner.frames import Clock, FrameRate

Side = Literal["left", "right", "center"]
DecisionDo = Literal["keep", "move", "length", "drop", "lock", "add"]

PARTS = (
    "eyes", "lids", "brows", "jaw", "head", "shoulders", "chest", "hips",
    "left arm", "right arm", "left hand", "right hand", "left fingers", "right fingers", "whole",
)  # fmt: skip


def _empty() -> Mapping[str, object]:
    return MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Heard:
    """The user's ear, which overrules ours. Words count from 1; `words_s` is clip time."""

    stress: tuple[int, ...] = ()
    unstress: tuple[int, ...] = ()
    words_s: Mapping[int, tuple[float, float]] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True)
class Line:
    """A recorded line. `at_s` is where its clip begins, in seconds from the first frame's start.

    `at_text` is as written ("1001", "0.5s"). `clip_s` is the part of the sound used, or None.
    `language` is the line's own or the scene's: "en", or one that the extra `languages` speaks.
    """

    number: int
    id: str
    who: str
    sound: str
    at_s: float
    at_text: str = ""
    clip_s: tuple[float, float] | None = None
    say: str | None = None
    sounds_like: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    heard: Heard = field(default_factory=Heard)
    step: int | None = None
    language: str = "en"


@dataclass(frozen=True, slots=True)
class Beat:
    """What a character wants over some words (with `line`) or frames, or over the whole `line`.

    `words` first and last, counted from 1; `frames` inclusive. `who` is always filled in. `said` is
    the first and last word as they read when tagged: a guard (`planner.scene.refound`).
    `play` names another way to play it (`planner.plan.plays`).
    """

    intent: str
    who: str
    line: int | None = None
    words: tuple[int, int] | None = None
    frames: tuple[int, int] | None = None
    strength: float = 1.0
    toward: str | None = None
    note: str = ""
    said: tuple[str, ...] = ()
    play: str = ""


@dataclass(frozen=True, slots=True)
class Cue:
    """What a listener reacts to: a word of a line (both counted from 1)."""

    who: str
    line: int
    word: int
    intent: str
    strength: float = 1.0
    said: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Planted:
    """A part in contact with something: it must not slide over these frames (inclusive)."""

    who: str
    part: str
    frames: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Decision:
    """What the user decided about a suggestion; relative, so that it moves with its line.

    `of` is the suggestion's id, `word` the text it hung on (for placing it after changes).
    `by` is in frames (move), `frames` a length (length).
    """

    of: str
    do: DecisionDo
    word: str | None = None
    by: int | None = None
    frames: int | None = None
    step: int | None = None
    extra: Mapping[str, object] = field(default_factory=_empty)


@dataclass(frozen=True, slots=True)
class KeyPose:
    """A key pose as made. `extra` keeps the columns of a poses file we do not know."""

    frame: int
    who: str
    part: str
    name: str = ""
    extra: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True)
class TrackOf:
    """To whom and which part a motion track belongs."""

    who: str
    part: str


@dataclass(frozen=True, slots=True)
class Passes:
    """Polish: the names of the passes, and which are done, by phrase (counted from 1)."""

    names: tuple[str, ...] = ("body", "arcs", "offsets", "hands", "eyes", "mouth")
    done: Mapping[int, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True)
class Note:
    """A remark at some frames, by someone. `line` and `words` tie it to words, if given."""

    frames: tuple[int, int]
    text: str
    who: str | None = None
    by: str = ""
    done: bool = False
    line: int | None = None
    words: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class Meant:
    """A finding or a verdict that was accepted, and why.

    `kind` is the finding's ("straight-path"), or "early" or "late" for a key pose. `line` and
    `words` tie it to words, so that it follows them.
    """

    kind: str
    who: str
    part: str
    frames: tuple[int, int]
    why: str
    line: int | None = None
    words: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class Scene:
    """All that a scene file says. `folder` is where its sounds are looked up."""

    title: str
    clock: Clock
    characters: tuple[str, ...]
    lines: tuple[Line, ...]
    shot: tuple[int, int] | None = None
    handles: int = 0
    stage: Mapping[str, Side] = field(default_factory=lambda: MappingProxyType({}))
    beats: tuple[Beat, ...] = ()
    cues: tuple[Cue, ...] = ()
    intents: Mapping[str, Mapping[str, object]] = field(
        default_factory=lambda: MappingProxyType({})
    )
    planted: tuple[Planted, ...] = ()
    decisions: tuple[Decision, ...] = ()
    poses: tuple[KeyPose, ...] = ()
    tracks: Mapping[str, TrackOf] = field(default_factory=lambda: MappingProxyType({}))
    tolerance: Mapping[str, tuple[int, int]] = field(default_factory=lambda: MappingProxyType({}))
    passes: Passes = field(default_factory=Passes)
    notes: tuple[Note, ...] = ()
    meant: tuple[Meant, ...] = ()
    language: str = "en"
    moved: tuple[str, ...] = field(default=(), compare=False)  # by a changed text, in words
    folder: str = "."
    file: str = "scene.yaml"
    places: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))

    @property
    def rate(self) -> FrameRate:
        """The scene's frame rate."""
        return self.clock.rate

    def where(self, key: str) -> str:
        """`file:line` of a part of the scene ("lines/1", "beats/0"), for messages."""
        line_no = self.places.get(key)
        return f"{self.file}:{line_no}" if line_no else self.file

    def where_of(self, key: str) -> str:
        """As `where`, of the nearest entry around it that has a place ("lines/1" for its say)."""
        while key not in self.places and "/" in key:
            key = key.rpartition("/")[0]
        return self.where(key)
