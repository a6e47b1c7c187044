"""Notes of a lead: where they stand now, adding one, marking one done.

Conventions: notes count from 1 in the order of the scene file; frames are the scene's own,
inclusive. A note tied to words stands where those words are now, however the timing has changed;
if they can no longer be found it stays on the frames it was written at.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from audio.errors import UsageError
from planner.scene import Note, Scene
from planner.shot import Shot

TEXT_MAX = 2000  # characters of a note
_FRAMES = re.compile(r"([+-]?[0-9]{1,7})(?:\s*-\s*([+-]?[0-9]{1,7}))?")
_WORDS = re.compile(r"(.+?):\s*([0-9]{1,6})(?:\s*-\s*([0-9]{1,6}))?")


@dataclass(frozen=True, slots=True)
class WordsOf:
    """Words of a line, first and last, counted from 1."""

    line: int
    first: int
    last: int


def placed(shot: Shot, note: Note) -> Note:
    """The note on its present frames."""
    if note.line is None or note.words is None:
        return note
    frames = shot.word_frames(note.line, note.words)
    return replace(note, frames=frames) if frames else note


def placed_notes(shot: Shot) -> tuple[Note, ...]:
    """All notes of a scene on their present frames, in the file's order."""
    return tuple(placed(shot, note) for note in shot.scene.notes)


def read_frames(text: str) -> tuple[int, int]:
    """Frames as typed: "1011-1016" or "1011". Raises UsageError."""
    match = _FRAMES.fullmatch(text.strip())
    if not match:
        raise UsageError(f'--frames "{text[:60]}" is no range', mend="write it as 1011-1016")
    first = int(match[1])
    last = int(match[2]) if match[2] is not None else first
    if last < first:
        raise UsageError(f"--frames {text.strip()} ends before it begins",
                         mend=f"write {last}-{first}")  # fmt: skip
    return first, last


def read_words(text: str, scene: Scene) -> WordsOf:
    """Words as typed: "1:3-4" or "third:3", the line by number or id. Raises UsageError."""
    match = _WORDS.fullmatch(text.strip())
    if not match:
        raise UsageError(
            f'--words "{text[:60]}" names no words', mend="write line and words as 1:3-4"
        )
    named, first = match[1].strip(), int(match[2])
    last = int(match[3]) if match[3] else first
    lines = {str(line.number): line for line in scene.lines} | {li.id: li for li in scene.lines}
    if named not in lines:
        raise UsageError(
            f'--words: there is no line "{named[:60]}" in {scene.file}',
            mend=f"use a number from 1 to {len(scene.lines)} or a line's id",
        )
    if not 1 <= first <= last:
        raise UsageError(f"--words {text.strip()} ends before it begins", mend="write it as 1:3-4")
    return WordsOf(lines[named].number, first, last)


def with_note(
    shot: Shot,
    text: str,
    *,
    frames: tuple[int, int] | None = None,
    words: WordsOf | None = None,
    who: str | None = None,
    by: str = "",
) -> Scene:
    """The scene with one more note, at its end. Only a note on words needs readings.

    Raises UsageError if the note says nothing, or its words are not in the line.
    """
    flat = " ".join(text.split())
    if not flat or len(flat) > TEXT_MAX:
        raise UsageError("a note needs words, 2000 characters at most", mend="write what to change")
    if words is not None:
        frames = shot.word_frames(words.line, (words.first, words.last))
        if frames is None:
            count = len(shot.words.get(words.line, ()))
            raise UsageError(
                f"line {words.line} has {count} words, so no words {words.first}-{words.last}",
                mend="count its words from 1, or use --frames",
            )
        who = who or shot.scene.lines[words.line - 1].who
    if frames is None:
        raise UsageError("where is the note?", mend="add --frames 1011-1016 or --words 1:3-4")
    note = Note(
        frames, flat, who, by, False,
        words.line if words else None, (words.first, words.last) if words else None,
    )  # fmt: skip
    return replace(shot.scene, notes=(*shot.scene.notes, note))


def with_done(scene: Scene, numbers: Sequence[int], *, done: bool = True) -> Scene:
    """The scene with some notes done (or open again). Raises UsageError for an unknown number."""
    for number in numbers:
        if not 1 <= number <= len(scene.notes):
            has = f"notes 1 to {len(scene.notes)}" if scene.notes else "no notes"
            raise UsageError(
                f"there is no note {number} in {scene.file}", mend=f"the scene has {has}"
            )
    changed = {n - 1 for n in numbers}
    return replace(
        scene,
        notes=tuple(replace(n, done=done) if i in changed else n
                    for i, n in enumerate(scene.notes)),
    )  # fmt: skip
