"""What a rule sees of a line: syllables, phrases, beats, glides and room.

Conventions: all times are seconds of the line (its clip begins at 0). `spans` are the line's beats
in time order (words that no beat names play as neutral), counted from 1 as in ids: `b1` is the
line's first. Pause k is the silence after phrase k, the last one after the line. Nothing here
decides anything.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Unpack

from audio.reading import Degree, Ending, EventKind, GlideShape, VoiceEvent, VoiceReading
from planner.frames import Clock
from planner.intents import Intent
from planner.lexicon import NO_REMARK, Remark
from planner.plan.drafts import Draft, DraftMore
from planner.plan.sides import Sides
from planner.plan.suggestion import Kind, Why
from planner.plan.time_words import moment
from planner.plan.voice_facts import SyllableFacts
from planner.scene import Planted
from planner.scene.words import bare
from planner.shot.stresses import main_accents
from planner.shot.timeline import since

if TYPE_CHECKING:
    from planner.plan.cues import Reaction


@dataclass(frozen=True, slots=True)
class SyllableOn:
    """A syllable and where it belongs. `beat_s` is the onset of its vowel; `word` is bare text.

    `word_s` is its word's start and end (the syllable's own where there is no text).
    """

    index: int
    anchor: str
    word: str
    word_index: int | None
    start_s: float
    beat_s: float
    end_s: float
    degree: Degree
    prominence: float
    main: bool
    phrase: int
    span: int
    facts: SyllableFacts
    word_s: tuple[float, float]

    @property
    def peak_s(self) -> float:
        """When its tone or its level is highest, whichever is later; else its vowel's onset."""
        top_s = self.facts.peak_s
        return min(max(top_s, self.beat_s), self.end_s) if math.isfinite(top_s) else self.beat_s


@dataclass(frozen=True, slots=True)
class PhraseOn:
    """A phrase; `first` and `last` syllable, inclusive; `main` its main accent or None."""

    number: int
    first: int
    last: int
    start_s: float
    end_s: float
    main: int | None
    ending: Ending
    ending_st: float


@dataclass(frozen=True, slots=True)
class GlideOn:
    """An audible glide; `anchor` and `word` of the syllable it ends on."""

    start_s: float
    end_s: float
    semitones: float
    shape: GlideShape
    syllables: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class EventOn:
    """A breath, sigh or laugh; `bursts_s` are the loudest moments of a laugh."""

    kind: EventKind
    start_s: float
    end_s: float
    certainty: float
    bursts_s: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Span:
    """A beat's share of a line. `beat` is its index in the scene, None where no beat is tagged.

    `intent` is as it is played: with the writer's `remark` and the `play` taken in it.
    """

    number: int
    beat: int | None
    intent: Intent
    toward: str | None
    first: int
    last: int
    note: str = ""
    remark: Remark = NO_REMARK
    play: str = ""


@dataclass(frozen=True, slots=True)
class Before:
    """What the character was doing just before: the last own beat in the shot."""

    intent: str
    toward: str | None
    pose_id: str
    tagged: bool


@dataclass(frozen=True, slots=True)
class LineInputs:
    """All that shapes a line's plan beside its sound: the key under which the plan is kept.

    `exposure_s` is how long a drawing stands, at 24 frames a second or slower.
    """

    number: int
    line_id: str
    who: str
    at_s: float
    step: int
    window_s: tuple[float, float]
    spans: tuple[Span, ...]
    sides: Sides
    before: Before | None
    facing: str | None
    opens_shot: bool
    planted: tuple[tuple[str, float, float], ...]
    neutral: Intent
    exposure_s: float = 1 / 24


@dataclass(frozen=True, slots=True)
class LineContext:
    """A line as the rules see it."""

    inputs: LineInputs
    syllables: tuple[SyllableOn, ...]
    phrases: tuple[PhraseOn, ...]
    glides: tuple[GlideOn, ...]
    events: tuple[EventOn, ...]
    reactions: tuple[Reaction, ...]
    end_s: float

    @property
    def spans(self) -> tuple[Span, ...]:
        """The line's beats, in order."""
        return self.inputs.spans

    @property
    def window_s(self) -> tuple[float, float]:
        """The time in which this line's moves may lie."""
        return self.inputs.window_s

    @property
    def sides(self) -> Sides:
        """Sides as seen in the picture."""
        return self.inputs.sides

    def span_start_s(self, span: Span) -> float:
        """Onset of the beat's first syllable."""
        return self.syllables[span.first].start_s

    def span_end_s(self, span: Span) -> float:
        """End of the beat's last syllable."""
        return self.syllables[span.last].end_s

    def span_of(self, syllable: int) -> Span:
        """The beat a syllable belongs to."""
        return self.spans[self.syllables[syllable].span]

    def in_span(self, span: Span) -> tuple[SyllableOn, ...]:
        """The beat's syllables."""
        return self.syllables[span.first : span.last + 1]

    def said_s(self, line_s: float) -> str:
        """A moment of the line as people read it: "frame 1018", once frames are known."""
        return moment(line_s)

    def quoted(self, span: Span) -> str:
        """The beat's words: "That is the third"."""
        return quoted(self.in_span(span))

    def pose_of(self, span: Span) -> str | None:
        """Id of the attitude that layers of this beat ride on."""
        return pose_id(self.inputs, span)

    def gap_before_s(self, span: Span) -> float:
        """Silence before a beat's first word; for a line's first beat the room to the window."""
        if span.first == 0:
            return self.syllables[0].start_s - self.window_s[0]
        return self.syllables[span.first].start_s - self.syllables[span.first - 1].end_s

    def pauses(self) -> tuple[tuple[int, float, float], ...]:
        """(number, start, end) of the silence after each phrase; the last reaches to the window."""
        starts = [p.start_s for p in self.phrases[1:]]
        ends = [*starts, max(self.window_s[1], self.phrases[-1].end_s)] if self.phrases else []
        return tuple(
            (p.number, p.end_s, end_s) for p, end_s in zip(self.phrases, ends, strict=True)
        )

    def draft(
        self, kind: Kind, part: str, anchor: str, *, span: Span, text: str,
        at_s: tuple[float, float | None, float], size: float, direction: str, path: str,
        because: Why, **more: Unpack[DraftMore],
    ) -> Draft:  # fmt: skip
        """A draft of this line; `at_s` is (start, hit, end)."""
        return Draft(
            kind, part, self.inputs.who, self.inputs.number, self.inputs.line_id, anchor, text,
            at_s[0], at_s[1], at_s[2], size, direction, path, because,
            beat=span.beat, span=span.number - 1, step=self.inputs.step, **more,
        )  # fmt: skip


def keeps_attitude(inputs: LineInputs, span: Span) -> bool:
    """Whether an untagged stretch goes on in the attitude before it instead of taking its own.

    A few attitudes carry a scene (common practice): plain talk between two beats, or plain talk
    after plain talk, is no change of thought.
    """
    if span.beat is not None:
        return False
    if span.number > 1:
        return True
    return inputs.before is not None and not inputs.before.tagged


def pose_id(inputs: LineInputs, span: Span) -> str | None:
    """Id of the attitude in force during a beat."""
    for earlier in reversed(inputs.spans[: span.number]):
        if not keeps_attitude(inputs, earlier):
            return f"pose/whole/{inputs.line_id}/b{earlier.number}"
    return inputs.before.pose_id if inputs.before else None


def quoted(syllables: Iterable[SyllableOn], longest: int = 6) -> str:
    """Words in quotation marks, long stretches cut in the middle."""
    words: list[str] = []
    last: int | None = None
    for syllable in syllables:
        if syllable.word and syllable.word_index != last:
            words.append(syllable.word)
        last = syllable.word_index
    if not words:
        return "the voice"
    if len(words) > longest:
        words = [*words[: longest - 2], "...", words[-1]]
    return f'"{" ".join(words)}"'


def anchors(reading: VoiceReading) -> tuple[str, ...]:
    """`w4s1` for each syllable (word 4, its first syllable); `s7` where there is no text."""
    found: list[str] = []
    seen: dict[int, int] = {}
    for i, syllable in enumerate(reading.syllables):
        if syllable.word is None:
            found.append(f"s{i + 1}")
        else:
            seen[syllable.word] = seen.get(syllable.word, 0) + 1
            found.append(f"w{syllable.word + 1}s{seen[syllable.word]}")
    return tuple(found)


def peak_of(syllables: Sequence[SyllableOn]) -> int | None:
    """The line's one peak: the most prominent of its main accents, the later where two are alike.

    From the sound alone, so that a change of intent moves no other phrase.
    """
    mains = [s for s in syllables if s.main]
    return max(mains, key=lambda s: (s.degree == "strong", s.prominence, s.index)).index if (
        mains) else None  # fmt: skip


def line_context(
    inputs: LineInputs,
    reading: VoiceReading,
    facts: Sequence[SyllableFacts],
    reactions: tuple[Reaction, ...] = (),
) -> LineContext:
    """A line's context from its inputs and its reading (the user's ear already applied)."""
    names, mains = anchors(reading), main_accents(reading)
    phrase_of = _index_of(len(names), [p.syllables for p in reading.phrases])
    span_of = _index_of(len(names), [(s.first, s.last) for s in inputs.spans])
    words_s = _words_s(reading)
    syllables = tuple(
        SyllableOn(
            i, names[i], bare(reading.words[s.word].text) if s.word is not None else "", s.word,
            s.start_s, s.nucleus_s, s.end_s, s.degree, s.prominence,
            i in mains, phrase_of[i], span_of[i], facts[i], words_s[i],
        )
        for i, s in enumerate(reading.syllables)
    )  # fmt: skip
    phrases = tuple(
        PhraseOn(
            k + 1, p.syllables[0], p.syllables[1], p.start_s, p.end_s,
            p.strongest_syllable if p.strongest_syllable in mains else None,
            p.ending, p.ending_semitones,
        )
        for k, p in enumerate(reading.phrases)
    )  # fmt: skip
    glides = tuple(
        GlideOn(g.start_s, g.end_s, g.semitones, g.shape, g.syllables)
        for g in reading.glides
        if g.audible and g.syllables and max(g.syllables) < len(names)
    )
    events = tuple(
        EventOn(e.kind, e.start_s, e.end_s, e.certainty, _bursts(reading, e))
        for e in reading.events
    )
    return LineContext(
        inputs, syllables, phrases, glides, events, reactions, reading.clip.duration_s
    )


def _words_s(reading: VoiceReading) -> list[tuple[float, float]]:
    """For each syllable the start and end of its word; its own where there is no text."""
    found: dict[int, tuple[float, float]] = {}
    for s in reading.syllables:
        if s.word is not None:
            start_s, end_s = found.get(s.word, (s.start_s, s.end_s))
            found[s.word] = (min(start_s, s.start_s), max(end_s, s.end_s))
    return [(s.start_s, s.end_s) if s.word is None else found[s.word] for s in reading.syllables]


def _index_of(n: int, ranges: Sequence[tuple[int, int]]) -> list[int]:
    """For each of n syllables the range it lies in (the last one begun, where none covers it)."""
    found = [0] * n
    for k, (first, last) in enumerate(ranges):
        for i in range(max(first, 0), min(last, n - 1) + 1):
            found[i] = k
    return found


def _bursts(reading: VoiceReading, event: VoiceEvent) -> tuple[float, ...]:
    """The loudest moments of a laugh, at least 110 ms apart, in time order (seconds)."""
    track = reading.loudness
    if event.kind != "laugh" or len(track.db) < 3:
        return ()
    low = max(int((event.start_s - track.start_s) / track.step_s), 1)
    high = min(int((event.end_s - track.start_s) / track.step_s), len(track.db) - 1)
    level = [float(v) for v in track.db[low - 1 : high + 1]]
    peaks = [
        (level[i], low - 1 + i) for i in range(1, len(level) - 1)
        if level[i - 1] < level[i] >= level[i + 1]
    ]  # fmt: skip
    kept: list[int] = []
    for _, k in sorted(peaks, reverse=True):
        if all(abs(k - other) * track.step_s >= 0.11 for other in kept):
            kept.append(k)
    loudest = max((float(track.db[k]) for k in kept), default=0.0)
    kept = [k for k in kept if float(track.db[k]) > loudest - 15.0]
    return tuple(track.start_s + k * track.step_s for k in sorted(kept))


def planted_s(
    planted: Iterable[Planted], clock: Clock, who: str, origin_s: float
) -> tuple[tuple[str, float, float], ...]:
    """A character's planted parts as (part, start, end) in seconds since an origin, half-open."""
    return tuple(
        (
            p.part,
            since(origin_s, clock.scene_s(p.frames[0])),
            since(origin_s, clock.scene_s(p.frames[1] + 1)),
        )
        for p in planted
        if p.who == who
    )
