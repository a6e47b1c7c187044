"""Where lines and shot lie in time, and which stretches of it a character speaks or listens.

Conventions: seconds of the scene (its first frame begins at 0), half-open; frames inclusive. A
shot without frames of its own runs from the first line's start to a second after the last line's
end; handles widen it. A speaker's window reaches from the preparation before the first syllable to
the recovery after the last; between the windows the character listens. A reaction that falls
between two lines has the right of way: the next line's window opens when it is over.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from audio.reading import VoiceReading
from planner.scene import Line, Scene

TAIL_S = 1.0  # the shot goes on this long after the last line (the design's rule)
PREPARE_S = 0.8  # common practice: breath, look and change of attitude fit before the first word
RECOVER_S = 0.8  # the last accent's way back and its settle
RECOVER_SHARE = 0.4  # of a short gap between two lines of one character
SHORTEST_LISTENING_S = 0.25


@dataclass(frozen=True, slots=True)
class LineTime:
    """A line on the scene's clock. Without syllables the speech is the clip.

    `sound` is the speech with what is heard around it: a sigh before, a laugh after.
    """

    line: Line
    reading: VoiceReading
    start_s: float
    end_s: float
    speech_start_s: float
    speech_end_s: float
    sound_start_s: float
    sound_end_s: float


class Timeline:
    """All lines of a scene in time, looked up by who speaks and when. Linear to build."""

    def __init__(self, times: Iterable[LineTime]) -> None:
        self.by_number = {t.line.number: t for t in times}
        self._all = sorted(self.by_number.values(), key=lambda t: t.speech_start_s)
        self._starts_s = [t.speech_start_s for t in self._all]
        self._longest_s = max((t.speech_end_s - t.speech_start_s for t in self._all), default=0.0)
        self._own: dict[str, list[LineTime]] = {}
        for time in self._all:
            self._own.setdefault(time.line.who, []).append(time)

    def own(self, who: str) -> Sequence[LineTime]:
        """A character's lines in time order."""
        return self._own.get(who, ())

    def next_own(self, who: str, after_s: float) -> LineTime | None:
        """The character's first line whose speech starts after a time."""
        own = self.own(who)
        i = bisect_right(own, after_s, key=lambda t: t.speech_start_s)
        return own[i] if i < len(own) else None

    def talking(self, who: str, at_s: float) -> LineTime | None:
        """The character's line that sounds at a time."""
        sounding = self._overlapping(at_s, at_s)
        return next((t for t in sounding if t.line.who == who and t.speech_end_s > at_s), None)

    def heard(self, stretch: Stretch) -> tuple[LineTime, ...]:
        """The lines of others that sound in a stretch, in time order."""
        return tuple(
            t for t in self._overlapping(stretch.start_s, stretch.end_s)
            if t.line.who != stretch.who and t.speech_start_s < stretch.end_s
        )  # fmt: skip

    def _overlapping(self, start_s: float, end_s: float) -> list[LineTime]:
        first = bisect_left(self._starts_s, start_s - self._longest_s)
        last = bisect_right(self._starts_s, end_s)
        return [t for t in self._all[first:last] if t.speech_end_s > start_s]


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of a character's time. `line` is the own line spoken, None while listening."""

    who: str
    start_s: float
    end_s: float
    line: int | None
    before: int | None = None
    after: int | None = None


@dataclass(frozen=True, slots=True)
class ShotTime:
    """The shot: frames without handles, and the time in which suggestions may lie."""

    frames: tuple[int, int]
    low_s: float
    high_s: float
    low_frame: int
    high_frame: int


def since(origin_s: float, scene_s: float) -> float:
    """Seconds since an origin, to the microsecond.

    Rounded, so that the same voice plans alike wherever its line stands: without it the last bit
    of a difference could tip a threshold.
    """
    return round(scene_s - origin_s, 6)


def line_time(line: Line, reading: VoiceReading, origin_s: float = 0.0) -> LineTime:
    """A line's times, in seconds since `origin_s`, from its place in the scene and its reading."""
    start_s = since(origin_s, line.at_s)
    end_s = start_s + reading.clip.duration_s
    if not reading.syllables:
        return LineTime(line, reading, start_s, end_s, start_s, end_s, start_s, end_s)
    first_s, last_s = reading.syllables[0].start_s, reading.syllables[-1].end_s
    return LineTime(
        line, reading, start_s, end_s, start_s + first_s, start_s + last_s,
        start_s + min([first_s, *(e.start_s for e in reading.events)]),
        start_s + max([last_s, *(e.end_s for e in reading.events)]),
    )  # fmt: skip


def shot_time(scene: Scene, times: Sequence[LineTime]) -> ShotTime:
    """The scene's shot: as given, else from its lines."""
    clock = scene.clock
    if scene.shot:
        first, last = scene.shot
        low_s = clock.scene_s(first)
        high_s = clock.scene_s(last + 1)
    elif times:
        low_s = min(t.start_s for t in times)
        high_s = max(t.end_s for t in times) + TAIL_S
        first, last = clock.frame_at(low_s), clock.last_frame_before(high_s)
    else:
        first = last = clock.first_frame
        low_s, high_s = 0.0, clock.scene_s(first + 1)
    handle_s = clock.rate.start_s(scene.handles)
    return ShotTime(
        (first, last), low_s - handle_s, high_s + handle_s,
        first - scene.handles, last + scene.handles,
    )  # fmt: skip


def stretches(
    who: str,
    timeline: Timeline,
    reactions: Sequence[tuple[float, float]],
    shot: ShotTime,
) -> tuple[Stretch, ...]:
    """A character's time in the shot: speaking windows and the listening between them.

    `reactions` are (start, end) in seconds of what this character answers with the body;
    the same number twice where the own line's attitude is the answer.
    """
    own = timeline.own(who)
    if not own:
        return (Stretch(who, shot.low_s, shot.high_s, None),)
    windows = _speaking(own, reactions, shot)
    found: list[Stretch] = []
    cursor, before = shot.low_s, None
    for window in windows:
        if window.start_s - cursor >= SHORTEST_LISTENING_S:
            found.append(Stretch(who, cursor, window.start_s, None, before, window.line))
            found.append(window)
        else:
            found.append(replace(window, start_s=cursor))
        cursor, before = window.end_s, window.line
    if shot.high_s - cursor >= SHORTEST_LISTENING_S:
        found.append(Stretch(who, cursor, shot.high_s, None, before, None))
    return tuple(found)


def _speaking(
    own: Sequence[LineTime], reactions: Sequence[tuple[float, float]], shot: ShotTime
) -> list[Stretch]:
    """The windows in which a character's own lines are planned; they never overlap."""
    windows: list[Stretch] = []
    ordered = sorted(reactions)
    for i, time in enumerate(own):
        before_s = own[i - 1].speech_end_s if i else shot.low_s
        start_s = _opening(before_s, time, first=i == 0)
        start_s = max(start_s, windows[-1].end_s if windows else shot.low_s, shot.low_s)
        limit_s = shot.high_s
        if i + 1 < len(own):
            limit_s = _opening(time.speech_end_s, own[i + 1], first=False)
        end_s = max(time.speech_end_s + RECOVER_S, time.sound_end_s)
        end_s = min(limit_s, end_s, shot.high_s)
        first = bisect_left(ordered, (before_s, before_s))
        for first_s, last_s in ordered[first : bisect_right(ordered, (end_s, end_s))]:
            if before_s <= first_s < time.speech_start_s:
                start_s = max(start_s, min(last_s, time.speech_start_s))
            if time.speech_end_s <= first_s < end_s:
                end_s = first_s
        windows.append(Stretch(time.line.who, start_s, max(end_s, start_s), time.line.number))
    return windows


def _opening(before_s: float, time: LineTime, *, first: bool) -> float:
    """When the window before a line opens: early enough to prepare, after the last one ended."""
    wanted_s = min(time.speech_start_s - PREPARE_S, time.sound_start_s)
    if first:
        return wanted_s
    if time.speech_start_s <= before_s:
        return time.speech_start_s
    return max(wanted_s, before_s + RECOVER_SHARE * (time.speech_start_s - before_s))
