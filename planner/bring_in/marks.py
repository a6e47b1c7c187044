"""Beats and key poses from marks as any program keeps them: a frame, a length, a name.

A name is `beat: teasing 0.7 toward visitor` or `key pose: head, chin down` (case and spaces do not
matter); every other mark is somebody else's and is left alone. Whose it is says the track it lies
on, named after a character, or the name itself (`clerk beat: teasing`); a scene with one character
needs neither. Pure.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from audio.errors import TableError
from planner.scene import PARTS, Beat, KeyPose
from planner.told.wording import nearest

_KIND = re.compile(r"(?:(?P<who>.+?)\s+)?(?P<kind>key pose|beat)\s*:\s*(?P<words>.*)",
                   re.IGNORECASE)  # fmt: skip
_BEAT = re.compile(
    r"(?P<intent>.+?)(?:\s+(?P<strength>[01](?:\.[0-9]+)?))?(?:\s+toward\s+(?P<toward>.+))?"
)


@dataclass(frozen=True, slots=True)
class ForeignMark:
    """A mark on the scene's frames (inclusive), with whom its track names, if anybody."""

    name: str
    frames: tuple[int, int]
    who: str
    comment: str
    where: str


def beats_in(marks: Sequence[ForeignMark], characters: Sequence[str]) -> tuple[Beat, ...]:
    """The beats among marks, on frames. Raises TableError for one that is not understood."""
    found = []
    for mark in marks:
        match = _KIND.fullmatch(mark.name.strip())
        if match is None or match["kind"].lower() != "beat":
            continue
        words = _BEAT.fullmatch(match["words"].strip())
        if words is None:
            raise TableError(f'"{mark.name[:60]}" names no intent', where=mark.where,
                             mend="write beat: teasing 0.7 toward visitor")  # fmt: skip
        toward = words["toward"]
        found.append(
            Beat(
                words["intent"], _who(mark, match["who"], characters), None, None, mark.frames,
                float(words["strength"]) if words["strength"] else 1.0,
                _character(toward.strip(), characters, mark) if toward else None,
                " ".join(mark.comment.split()),
            )
        )  # fmt: skip
    return tuple(found)


def poses_in(marks: Sequence[ForeignMark], characters: Sequence[str]) -> tuple[KeyPose, ...]:
    """The key poses among marks. Raises TableError for one that is not understood."""
    found: dict[tuple[int, str, str], KeyPose] = {}
    for mark in marks:
        match = _KIND.fullmatch(mark.name.strip())
        if match is None or match["kind"].lower() != "key pose":
            continue
        part, _, name = match["words"].partition(",")
        part = " ".join(part.split()).lower()
        if part not in PARTS:
            raise TableError(f'"{mark.name[:60]}" names no part of the body', where=mark.where,
                             mend=nearest(part, PARTS))  # fmt: skip
        who = _who(mark, match["who"], characters)
        pose = KeyPose(mark.frames[0], who, part, " ".join(name.split()))
        found[pose.frame, pose.who, pose.part] = pose
    return tuple(sorted(found.values(), key=lambda p: (p.frame, p.who, p.part)))


def _who(mark: ForeignMark, named: str | None, characters: Sequence[str]) -> str:
    if named:
        return _character(named.strip(), characters, mark)
    if mark.who in characters:
        return mark.who
    if len(characters) == 1:
        return characters[0]
    raise TableError(
        f'whose is "{mark.name[:60]}"?', where=mark.where,
        mend=f"put it on a track named {' or '.join(characters)}",
    )  # fmt: skip


def _character(name: str, characters: Sequence[str], mark: ForeignMark) -> str:
    if name in characters:
        return name
    raise TableError(f'no character "{name[:60]}"', where=mark.where,
                     mend=nearest(name, characters))  # fmt: skip
