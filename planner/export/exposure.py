"""The exposure sheet as data: a row for every frame, columns of the trade. Pure.

A sheet is of one character: what is done on each frame (action), what is said by syllable, how
high the tone is, what is wanted (beat), each part of the body, and notes. On twos the second frame
of a pair is held; it has its row all the same. What spans frames is a Span; spans of one column
that overlap stand side by side in lanes.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType

import numpy as np

from planner.export.facts import ShotFacts, said
from planner.export.plain import one_line
from planner.motion.mouth import MOUTH, mouth_word
from planner.plan.suggestion import Suggestion
from planner.scene import PARTS
from planner.shot.laid import LaidLine, LaidSyllable

MARK_WORDS = {"key": "key", "breakdown": "breakdown", "inbetween": "in-between"}
_BRACKETS = re.compile(r" ?\([^()]*(?:\([^()]*\))?[^()]*\)")
SAME_TONE_ST = 0.5  # under half a semitone a glide is called level


@dataclass(frozen=True, slots=True)
class Span:
    """Something over frames (inclusive). `hit` is the frame it is for, `marks` words by frame."""

    first: int
    last: int
    text: str
    hit: int | None = None
    hit_text: str = ""
    marks: Mapping[int, str] = field(default_factory=lambda: MappingProxyType({}))

    def word(self, frame: int) -> str:
        """What a table says of it on a frame: text, hit, drawings, its end; "|" while it lasts."""
        if not self.first <= frame <= self.last:
            return ""
        words = [self.text] if frame == self.first else []
        if frame == self.hit:
            words.append(f"hit {self.hit_text}".strip())
        elif frame != self.first and frame in self.marks:
            words.append(self.marks[frame])
        elif frame == self.last and self.last > self.first:
            words.append("end")
        return "; ".join(words) or "|"


@dataclass(frozen=True, slots=True)
class Column:
    """A column of spans, in lanes whose spans do not overlap."""

    name: str
    lanes: tuple[tuple[Span, ...], ...]

    def word(self, frame: int) -> str:
        """What a table says in this column on a frame."""
        words = [s.word(frame) for lane in self.lanes for s in lane if s.first <= frame <= s.last]
        told = [word for word in words if word != "|"]
        return " / ".join(told) or ("|" if words else "")


@dataclass(frozen=True, slots=True)
class Sound:
    """What the voice does on a frame.

    `dialogue` is the syllable that begins, `weight` its stress, `stress` that of a vowel whose
    onset is here: "", "light", "strong" or "main".
    """

    dialogue: str = ""
    weight: str = ""
    stress: str = ""
    voiced: bool = False
    semitones: float | None = None
    tone: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A character's exposure sheet. `sound` by frame; `held` the frames that only repeat."""

    who: str
    frames: tuple[int, int]
    sound: Mapping[int, Sound]
    others: Mapping[int, str]
    held: frozenset[int]
    action: Column
    poses: Column
    beats: Column
    parts: tuple[Column, ...]
    notes: Column

    def columns(self) -> tuple[Column, ...]:
        """The columns of spans from left to right."""
        return (self.action, self.poses, self.beats, *self.parts, self.notes)


def exposure_sheets(facts: ShotFacts) -> tuple[Sheet, ...]:
    """A sheet a character, for the frames shown."""
    return tuple(_sheet(facts, who) for who in facts.characters)


def lanes_of(spans: Iterable[Span]) -> tuple[tuple[Span, ...], ...]:
    """Spans in as few lanes as can be. One may begin on the frame on which the one before ends,
    since one key serves both."""
    lanes: list[list[Span]] = []
    for span in sorted(spans, key=lambda s: (s.first, s.last)):
        for lane in lanes:
            if (
                lane[-1].last < span.first
                or lane[-1].first < lane[-1].last == span.first < span.last
            ):
                lane.append(span)
                break
        else:
            lanes.append([span])
    return tuple(tuple(lane) for lane in lanes)


def _sheet(facts: ShotFacts, who: str) -> Sheet:
    own = facts.suggestions_of(who)
    by_part: dict[str, list[Span]] = {}
    for entry in own:
        by_part.setdefault(entry.part, []).append(_move(entry))
    action = by_part.pop("whole", [])
    return Sheet(
        who, facts.frames, _sound(facts, who), _others(facts, who), _held(facts, who),
        Column("action", lanes_of(action)), Column("key poses", lanes_of(_pose_spans(facts, who))),
        Column("beat", lanes_of(_beat_spans(facts, who))),
        (*(Column(p, lanes_of(by_part[p])) for p in PARTS if p in by_part), *_mouth(facts, who)),
        Column("notes", lanes_of(_note_spans(facts, who))),
    )  # fmt: skip


def _mouth(facts: ShotFacts, who: str) -> tuple[Column, ...]:
    """What jaw and lips do, frame by frame as exposed; no column for who says nothing."""
    if not facts.lines_of(who):
        return ()
    motion = facts.performance.of(who)
    values = np.stack([motion.channel(name) for name in MOUTH], axis=1)
    spans: list[Span] = []
    for frame in range(facts.frames[0], facts.frames[1] + 1):
        word = mouth_word(values[frame - motion.first_frame])
        if spans and spans[-1].last == frame - 1 and spans[-1].text == word:
            spans[-1] = replace(spans[-1], last=frame)
        elif word:
            spans.append(Span(frame, frame, word))
    return (Column("mouth", (tuple(spans),)),)


def move_words(entry: Suggestion) -> str:
    """A suggestion in few words: kind, way, path where it is not the usual arc, size."""
    way = one_line(entry.direction)
    if entry.kind in ("settle", "hold"):
        way = _BRACKETS.sub("", way)  # says again which way the move before went
    kind = "moving hold" if entry.kind == "hold" else entry.kind
    words = [kind, way, "" if entry.path == "arc" else entry.path]
    text = " ".join(w for w in words if w)
    return f"{text}, {entry.size:.1f}" if entry.size >= 0.05 else text


def _move(entry: Suggestion) -> Span:
    first, last = entry.frames
    marks = {m.frame: MARK_WORDS[m.mark] for m in entry.timing_chart if first <= m.frame <= last}
    return Span(first, last, move_words(entry), entry.hit, one_line(entry.text or ""),
                MappingProxyType(marks))  # fmt: skip


def _pose_spans(facts: ShotFacts, who: str) -> list[Span]:
    """Key poses as made: on their frame alone."""
    return [
        Span(p.frame, p.frame, one_line(f"{p.name or 'key pose'} ({p.part})"))
        for p in facts.poses_of(who)
    ]


def _beat_spans(facts: ShotFacts, who: str) -> list[Span]:
    return [
        Span(*b.frames, one_line(f"{b.text}: {b.beat.note}" if b.beat.note else b.text))
        for b in facts.beats
        if b.beat.who == who
    ]


def _note_spans(facts: ShotFacts, who: str) -> list[Span]:
    return [
        Span(*note.frames, one_line(
            f"{number}{' done' if note.done else ''}: {note.text}"
            + (f" ({note.by})" if note.by else "")
        ))
        for number, note in facts.notes
        if note.who in (None, who)
    ]  # fmt: skip


def _held(facts: ShotFacts, who: str) -> frozenset[int]:
    """Frames that repeat the one before, by the scene's step or the line's own."""
    clock = facts.clock
    steps = {line.number: line.step for line in facts.scene.lines}
    first, last = facts.frames
    held = set()
    for frame in range(first, last + 1):
        spoken = [x.number for x in facts.laid.between(frame, frame) if x.who == who]
        step = next((s for n in spoken if (s := steps[n])), clock.step)
        if (frame - clock.first_frame) % step:
            held.add(frame)
    return frozenset(held)


def _sound(facts: ShotFacts, who: str) -> Mapping[int, Sound]:
    found: dict[int, Sound] = {}
    for line in facts.lines_of(who):
        for frame in range(line.frames[0], line.frames[1] + 1):
            if facts.frames[0] <= frame <= facts.frames[1] and frame not in found:
                sound = _sound_at(line, frame)
                if sound is not None:
                    found[frame] = sound
    return MappingProxyType(found)


def _sound_at(line: LaidLine, frame: int) -> Sound | None:
    """The voice on a frame of a line; None where there is nothing."""
    starting = [s for s in line.syllables if s.frames[0] == frame]
    hits = [s for s in line.syllables if s.hit == frame and s.degree != "none"]
    height = line.height_at(frame)
    tone = _tone_word(line, frame)
    lasting = any(s.frames[0] <= frame <= s.frames[1] for s in line.syllables)
    span = next((s.kind for s in line.spans if s.frames[0] == frame), "")
    if not (starting or hits or lasting or tone or span) and math.isnan(height):
        return None
    words = " ".join(said(s) for s in starting) or (f"({span})" if span else "")
    return Sound(
        words,
        _weight(starting),
        _weight(hits),
        lasting,
        None if math.isnan(height) else round(height, 1),
        tone,
    )


def _weight(syllables: Sequence[LaidSyllable]) -> str:
    """The heaviest stress of some syllables."""
    if any(s.main for s in syllables):
        return "main"
    degrees = {s.degree for s in syllables}
    return "strong" if "strong" in degrees else "light" if "light" in degrees else ""


def _tone_word(line: LaidLine, frame: int) -> str:
    """The movement of the tone that begins on a frame, in words."""
    for glide in line.glides:
        if glide.frames[0] == frame and glide.audible:
            if abs(glide.semitones) < SAME_TONE_ST:
                return str(glide.shape)
            return f"{glide.shape} {glide.semitones:+.0f}"
    return ""


def _others(facts: ShotFacts, who: str) -> Mapping[int, str]:
    """What the others say, a word on its first frame."""
    found: dict[int, list[str]] = {}
    for line in facts.laid.between(*facts.frames):
        if line.who != who:
            for word in line.words:
                found.setdefault(word.frames[0], []).append(one_line(word.text))
    return MappingProxyType({frame: " ".join(words) for frame, words in found.items()})


def sheet_breaks(
    frames: tuple[int, int], rows: int, first_frame: int
) -> tuple[tuple[int, int], ...]:
    """First and last frame of each sheet; sheets begin at multiples of `rows` from the first."""
    first, last = frames
    start = first - (first - first_frame) % rows
    return tuple((s, s + rows - 1) for s in range(start, last + 1, rows))
