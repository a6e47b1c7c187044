"""Marks: whatever of a shot stands at a frame, as `kind: words`, for markers of any program.

    beat: teasing 0.7 toward visitor
    stress: third, main
    plan: accent, head, down side
    key pose: head, chin down
    note: soften this

`planner.bring_in.marks` reads beats and key poses back from the same words. Frames are the scene's
own, inclusive; a plan's mark stands on its hit where it has one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from planner.export.facts import ShotFacts, shown_frame
from planner.export.plain import Cell, csv_text, one_line
from planner.told.plan_text import why

MarkKind = Literal["beat", "stress", "plan", "key pose", "note"]


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark. `at` is the frame it is for, `frames` what it spans, `more` the reason or remark."""

    kind: MarkKind
    who: str
    part: str
    at: int
    frames: tuple[int, int]
    words: str
    more: str = ""
    line: int | None = None

    @property
    def name(self) -> str:
        """The mark as programs show it: `kind: words`."""
        return f"{self.kind}: {self.words}"


def marks_of(facts: ShotFacts) -> tuple[Mark, ...]:
    """Every mark of the frames shown, in order of time."""
    found = [
        m
        for part in (_beats, _stresses, _plan, _poses, _notes)
        for m in part(facts)
        if facts.shows(m.frames, m.who or None)
    ]
    return tuple(sorted(found, key=lambda m: (m.at, m.frames, m.kind, m.who, m.words)))


def _beats(facts: ShotFacts) -> Iterator[Mark]:
    for b in facts.beats:
        yield Mark("beat", b.beat.who, "", b.frames[0], b.frames, one_line(b.text),
                   one_line(b.beat.note), b.beat.line)  # fmt: skip


def _stresses(facts: ShotFacts) -> Iterator[Mark]:
    for line in facts.plan.lines:
        for s in line.stresses:
            rank = "main" if s.main else s.degree
            yield Mark("stress", line.who, "", s.frame, (s.frame, s.frame),
                       f"{one_line(s.text or '~')}, {rank}", line=line.line)  # fmt: skip


def _plan(facts: ShotFacts) -> Iterator[Mark]:
    for s in facts.plan.suggestions:
        way = one_line(f"{s.direction} {'' if s.path == 'arc' else s.path}")
        words = ", ".join(w for w in (s.kind, s.part, way) if w)
        at = s.frames[0] if s.hit is None else s.hit
        yield Mark("plan", s.who, s.part, at, s.frames, words, one_line(why(s)), s.line)


def _poses(facts: ShotFacts) -> Iterator[Mark]:
    for p in facts.scene.poses:
        words = one_line(f"{p.part}, {p.name}" if p.name else p.part)
        yield Mark("key pose", p.who, p.part, p.frame, (p.frame, p.frame), words)


def _notes(facts: ShotFacts) -> Iterator[Mark]:
    for _, note in facts.notes:
        by = f"by {note.by}" if note.by else ""
        state = "done" if note.done else "open"
        yield Mark("note", note.who or "", "", note.frames[0], note.frames, one_line(note.text),
                   one_line(", ".join(x for x in (by, state) if x)), note.line)  # fmt: skip


HEADER = ("frame", "first", "last", "timecode", "seconds", "kind", "who", "part", "line", "text",
          "more")  # fmt: skip


def markers_csv(facts: ShotFacts) -> str:
    """The marks as a table: frame, span, timecode and seconds of the scene, kind, who, what."""
    return csv_text(HEADER, (_row(facts, mark) for mark in marks_of(facts)))


def _row(facts: ShotFacts, mark: Mark) -> list[Cell]:
    clock = facts.clock
    return [
        mark.at, *mark.frames, shown_frame(clock, mark.at, "timecode"),
        round(clock.scene_s(mark.at), 4), mark.kind, mark.who, mark.part, mark.line, mark.words,
        mark.more,
    ]  # fmt: skip


def poses_csv(facts: ShotFacts) -> str:
    """Key poses in the form `linebeat check --poses` reads."""
    rows = [(p.frame, p.who, p.part, p.name) for who in facts.characters
            for p in facts.poses_of(who)]  # fmt: skip
    return csv_text(("frame", "who", "part", "name"), sorted(rows))


def beats_csv(facts: ShotFacts) -> str:
    """Beats on frames, in the form `linebeat start --beats` reads."""
    rows = [
        (*b.frames, b.beat.who, b.beat.intent, b.beat.strength, b.beat.toward or "", b.beat.note)
        for b in facts.beats
    ]
    header = ("first", "last", "who", "intent", "strength", "toward", "note")
    return csv_text(header, rows)
