"""The shot as an OpenTimelineIO timeline (the library is an extra), and as a CMX 3600 list.

A track a character, a clip a line, gaps between; beats, stresses, the plan, key poses and notes
are markers on the clip or gap on which they stand. Times are whole frames at the scene's own rate,
so they are exact; the scene's first frame is the timeline's zero (timecode 00:00:00:00). A line
that begins inside a frame is laid on that frame, its own seconds kept in the clip's metadata.
Where two lines of one character overlap, the later one has a track of its own.
The CMX 3600 list has no room for several tracks: it is one event, the shot, with the marks as
locators; it needs the library's own adapter.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from audio.errors import OutputError
from planner.export.facts import ShotFacts
from planner.export.marks import Mark, marks_of
from planner.export.plain import one_line
from planner.shot import Shot
from planner.shot.laid import LaidLine

# Colours the library knows; the kind is in the marker's name too.
COLOURS = {"beat": "GREEN", "stress": "RED", "plan": "BLUE", "key pose": "ORANGE", "note": "PINK"}
ABUTTING_S = 1e-3  # a millisecond shared by two clips is rounding, no overlap
EDL_KINDS = ("beat", "stress", "note")  # a list of every small move is no help to an editor


def otio_text(facts: ShotFacts) -> str:
    """The timeline in the library's own JSON. Raises OutputError if the library is missing."""
    text: str = _library().adapters.write_to_string(timeline_of(facts), "otio_json")
    return text + "\n"


def edl_text(facts: ShotFacts) -> str:
    """The shot as a CMX 3600 list. Raises OutputError if the adapter is missing."""
    otio = _library()
    if "cmx_3600" not in otio.adapters.available_adapter_names():
        raise OutputError("an .edl needs the adapter otio-cmx3600-adapter",
                          mend="pip install 'linebeat[timeline]'")  # fmt: skip
    rate = facts.clock.rate
    if rate.nominal in (30, 60) and rate.frames_per_s.denominator == 1001 and not rate.drop:
        # The adapter has drop-frame labels only at these rates; ours would differ after a minute.
        raise OutputError(f"a CMX 3600 list at {rate} is written drop-frame only",
                          mend=f"set the scene's rate to {rate}df, or write .otio")  # fmt: skip
    try:
        text: str = otio.adapters.write_to_string(
            _edl_timeline(facts), "cmx_3600", rate=_rate(facts)
        )
    except (otio.exceptions.OTIOError, ValueError) as problem:
        said = " ".join(str(problem).split())[:120]
        raise OutputError(f"a CMX 3600 list cannot hold this shot: {said}",
                          mend="write .otio") from None  # fmt: skip
    return text


def _library() -> Any:
    try:
        import opentimelineio
    except ImportError:
        raise OutputError(
            "a timeline needs OpenTimelineIO", mend="pip install 'linebeat[timeline]'"
        ) from None
    return opentimelineio


def _rate(facts: ShotFacts) -> float:
    return float(facts.clock.rate.frames_per_s)


@dataclass(frozen=True, slots=True)
class _Times:
    """Makes the library's times from the scene's frames."""

    otio: Any
    rate: float

    def at(self, index: int) -> Any:
        return self.otio.opentime.RationalTime(index, self.rate)

    def span(self, index: int, count: int) -> Any:
        return self.otio.opentime.TimeRange(self.at(index), self.at(count))


def timeline_of(facts: ShotFacts) -> Any:
    """The timeline as the library's object."""
    otio, clock = _library(), facts.clock
    times = _Times(otio, _rate(facts))
    first, last = facts.frames
    timeline = otio.schema.Timeline(
        name=one_line(facts.title), global_start_time=times.at(first - clock.first_frame),
        metadata={"linebeat": {
            "version": 1, "rate": str(clock.rate), "first_frame": clock.first_frame,
            "frames": [first, last], "step": clock.step,
        }},
    )  # fmt: skip
    marks = marks_of(facts)
    for who in facts.characters:
        rows = _rows(facts.shot, facts.lines_of(who))
        for number, lines in enumerate(rows or [[]], start=1):
            name = one_line(who) + (f" {number}" if number > 1 else "")
            track = otio.schema.Track(
                name=name, kind=otio.schema.TrackKind.Audio, metadata={"linebeat": {"who": who}}
            )
            own = [m for m in marks if m.who == who] if number == 1 else []
            _fill(track, facts, times, lines, own)
            timeline.tracks.append(track)
    for mark in marks:
        if not mark.who:
            timeline.tracks.markers.append(_marker(times, mark, first, 0))
    return timeline


def _rows(shot: Shot, lines: Sequence[LaidLine]) -> list[list[LaidLine]]:
    """Lines in tracks in which none sounds before the one before it ends."""
    rows: list[list[LaidLine]] = []
    times = shot.times
    for line in sorted(lines, key=lambda x: (x.frames, x.number)):
        begins_s = times[line.number].start_s + ABUTTING_S
        free = next((row for row in rows if times[row[-1].number].end_s <= begins_s), None)
        if free is None:
            rows.append([line])
        else:
            free.append(line)
    return rows


def _fill(
    track: Any, facts: ShotFacts, times: _Times, lines: Sequence[LaidLine], marks: Sequence[Mark]
) -> None:
    """Clips and gaps from the first frame shown to the last, with the marks on them."""
    first, last = facts.frames
    frame = first
    following = [line.frames.first for line in lines[1:]]
    ends = [*following, last + 1] if lines else []
    for line, until in zip(lines, ends, strict=True):
        # A frame that two clips share is the later one's.
        start, end = max(line.frames.first, frame), min(line.frames.last, until - 1, last)
        if start > end:  # shorter than a frame, and the frame is the next one's
            continue
        if start > frame:
            track.append(_gap(times, marks, frame, start - 1))
        track.append(_clip(facts, times, line, marks, start, end))
        frame = end + 1
    if frame <= last:
        track.append(_gap(times, marks, frame, last))


def _gap(times: _Times, marks: Sequence[Mark], first: int, last: int) -> Any:
    gap = times.otio.schema.Gap(source_range=times.span(0, last - first + 1))
    gap.markers.extend(_markers(times, marks, first, last, 0))
    return gap


def _clip(
    facts: ShotFacts, times: _Times, line: LaidLine, marks: Sequence[Mark], first: int, last: int
) -> Any:
    """A line on frames first..last; its media begins where its part of the sound does."""
    source = facts.scene.lines[line.number - 1]
    reading = facts.heard[line.number]
    part_s = source.clip_s[0] if source.clip_s else 0.0
    begins = round(part_s * times.rate) + (first - line.frames[0])
    clip = times.otio.schema.Clip(
        name=one_line(source.say or source.sound),
        media_reference=times.otio.schema.ExternalReference(
            target_url=quote(source.sound),
            available_range=times.span(
                0, max(begins + last - first + 1,
                       int((part_s + reading.clip.duration_s) * times.rate + 1))
            ),
        ),
        source_range=times.span(begins, last - first + 1),
        metadata={"linebeat": {
            "line": line.number, "id": source.id, "who": source.who, "at_s": source.at_s,
            "sha256": reading.clip.sha256,
        }},
    )  # fmt: skip
    clip.markers.extend(_markers(times, marks, first, last, begins))
    return clip


def _markers(times: _Times, marks: Sequence[Mark], first: int, last: int, begins: int) -> list[Any]:
    own = [m for m in marks if first <= m.at <= last or (m.at < first and m.frames[1] == first)]
    return [_marker(times, m, first, begins) for m in own if first <= m.at <= last]


def _marker(times: _Times, mark: Mark, first: int, begins: int) -> Any:
    """A marker in the time of its item, whose first frame is `first` and whose media begins at
    `begins`. A plan's mark lasts a frame, its hit; a beat or note lasts as long as it does."""
    lasts = 1 if mark.kind == "plan" else mark.frames[1] - mark.at + 1
    return times.otio.schema.Marker(
        name=mark.name, marked_range=times.span(begins + mark.at - first, max(1, lasts)),
        color=COLOURS[mark.kind], comment=mark.more,
        metadata={"linebeat": {
            "kind": mark.kind, "who": mark.who, "part": mark.part, "frame": mark.at,
            "frames": list(mark.frames),
        }},
    )  # fmt: skip


def _edl_timeline(facts: ShotFacts) -> Any:
    """One event, the shot, with locators for what an editor asks after."""
    otio = _library()
    times = _Times(otio, _rate(facts))
    first, last = facts.frames
    index = first - facts.clock.first_frame
    title = one_line(facts.title)
    clip = otio.schema.Clip(name=title, source_range=times.span(index, last - first + 1))
    for mark in marks_of(facts):
        if mark.kind in EDL_KINDS and first <= mark.at <= last:
            clip.markers.append(
                otio.schema.Marker(
                    name=f"{mark.who} {mark.name}".strip(),
                    marked_range=times.span(index + mark.at - first, 1),
                    color=COLOURS[mark.kind],
                )
            )
    track = otio.schema.Track(name="shot", kind=otio.schema.TrackKind.Video, children=[clip])
    timeline = otio.schema.Timeline(name=title, global_start_time=times.at(index))
    timeline.tracks.append(track)
    return timeline
