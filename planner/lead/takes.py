"""Two takes of one line compared: stresses, tempo, range, ending, and what the plan would change.

Conventions: words are matched by a diff of their texts, so that takes may differ in words; counted
from 0 within their take. Tempo is syllables a second without pauses. A pitch range is the speaker's
own from low to high in semitones. The plan's differences come from planning the same scene twice:
suggestions that only one take brings, and those whose hit moves against the line's start.
What is not done: neither take is called the better one.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from difflib import SequenceMatcher
from typing import Any, Literal

from audio.reading import VoiceReading
from planner.plan.make import plan_state
from planner.plan.suggestion import LinePlan, Plan, Suggestion
from planner.scene import Heard
from planner.scene.words import bare
from planner.shot import Shot
from planner.shot.stresses import main_accents

TEMPO_HEARD = 0.1  # share; a change of tempo smaller than 10 % is not heard (Quene 2007, draft)
RANGE_HEARD_ST = 1.5  # semitones; Rietveld & Gussenhoven 1985
_RANK = {"none": 0, "light": 1, "strong": 2}


@dataclass(frozen=True, slots=True)
class TakeEnding:
    """How a phrase ends: `ending` and by how many semitones; `word` is its last."""

    word: str
    ending: str
    semitones: float


@dataclass(frozen=True, slots=True)
class TakeFacts:
    """One take in figures."""

    duration_s: float
    syllables_per_s: float
    pitch_low_hz: float
    pitch_high_hz: float
    range_st: float
    stressed: tuple[str, ...]
    main: tuple[str, ...]
    phrases: int
    endings: tuple[TakeEnding, ...]


@dataclass(frozen=True, slots=True)
class WordChange:
    """A word the takes stress differently; degrees as in a reading, None where it is not said."""

    word: str
    first: str | None
    second: str | None


@dataclass(frozen=True, slots=True)
class PlanChange:
    """A suggestion that differs. `by_frames` is the second take's hit minus the first's."""

    id: str
    text: str
    change: Literal["only first", "only second", "moved"]
    by_frames: int | None = None

    @property
    def told(self) -> str:
        """In words: `visitor: look (eyes), on "That": only with the second take`."""
        kind, part, line, *_ = self.id.split("/")
        who = line.partition("@")[2]
        words = (f"{who}: " if who else "") + f"{kind} ({part})"
        words += f', on "{self.text}"' if self.text else ""
        if self.by_frames is None:
            return f"{words}: only with the {self.change.removeprefix('only ')} take"
        frames = "1 frame" if abs(self.by_frames) == 1 else f"{abs(self.by_frames)} frames"
        return f"{words}: {frames} {'later' if self.by_frames > 0 else 'earlier'}"


@dataclass(frozen=True, slots=True)
class TakeComparison:
    """Two takes of a line, and what choosing the second would change in the plan."""

    first: TakeFacts
    second: TakeFacts
    words: tuple[WordChange, ...]
    remarks: tuple[str, ...]
    plan: tuple[PlanChange, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """Plain data, ready for JSON."""
        return {"linebeat": 1, **asdict(self)}


def compare_takes(
    first: VoiceReading,
    second: VoiceReading,
    *,
    shot: Shot | None = None,
    line: int = 1,
) -> TakeComparison:
    """Two readings of a line compared.

    With a `shot` that has the first the plans are compared too; `line` is the number (from 1) of
    the line both take.
    """
    facts = (take_facts(first), take_facts(second))
    words = word_changes(first, second)
    changes: tuple[PlanChange, ...] = ()
    if shot is not None:
        state = plan_state(shot)
        after = plan_state(shot.with_reading(line, second, heard=Heard()), state)
        changes = plan_changes(state.plan, after.plan, line)
    return TakeComparison(facts[0], facts[1], words, _remarks(*facts, words), changes)


def take_facts(reading: VoiceReading) -> TakeFacts:
    """One take in figures."""
    mains = main_accents(reading)
    low_hz, high_hz = reading.speaker.pitch_low_hz, reading.speaker.pitch_high_hz
    range_st = 12 * math.log2(high_hz / low_hz) if 0 < low_hz <= high_hz else 0.0
    spoken = [s for s in reading.syllables if s.word is not None]
    return TakeFacts(
        reading.clip.duration_s, _tempo(reading), low_hz, high_hz, range_st,
        tuple(_word(reading, s.word) for s in spoken if s.degree == "strong"),
        tuple(_word(reading, reading.syllables[i].word) for i in sorted(mains)),
        len(reading.phrases),
        tuple(
            TakeEnding(_word(reading, reading.syllables[p.syllables[1]].word), p.ending,
                       p.ending_semitones)
            for p in reading.phrases if 0 <= p.syllables[1] < len(reading.syllables)
        ),
    )  # fmt: skip


def _tempo(reading: VoiceReading) -> float:
    """Syllables a second, the silences between phrases left out."""
    spoken_s = sum(p.end_s - p.start_s for p in reading.phrases)
    return len(reading.syllables) / spoken_s if spoken_s > 0 else 0.0


def _word(reading: VoiceReading, word: int | None) -> str:
    return bare(reading.words[word].text) if word is not None else ""


def word_degrees(reading: VoiceReading) -> list[tuple[str, str]]:
    """Each word, bare, with the degree of the stress it bears."""
    found: list[tuple[str, str]] = []
    for i, word in enumerate(reading.words):
        degrees = [s.degree for s in reading.syllables if s.word == i]
        found.append((bare(word.text), max(degrees, key=_RANK.__getitem__, default="none")))
    return found


def word_changes(first: VoiceReading, second: VoiceReading) -> tuple[WordChange, ...]:
    """The words that the two takes stress differently, in order of the line."""
    a, b = word_degrees(first), word_degrees(second)
    matcher = SequenceMatcher(None, [w.casefold() for w, _ in a], [w.casefold() for w, _ in b],
                              autojunk=False)  # fmt: skip
    found: list[WordChange] = []
    for tag, i, i_end, j, j_end in matcher.get_opcodes():
        if tag == "equal":
            found += [
                WordChange(a[i + k][0], a[i + k][1], b[j + k][1])
                for k in range(i_end - i) if a[i + k][1] != b[j + k][1]
            ]  # fmt: skip
        else:
            found += [WordChange(w, degree, None) for w, degree in a[i:i_end]]
            found += [WordChange(w, None, degree) for w, degree in b[j:j_end]]
    return tuple(found)


def plan_changes(first: Plan, second: Plan, line: int) -> tuple[PlanChange, ...]:
    """How the plan of the second take differs, hits counted from the line's own start."""
    old, new = ({s.id: s for s in plan.suggestions} for plan in (first, second))
    start = {n: p.frames[0] for n, p in ((1, _line(first, line)), (2, _line(second, line)))}
    found: list[PlanChange] = []
    for of, s in old.items():
        if of not in new:
            found.append(PlanChange(of, s.text, "only first"))
        elif by := (_at(new[of]) - start[2]) - (_at(s) - start[1]):
            found.append(PlanChange(of, s.text, "moved", by))
    found += [PlanChange(of, s.text, "only second") for of, s in new.items() if of not in old]
    return tuple(found)


def _line(plan: Plan, line: int) -> LinePlan:
    return next(p for p in plan.lines if p.line == line)


def _at(s: Suggestion) -> int:
    return s.hit if s.hit is not None else s.frames[0]


def _remarks(first: TakeFacts, second: TakeFacts, words: tuple[WordChange, ...]) -> tuple[str, ...]:
    """What an ear would notice, in sentences; differences that are not heard are left out."""
    found: list[str] = []
    if first.main != second.main:
        found.append(f"the first leans on {_listed(first.main)}, the second on "
                     f"{_listed(second.main)}")  # fmt: skip
    share = second.syllables_per_s / first.syllables_per_s - 1 if first.syllables_per_s else 0.0
    if abs(share) >= TEMPO_HEARD:
        found.append(f"the second is {abs(share):.0%} {'faster' if share > 0 else 'slower'}")
    wider = second.range_st - first.range_st
    if abs(wider) >= RANGE_HEARD_ST:
        found.append(f"the second's pitch range is {abs(wider):.1f} st "
                     f"{'wider' if wider > 0 else 'narrower'}")  # fmt: skip
    if first.endings and second.endings:
        a, b = first.endings[-1], second.endings[-1]
        if a.ending != b.ending:
            found.append(f"the first ends on a {a.ending}, the second on a {b.ending}")
    if first.phrases != second.phrases:
        phrases = "1 phrase" if first.phrases == 1 else f"{first.phrases} phrases"
        found.append(f"the first has {phrases}, the second {second.phrases}")
    if any(w.first is None or w.second is None for w in words):
        found.append("the takes do not say the same words")
    return tuple(found)


def _listed(words: tuple[str, ...]) -> str:
    return ", ".join(f'"{w}"' for w in words) if words else "no word"
