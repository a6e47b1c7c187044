"""The frames of a beat on the desk, from the words as they are laid."""

from __future__ import annotations

from planner.scene import Beat
from planner.shot.laid import Laid


def beat_frames(laid: Laid, beat: Beat) -> tuple[int, int] | None:
    """First and last frame of a beat; None if its words are not on the sound."""
    if beat.frames is not None:
        return beat.frames
    line = laid.line(beat.line) if beat.line is not None else None
    if line is None or not line.words:
        return None if line is None else line.frames
    first, last = beat.words or (1, len(line.words))
    if first > len(line.words):
        return None
    last = min(last, len(line.words))
    return line.words[first - 1].frames.first, line.words[last - 1].frames.last
