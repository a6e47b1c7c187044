"""What is odd about a scene and its sounds, though it can be planned: remarks, never errors.

Each remark begins with its place, `file:line`, and comes once: a sound that several lines share is
remarked on once, with all of them named. Takes values, returns texts; whoever read the scene tells
them (`planner.commands._shared`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from planner.scene import Line
from planner.shot.shot import Shot
from planner.shot.timeline import LineTime

NEAR_MISS = 0.75  # difflib's likeness; "martha" and "marta" have 0.91, "cat" and "clerk" 0.25
OVERLAP_S = 0.1  # less is a run-on between two lines, or the reading's own error


def scene_remarks(shot: Shot) -> tuple[str, ...]:
    """All remarks on a scene, in the order of its file; lines without a reading are left out."""
    return (*_sounds(shot), *_overlaps(shot))


def poses_outside(shot: Shot) -> tuple[str, ...]:
    """A remark for each of the scene's own key poses that lies outside the shot."""
    scene, (first, last) = shot.scene, shot.frames_with_handles
    return tuple(
        f"{scene.where_of(f'poses/{index}')}: pose {index + 1}: frame {pose.frame} lies outside "
        f"the shot ({first}-{last})"
        for index, pose in enumerate(scene.poses)
        if not first <= pose.frame <= last
    )


def _sounds(shot: Shot) -> Iterator[str]:
    """The readings' own warnings, each with the lines it is about."""
    lines: dict[tuple[str, str], list[Line]] = {}
    for line in shot.lines:
        for warning in dict.fromkeys(shot.heard[line.number].warnings):
            lines.setdefault((line.sound, warning), []).append(line)
    for (_, warning), about in lines.items():
        where = shot.scene.where_of(f"lines/{about[0].number}")
        yield f"{where}: {_named(about)}: {warning}"


def _named(lines: Sequence[Line]) -> str:
    numbers = [str(line.number) for line in lines]
    return f"line {numbers[0]}" if len(numbers) == 1 else f"lines {', '.join(numbers)}"


def _overlaps(shot: Shot) -> Iterator[str]:
    """Two lines that one character would have to speak at once."""
    for who in shot.scene.characters:
        times = sorted((t for t in shot.times.values() if t.line.who == who), key=_starts)
        for early, late in pairwise(times):
            shared_s = min(early.speech_end_s, late.speech_end_s) - late.speech_start_s
            if shared_s > OVERLAP_S:
                start_s = late.speech_start_s
                frames = shot.clock.frames_between(start_s, start_s + shared_s)
                where = shot.scene.where_of(f"lines/{late.line.number}/at")
                yield (
                    f"{where}: {who} says lines {early.line.number} and {late.line.number} at "
                    f"once on frames {frames}"
                )


def _starts(time: LineTime) -> tuple[float, float]:
    return time.speech_start_s, time.speech_end_s
