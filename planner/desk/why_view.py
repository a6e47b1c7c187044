"""What is chosen, in full, and why: a few lines of text under the plan.

Pure: from a Desk to rows of cells.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from rich.cells import cell_len

from planner.desk.beat_view import wordings
from planner.desk.cells import Row, Rows, Run, fitted, padded
from planner.desk.choosing import notes_now
from planner.desk.deciding import decisions_on
from planner.desk.ruler_view import shown
from planner.desk.state import (
    BeatAt,
    Desk,
    Frames,
    NoteAt,
    PoseAt,
    ProblemAt,
    SuggestionOf,
    Words,
)  # fmt: skip
from planner.desk.verdicts import PoseVerdict
from planner.plan.suggestion import Suggestion

Told = Iterator[tuple[str, str]]  # role, text


def why_rows(desk: Desk, height: int, width: int, *, message: str = "") -> Rows:
    """What is chosen, wrapped to the width; where that takes too many rows, a row a sentence.

    `message` comes first: what the desk has to say where the top rows have no room for it.
    """
    said = _wrapped([("message", message)], width) if message else []
    if len(said) > height:  # how to mend it stands last, and must be read
        said = [*said[: height - 2], ("message", "…"), said[-1]] if height > 2 else said[-height:]
    told = list(_tell(desk))
    below = _wrapped(told, width)
    if len(below) > height - len(said):
        below = [(role, fitted(text, width - 2)) for role, text in told]
    rows = (said + below)[:height]
    hidden = len(below) - (height - len(said)) if desk.choice is not None else 0
    rows += [("why", "")] * (height - len(rows))
    made: list[Row] = [(Run(" " + padded(text, width - 1), role),) for role, text in rows]
    if made and hidden > 0:
        made[-1] = _with_more(*rows[-1], hidden, width)
    return tuple(made)


def _with_more(role: str, text: str, hidden: int, width: int) -> Row:
    """The last row with how many are below it; what the desk has to say is not cut for that."""
    sign = f" {hidden} more: enter "
    room = width - 1 - len(sign)
    if role == "message" and cell_len(text) > room:
        return (Run(" " + padded(text, width - 1), role),)
    return (Run(" " + padded(text, room), role), Run(sign, "more"))


def _wrapped(told: Iterable[tuple[str, str]], width: int) -> list[tuple[str, str]]:
    return [
        (role, line)
        for role, text in told
        for line in textwrap.wrap(text, max(20, width - 2)) or [""]
    ]


def why_text(desk: Desk) -> str:
    """The same as plain text, for the window that shows it all."""
    return "\n".join(text for _, text in _tell(desk))


def _tell(desk: Desk) -> Told:
    match desk.choice:
        case SuggestionOf(suggestion_id):
            suggestion = desk.index.by_id.get(suggestion_id)
            if suggestion is not None:
                yield from _suggestion(desk, suggestion)
        case BeatAt(index, edge):
            beat = desk.scene.beats[index]
            yield "heading", f"{beat.who}: {wordings(beat)[0]}"
            yield "why", f"its {edge} moves when nudged"
        case Words(number, first, last):
            yield from _words(desk, number, first, last)
        case Frames(first, last):
            length = last - first + 1
            yield "heading", f"frames {first}-{last} picked: {length} frames, " \
                f"{desk.scene.rate.start_s(length):.2f} s"  # fmt: skip
        case PoseAt(index):
            yield from _pose(desk, index)
        case NoteAt(index):
            note = notes_now(desk)[index]
            state = "done" if note.done else "open"
            tied = f", tied to {_words_of(desk, note.line, note.words)}" if note.words else ""
            signed = f" by {note.by}" if note.by else ""
            yield "heading", f"note{signed}, {state}, {_span(desk, note.frames)}{tied}"
            yield "why", note.text
        case ProblemAt(index):
            problem = desk.verdicts.problems[index]
            yield "heading", f"{problem.who}, {_span(desk, problem.frames)}: {problem.kind}"
            yield "why", problem.text
        case None:
            yield "hint", "Nothing chosen: step to a word, a beat, a suggestion; why is told here."


def _span(desk: Desk, frames: tuple[int, int]) -> str:
    first, last = (shown(frame, desk.unit, desk.scene.clock) for frame in frames)
    return first if first == last else f"{first}-{last}"


def _suggestion(desk: Desk, s: Suggestion) -> Told:
    way = " ".join(x for x in (s.direction, f"({s.path})" if s.path else "") if x)
    on = f' on "{s.text}"' if s.text else ""
    hit = "" if s.hit is None else f", hit {shown(s.hit, desk.unit, desk.scene.clock)}"
    state = "; dropped" if s.id in desk.index.dropped_ids else ""
    made = decisions_on(desk, s.id)
    if made:
        state += "; you: " + ", ".join(
            f"{do} {d.by:+d}" if d.by else f"{do} {d.frames}" if d.frames else do
            for do, d in made.items()
        )
    yield "heading", f"{s.who} {s.part}: {s.kind} {way}{on}, {_span(desk, s.frames)}{hit}{state}"
    for label, text in (
        ("heard", s.because.sound), ("meant", s.because.intent), ("rule", s.because.rule),
    ):  # fmt: skip
        if text:
            yield "why", f"{label}: {text}"
    if s.timing_chart:
        chart = ", ".join(
            f"{shown(m.frame, desk.unit, desk.scene.clock)} {m.mark} {m.at:.0%}"
            for m in s.timing_chart
        )
        yield "why", f"drawings: {chart}"
    tail = [f"size {s.size:.2f}", f"certainty {s.certainty:.0%}"]
    if s.rides_on:
        tail.append(f"rides on {s.rides_on}")
    if s.because.source:
        tail.append(f"source: {s.because.source}")
    yield "remark", "; ".join(tail)


def _words(desk: Desk, number: int, first: int, last: int) -> Told:
    line = desk.laid.line(number)
    if line is None or not line.words:
        return
    words = line.words[first - 1 : last]
    text = " ".join(word.text for word in words)
    frames = (words[0].frames[0], words[-1].frames[1])
    yield "heading", f'{line.who}, line {number}: "{text}", {_span(desk, frames)}'
    stressed = [
        f'{"main accent" if s.main else "stress"} on "{s.text}" at '
        f"{shown(s.hit, desk.unit, desk.scene.clock)}"
        for s in line.syllables
        if s.word is not None and first <= s.word <= last and s.degree == "strong"
    ]
    glides = [
        f"{g.shape} of {abs(g.semitones):.0f} semitones"
        for g in line.glides
        if g.audible and g.frames[0] <= frames[1] and g.frames[1] >= frames[0]
    ]
    if stressed or glides:
        yield "why", "heard: " + "; ".join(stressed + glides)
    phrase = next((p for p in line.phrases if p.words and p.words[0] <= last <= p.words[1]), None)
    if phrase is not None and phrase.words is not None and phrase.words[1] == last:
        by = f"{phrase.ending_semitones:+.1f} semitones"
        yield "why", f"the phrase ends in a {phrase.ending} ({by})"


def _pose(desk: Desk, index: int) -> Told:
    pose = desk.scene.poses[index]
    poses = desk.verdicts.poses
    verdict: PoseVerdict | None = poses[index] if index < len(poses) else None
    judged = "…" if verdict is None or desk.stale else verdict.told or verdict.text()
    name = f", {pose.name}" if pose.name else ""
    at = shown(pose.frame, desk.unit, desk.scene.clock)
    yield "heading", f"{pose.who} {pose.part}{name}, {at}: {judged}"
    if verdict is not None and verdict.stress_frame is not None and desk.unit != "frames":
        main = "main accent" if verdict.main else "stress"
        at = shown(verdict.stress_frame, desk.unit, desk.scene.clock)
        yield "why", f'the {main} on "{verdict.word}" is at {at}'


def _words_of(desk: Desk, number: int | None, words: tuple[int, int]) -> str:
    """Words of a line as they are said, in quotes."""
    line = desk.laid.line(number or 0)
    if line is None or words[1] > len(line.words):
        return f"words {words[0]}-{words[1]} of line {number}"
    return '"' + " ".join(w.text for w in line.words[words[0] - 1 : words[1]]) + '"'
