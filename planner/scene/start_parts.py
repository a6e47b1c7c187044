"""A line cut into beats to begin with, and what is heard in each of them as a remark.

Conventions: words count from 1. A line is cut where a sentence ends, and at a pause that leaves a
few words on both sides of it. What was heard (a question, a laugh, a sigh) is proposed in words for
the writer to judge; no intent is set by it. All numbers are common practice.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from audio.reading import Phrase, VoiceEvent, VoiceReading

FEWEST_WORDS = 3  # on both sides of a pause inside a sentence; with fewer it is only a breath
NEAR_S = 0.4  # a sigh or laugh as near to a beat's words belongs to it
RISE_ST = 2.0  # semitones; a rise at the end as wide is heard as one
PROPOSED = {
    "laugh": "a laugh: amused, teasing, or against the words?",
    "sigh": "a sigh: tired, sad, or relieved?",
}
CERTAIN = 0.5  # a sound heard less surely is not proposed from


@dataclass(frozen=True, slots=True)
class StartPart:
    """Words of a line to play as one beat (first, last), and what was heard there."""

    words: tuple[int, int]
    remarks: tuple[str, ...] = ()


def parts_of(reading: VoiceReading, say: str) -> tuple[StartPart, ...]:
    """The parts of a line in order, all its words in them; none for a line without words."""
    from audio.words.transcript import read_transcript

    transcript = read_transcript(say)
    count = len(transcript.words)
    if not count or len(reading.words) != count:
        return ()
    ends = [k for k in range(1, count) if transcript.marks[k - 1 : k] == (".",)]
    ends = _with_pauses(reading, [*ends, count])
    firsts = [1, *(end + 1 for end in ends[:-1])]
    asks = {end: _asks(reading, end) for end in ends}
    events = _events_by_part(reading, list(zip(firsts, ends, strict=True)))
    return tuple(
        StartPart((first, last), (*asks[last], *events[k]))
        for k, (first, last) in enumerate(zip(firsts, ends, strict=True))
    )


def _with_pauses(reading: VoiceReading, ends: list[int]) -> list[int]:
    """The ends of parts, with those at pauses that leave enough words on both sides."""
    found = list(ends)
    for pause in reading.pauses:
        before = sum(w.end_s <= pause.start_s + 0.05 for w in reading.words)
        last = max((e for e in found if e < before), default=0)
        next_end = min((e for e in found if e >= before), default=0)
        if before - last >= FEWEST_WORDS and next_end - before >= FEWEST_WORDS:
            found = sorted({*found, before})
    return found


def _asks(reading: VoiceReading, last: int) -> tuple[str, ...]:
    """Whether a part that ends on that word sounds like a question."""
    phrase = _ending_on(reading.phrases, last)
    if phrase is None or phrase.ending != "rise" or phrase.ending_semitones < RISE_ST:
        return ()
    rise = phrase.ending_semitones
    return (f"the voice rises {rise:.1f} st at the end: a question, or more to come?",)


def _ending_on(phrases: Iterable[Phrase], last: int) -> Phrase | None:
    return next((p for p in phrases if p.words and p.words[1] == last - 1), None)


def _events_by_part(reading: VoiceReading, parts: list[tuple[int, int]]) -> list[tuple[str, ...]]:
    """What each part's laughs and sighs propose; one between two parts belongs to the nearer."""
    found: list[list[str]] = [[] for _ in parts]
    for event in reading.events:
        if event.kind in PROPOSED and event.certainty >= CERTAIN:
            away = [_away_s(reading, event, part) for part in parts]
            nearest = away.index(min(away))
            if away[nearest] <= NEAR_S and PROPOSED[event.kind] not in found[nearest]:
                found[nearest].append(PROPOSED[event.kind])
    return [tuple(remarks) for remarks in found]


def _away_s(reading: VoiceReading, event: VoiceEvent, part: tuple[int, int]) -> float:
    """How far an event lies from a part's words; 0 among them."""
    start_s, end_s = reading.words[part[0] - 1].start_s, reading.words[part[1] - 1].end_s
    return max(0.0, start_s - event.end_s, event.start_s - end_s)
