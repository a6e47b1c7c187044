"""What is chosen, in full, and why: lines of text under the rest, as many as it takes. Pure."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from rich.cells import cell_len

from planner.desk.choices import (
    BeatAt,
    Frames,
    NoteAt,
    Phrases,
    PoseAt,
    ProblemAt,
    SuggestionOf,
    Words,
)
from planner.desk.edits.beats import beat_of
from planner.desk.edits.decisions import decisions_on
from planner.desk.state import Desk
from planner.desk.units import shown_here, span_shown
from planner.desk.verdicts import PoseVerdict
from planner.desk.views.beats import wordings
from planner.desk.views.cells import Row, Run, fitted, padded
from planner.desk.views.panel import Panel, Room, Seen
from planner.plan.suggestion import Suggestion

Told = Iterator[tuple[str, str]]  # role, text
LEAST = 2
MOST_SHARE = 0.17  # of the screen's rows


def draw(desk: Desk, room: Room) -> Seen:
    """What is chosen, wrapped to the width; where that takes too many rows, a row a sentence.

    What the desk has to say comes first where the top rows have no room for it.
    """
    height, width = room.height, room.width
    message = room.told.get("message", "")
    said = _wrapped([("message", message)], width) if message else []
    if len(said) > height:  # how to mend it stands last, and must be read
        said = [*said[: height - 2], ("message", "..."), said[-1]] if height > 2 else said[-height:]
    told = list(tell(desk))
    below, hidden = _fitting(told, width, height - len(said))
    rows = (said + below)[:height]
    hidden = hidden if desk.choice is not None else 0
    rows += [("why", "")] * (height - len(rows))
    made: list[Row] = [(Run(" " + padded(text, width - 1), role),) for role, text in rows]
    if made and hidden > 0:
        made[-1] = _with_more(*rows[-1], hidden, width)
    return Seen(tuple(made))


def _wants(desk: Desk, room: Room) -> int:
    """As many rows as the text takes, up to a share of the screen."""
    message = room.told.get("message", "")
    said = _wrapped([("message", message)], room.width) if message else []
    rows = len(said) + len(_wrapped(tell(desk), room.width))
    return max(LEAST, min(rows, round(room.screen_rows * MOST_SHARE)))


def _with_more(role: str, text: str, hidden: int, width: int) -> Row:
    """The last row with how many are below it; what the desk has to say is not cut for that."""
    sign = f" {hidden} more: enter "
    room = width - 1 - len(sign)
    if role == "message" and cell_len(text) > room:
        return (Run(" " + padded(text, width - 1), role),)
    return (Run(" " + padded(text, room), role), Run(sign, "more"))


def _fitting(
    told: list[tuple[str, str]], width: int, room: int
) -> tuple[list[tuple[str, str]], int]:
    """A row a sentence at least, whole ones from the top on; and how many rows are not shown."""
    blocks = [_wrapped([one], width) for one in told]
    every = sum(len(block) for block in blocks)
    spare = max(0, room - len(blocks))
    rows: list[tuple[str, str]] = []
    for block, (role, text) in zip(blocks, told, strict=True):
        if len(block) - 1 <= spare:
            rows += block
            spare -= len(block) - 1
        else:
            rows.append((role, fitted(text, width - 2)))
    return rows[: max(0, room)], max(0, every - room)


def _wrapped(told: Iterable[tuple[str, str]], width: int) -> list[tuple[str, str]]:
    return [
        (role, line)
        for role, text in told
        for line in textwrap.wrap(text, max(20, width - 2)) or [""]
    ]


def why_text(desk: Desk) -> str:
    """The same as plain text, for the window that shows it all."""
    return "\n".join(text for _, text in tell(desk))


def tell(desk: Desk) -> Told:
    match desk.choice:
        case SuggestionOf(suggestion_id):
            suggestion = desk.index.by_id.get(suggestion_id)
            if suggestion is not None:
                yield from _suggestion(desk, suggestion)
        case BeatAt(index, edge):
            yield from _beat(desk, index)
            by = "word by word" if desk.scene.beats[index].words else "by frames"
            yield "margin", f"its {edge} moves {by} when nudged; e takes the other edge"
        case Phrases(first, last):
            yield "heading", f"{last - first + 1} phrases: a tag tags each of them"
        case Words(number, first, last):
            yield from _words(desk, number, first, last)
        case Frames(first, last):
            length = last - first + 1
            seconds = desk.scene.rate.start_s(length)
            yield "heading", f"frames {first}-{last} picked: {length} frames, {seconds:.2f} s"
        case PoseAt(index):
            yield from _pose(desk, index)
        case NoteAt(index):
            note = desk.facts.notes[index]
            state = "done" if note.done else "open"
            tied = f", tied to {_words_of(desk, note.line, note.words)}" if note.words else ""
            signed = f" by {note.by}" if note.by else ""
            yield "heading", f"note{signed}, {state}, {span_shown(desk, note.frames)}{tied}"
            yield "why", note.text
        case ProblemAt(index):
            problem = desk.verdicts.problems[index]
            yield "heading", f"{problem.who}, {span_shown(desk, problem.frames)}"
            yield "why", problem.text + ("" if problem.certain else " (not certain)")
        case None:
            yield "hint", "Nothing chosen: step to a word, a beat, a suggestion; why is told here."


def _beat(desk: Desk, index: int) -> Told:
    """A beat on its frames, and its remark."""
    beat, frames = desk.scene.beats[index], desk.facts.beat_frames[index]
    at = f", {span_shown(desk, frames)}" if frames else ""
    yield "heading", f"{beat.who}: {wordings(beat)[1]}{at}"
    if beat.note:
        yield "remark", beat.note


def _suggestion(desk: Desk, s: Suggestion) -> Told:
    way = " ".join(x for x in (s.direction, f"({s.path})" if s.path else "") if x)
    on = f' on "{s.text}"' if s.text else ""
    hit = "" if s.hit is None else f", hit {shown_here(desk, s.hit)}"
    state = "; dropped" if s.id in desk.index.dropped_ids else ""
    made = decisions_on(desk, s.id)
    if made:
        state += "; you: " + ", ".join(
            f"{do} {d.by:+d}" if d.by else f"{do} {d.frames}" if d.frames else do
            for do, d in made.items()
        )
    yield (
        "heading",
        f"{s.who} {s.part}: {s.kind} {way}{on}, {span_shown(desk, s.frames)}{hit}{state}",
    )
    for label, text in (
        ("heard", s.because.sound), ("meant", s.because.intent), ("rule", s.because.rule),
    ):  # fmt: skip
        if text:
            yield "why", f"{label}: {text}"
    if s.timing_chart:
        chart = ", ".join(
            f"{shown_here(desk, m.frame)} {m.mark} {m.at:.0%}" for m in s.timing_chart
        )
        yield "why", f"drawings: {chart}"
    tail = [f"size {s.size:.2f}", f"certainty {s.certainty:.0%}"]
    if s.rides_on:
        tail.append(f"rides on {s.rides_on}")
    if s.because.source:
        tail.append(f"source: {s.because.source}")
    yield "margin", "; ".join(tail)


def _words(desk: Desk, number: int, first: int, last: int) -> Told:
    line = desk.facts.line.get(number)
    if line is None or not line.words:
        return
    words = line.words[first - 1 : last]
    text = " ".join(word.text for word in words)
    frames = (words[0].frames[0], words[-1].frames[1])
    yield "heading", f'{line.who}, line {number}: "{text}", {span_shown(desk, frames)}'
    stressed = [
        f'{"main accent" if s.main else "stress"} on "{s.text}" at {shown_here(desk, s.hit)}'
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
    yield from _ear(desk, number, first, last)
    yield from _line_plan(desk, number, frames)
    if (index := beat_of(desk)) is not None:
        yield "margin", f"meant: {wordings(desk.scene.beats[index])[0]}"


def _line_plan(desk: Desk, number: int, frames: tuple[int, int]) -> Told:
    """What the plan makes of the line: its idea and peak, and where the eyes are meanwhile."""
    line = next((p for p in desk.plan.lines if p.line == number), None)
    if line is None:
        return
    if line.idea:
        yield "why", f"the line: {line.idea}"
    for g in desk.plan.gaze:
        if g.who == line.who and g.frames[0] <= frames[1] and g.frames[1] >= frames[0]:
            yield "margin", f"eyes {span_shown(desk, g.frames)}: {g.toward}, {g.because}"


def _ear(desk: Desk, number: int, first: int, last: int) -> Told:
    """What the user hears otherwise, on these words."""
    heard = desk.scene.lines[number - 1].heard
    inside = range(first, last + 1)
    told = [f"word {n} stressed" for n in heard.stress if n in inside]
    told += [f"word {n} not stressed" for n in heard.unstress if n in inside]
    told += [f"word {n} at {a:.2f}-{b:.2f} s" for n, (a, b) in heard.words_s.items() if n in inside]
    if told:
        yield "margin", "you hear: " + ", ".join(told)


def _pose(desk: Desk, index: int) -> Told:
    pose = desk.scene.poses[index]
    poses = desk.verdicts.poses
    verdict: PoseVerdict | None = poses[index] if index < len(poses) else None
    judged = "..." if verdict is None or desk.stale else verdict.told or verdict.text()
    name = f", {pose.name}" if pose.name else ""
    at = shown_here(desk, pose.frame)
    yield "heading", f"{pose.who} {pose.part}{name}, {at}: {judged}"
    if verdict is not None and verdict.stress_frame is not None and desk.unit != "frames":
        main = "main accent" if verdict.main else "stress"
        at = shown_here(desk, verdict.stress_frame)
        yield "why", f'the {main} on "{verdict.word}" is at {at}'


def _words_of(desk: Desk, number: int | None, words: tuple[int, int]) -> str:
    """Words of a line as they are said, in quotes."""
    line = desk.facts.line.get(number or 0)
    if line is None or words[1] > len(line.words):
        return f"words {words[0]}-{words[1]} of line {number}"
    return '"' + " ".join(w.text for w in line.words[words[0] - 1 : words[1]]) + '"'


WHY = Panel("why", ("mean", "move", "mend"), draw, _wants, least=2, keep=4)
