"""The frames of a beat: as given, or those of its words."""

from __future__ import annotations

from planner.scene import Beat
from planner.shot.laid import Laid


def beat_frames(laid: Laid, beat: Beat) -> tuple[int, int] | None:
    """First and last frame of a beat; None if its words are not on the sound."""
    if beat.frames is not None:
        return beat.frames
    line = laid.line(beat.line) if beat.line is not None else None
    if line is None or not line.words or beat.words is None:
        return None if line is None else line.frames
    first, last = beat.words
    if first > len(line.words):
        return None
    last = min(last, len(line.words))
    begin, end = line.words[first - 1].frames[0], line.words[last - 1].frames[1]
    if last < len(line.words):  # where two words share a frame, it is the later one's
        end = max(begin, min(end, line.words[last].frames[0] - 1))
    return begin, end
