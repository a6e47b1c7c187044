"""Why a character may move without a stress: what the scene and the sound give as reasons.

Conventions: frames are the scene's own, ranges inclusive. Reasons: the shot's opening and close, a
change of beat, a pause, a breath, the voice that starts or stops, a cue. A cue cannot be answered
before its word is understood (`planner.shot.cue_times`).
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.check.tolerance import REACH_MS
from planner.frames import FrameRange
from planner.scene import Line
from planner.shot import Shot

ANSWER_S = 1.0  # common practice: a later move no longer reads as the answer to the cue


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a character may move between these frames without a stress."""

    who: str
    kind: str
    frames: tuple[int, int]
    text: str


def reasons_to_move(shot: Shot) -> tuple[Reason, ...]:
    """Every reason but a stress, with the frames on which it explains a pose."""
    scene = shot.scene
    near = scene.rate.frames_of_ms(REACH_MS)
    first_frame, last_frame = shot.frames_with_handles
    found = []
    for who in scene.characters:
        found.append(Reason(who, "opening", (first_frame, first_frame + near), "opens the shot"))
        found.append(Reason(who, "closing", (last_frame - near, last_frame), "closes the shot"))
    for beat in scene.beats:
        frames = shot.beat_frames(beat)
        if frames:
            span = (frames.first - near, frames.first + near)
            found.append(Reason(beat.who, "beat", span, f"turns {beat.intent}"))
    last = scene.rate.frames(ANSWER_S)
    for cue in shot.cues:
        span = (cue.earliest, cue.earliest + last)
        found.append(Reason(cue.cue.who, "cue", span, f'answers "{cue.word}"'))
    for line in shot.lines:
        found += _voice_reasons(shot, line, near)
    return tuple(found)


def _voice_reasons(shot: Shot, line: Line, near: int) -> list[Reason]:
    reading, who = shot.heard[line.number], line.who
    found = [
        Reason(who, "pause", shot.frames_of(line, p.start_s, p.end_s), "in a pause")
        for p in reading.pauses
    ]
    for e in reading.events:
        frames = shot.frames_of(line, e.start_s, e.end_s)
        span = FrameRange(frames.first - near, frames.last)
        found.append(Reason(who, e.kind, span, f"with a {e.kind}"))
    if reading.syllables:
        first, last = shot.speech_frames(line)
        found.append(Reason(who, "start", (first - 2 * near, first), "before the voice"))
        found.append(Reason(who, "stop", (last, last + 2 * near), "after the voice"))
    return found
