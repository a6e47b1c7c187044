"""What a lead accepts: findings and verdicts that are meant, each with a reason.

An entry of the scene's `meant:` names kind, character, part and frames, and the words spoken there,
so that it follows them when the timing changes. A finding is meant if kind, character and part fit
and at least half of the shorter of both ranges is shared.

Conventions: frames are the scene's own, inclusive.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from audio.errors import UsageError
from planner.scene import PARTS, Meant, Scene
from planner.shot.shot import Shot

WHY_MAX = 500  # characters
WHOLE = ("whole",)  # what a finding without a part is about


class Told(Protocol):
    """What findings of poses and of paths have in common."""

    @property
    def kind(self) -> str: ...
    @property
    def who(self) -> str: ...
    @property
    def frames(self) -> tuple[int, int]: ...
    @property
    def parts(self) -> tuple[str, ...]: ...


@dataclass(frozen=True, slots=True)
class Place:
    """A kind of remark on a part at some frames, as `meant` knows it."""

    kind: str
    who: str
    parts: tuple[str, ...]
    frames: tuple[int, int]


def placed_meant(shot: Shot) -> tuple[Meant, ...]:
    """All that is meant, on the frames where its words are now."""
    return tuple(_placed(shot, meant) for meant in shot.scene.meant)


def _placed(shot: Shot, meant: Meant) -> Meant:
    if meant.line is None or meant.words is None:
        return meant
    frames = shot.word_frames(meant.line, meant.words)
    return replace(meant, frames=frames) if frames else meant


def reason_for(told: Told, meant: Sequence[Meant]) -> str:
    """Why a finding is accepted, or "" if it is not."""
    for entry in meant:
        same = entry.kind == told.kind and entry.part in (told.parts or WHOLE)
        if same and entry.who in (told.who, "") and _shares(entry.frames, told.frames):
            return entry.why
    return ""


def _shares(a: tuple[int, int], b: tuple[int, int]) -> bool:
    shared = min(a[1], b[1]) - max(a[0], b[0]) + 1
    shorter = min(a[1] - a[0], b[1] - b[0]) + 1
    return shared > 0 and 2 * shared >= shorter


def with_meant(scene: Scene, told: Told, why: str, *, shot: Shot | None = None) -> Scene:
    """The scene with one finding accepted. With `shot` it is tied to the words spoken there.

    Raises UsageError without a reason, or for a part the scene's format does not know.
    """
    flat = " ".join(why.split())
    if not flat or len(flat) > WHY_MAX:
        raise UsageError("why is it meant?", mend=f"say it in 1 to {WHY_MAX} characters")
    part = next((p for p in told.parts or WHOLE if p in PARTS), "")
    if not part:
        raise UsageError(f"{', '.join(told.parts)} is no part that a scene knows",
                         mend="say under tracks: in the scene whose part the point is")  # fmt: skip
    who = told.who or (scene.characters[0] if len(scene.characters) == 1 else "")
    if not who:
        raise UsageError("whose finding is it?", mend="name the tracks WHO_nose, or add --who")
    tied = _tied(shot, who, told.frames) if shot else None
    line, words, frames = tied or (None, None, told.frames)
    return replace(scene, meant=(*scene.meant, Meant(told.kind, who, part, frames, flat, line,
                                                     words)))  # fmt: skip


def _tied(
    shot: Shot, who: str, frames: tuple[int, int]
) -> tuple[int, tuple[int, int], tuple[int, int]] | None:
    """Line, words and their frames, of the words that are spoken over some frames."""
    for line in shot.scene.lines:
        count = len(shot.words.get(line.number, ()))
        if line.who != who or not count:
            continue
        spans = {k: shot.word_frames(line.number, (k, k)) for k in range(1, count + 1)}
        inside = [k for k, span in spans.items()
                  if span and span[0] <= frames[1] and span[1] >= frames[0]]  # fmt: skip
        if inside:
            words = (inside[0], inside[-1])
            tied = shot.word_frames(line.number, words)
            if tied and _shares(tied, frames):
                return line.number, words, tied
    return None
