"""What the keys act on: words, a beat, a suggestion, a pose, a note, a problem. Pure functions.

`step_choice` goes through what the panel with the keys holds; `step_row` goes up and down in it.
"""

from __future__ import annotations

from dataclasses import replace

from planner.desk.beat_frames import beat_frames
from planner.desk.moving import go_to
from planner.desk.plan_index import PlanRow, hit_of
from planner.desk.state import (
    BeatAt,
    Choice,
    Desk,
    Frames,
    NoteAt,
    PoseAt,
    ProblemAt,
    SuggestionOf,
    Words,
    say,
)  # fmt: skip
from planner.lead.notes import placed_notes
from planner.scene import Note
from planner.shot.laid import LaidWord


def choose(desk: Desk, choice: Choice | None) -> Desk:
    """Choose something, and put the cursor on it."""
    desk = replace(desk, choice=choice, said="")
    frame = frame_of(desk, choice)
    return desk if frame is None else go_to(desk, frame)


def frame_of(desk: Desk, choice: Choice | None) -> int | None:
    """The frame of what is chosen, if it has one."""
    match choice:
        case Words(line, first, _):
            laid = desk.laid.line(line)
            return laid.words[first - 1].frames[0] if laid and laid.words else None
        case Frames(first, _, _):
            return first
        case BeatAt(index, edge):
            frames = beat_frames(desk.laid, desk.scene.beats[index])
            return None if frames is None else frames[0 if edge == "start" else 1]
        case SuggestionOf(suggestion_id):
            return hit_of(desk.index.by_id[suggestion_id])
        case PoseAt(index):
            return desk.scene.poses[index].frame
        case NoteAt(index):
            return notes_now(desk)[index].frames[0]
        case ProblemAt(index):
            return desk.verdicts.problems[index].frames[0]
    return None


def notes_now(desk: Desk) -> tuple[Note, ...]:
    """The notes on their present frames: those tied to words stand where the words are."""
    return placed_notes(desk.shot.changed(desk.scene))


def step_choice(desk: Desk, by: int) -> Desk:
    """The next (1) or previous (-1) thing of the panel that has the keys."""
    match desk.panel:
        case "script" | "words":
            return _step_word(desk, by)
        case "plan":
            row = current_row(desk)
            if row is None:
                return say(desk, "no suggestions to step through")
            rows = desk.index.part(row, dropped=desk.show_dropped)
            return _step_among(desk, [SuggestionOf(s.id) for r in rows for s in r.suggestions], by)
        case "beats":
            return _step_among(desk, [BeatAt(i) for i in range(len(desk.scene.beats))], by)
        case "poses":
            return _step_among(desk, [PoseAt(i) for i in range(len(desk.scene.poses))], by)
        case "notes":
            return _step_among(desk, [NoteAt(i) for i in range(len(desk.scene.notes))], by)
        case "problems":
            return step_problem(desk, by)


def _step_among(desk: Desk, things: list[Choice], by: int) -> Desk:
    """The thing after the chosen one by frame; from nothing chosen, the nearest to the cursor."""
    placed = sorted(
        ((frame, order) for order, thing in enumerate(things)
         if (frame := frame_of(desk, thing)) is not None)
    )  # fmt: skip
    if not placed:
        return say(desk, "nothing here yet")
    orders = [order for _, order in placed]
    same = [i for i, thing in enumerate(things) if _same(thing, desk.choice)]
    if same and same[0] in orders:
        place = orders.index(same[0]) + by
        if not 0 <= place < len(orders):
            return say(desk, "that was the last" if by > 0 else "that was the first")
        return choose(desk, things[orders[place]])
    nearest = min(placed, key=lambda entry: abs(entry[0] - desk.cursor))
    return choose(desk, things[nearest[1]])


def _same(thing: Choice, choice: Choice | None) -> bool:
    if isinstance(thing, BeatAt) and isinstance(choice, BeatAt):
        return thing.index == choice.index
    return thing == choice


def step_problem(desk: Desk, by: int) -> Desk:
    """The next (1) or previous (-1) problem."""
    problems = desk.verdicts.problems
    if not problems:
        return say(desk, "no problems found")
    return _step_among(desk, [ProblemAt(i) for i in range(len(problems))], by)


def all_words(desk: Desk) -> list[tuple[int, LaidWord]]:
    """Every word with its line's number, in order of frames."""
    return [(line.number, word) for line in desk.laid.lines for word in line.words]


def _step_word(desk: Desk, by: int) -> Desk:
    words = all_words(desk)
    if not words:
        return say(desk, "this scene has no words; pick frames instead")
    choice = desk.choice
    if isinstance(choice, Words):
        number = choice.last if by > 0 else choice.first
        at = [(line, word.number) for line, word in words].index((choice.line, number)) + by
    else:
        at = min(range(len(words)), key=lambda i: abs(words[i][1].frames[0] - desk.cursor))
    line, word = words[min(max(at, 0), len(words) - 1)]
    return choose(desk, Words(line, word.number, word.number))


def grow_words(desk: Desk, by: int) -> Desk:
    """Pick a word more at the end (1), or one less; within the line."""
    if not isinstance(desk.choice, Words):
        return _step_word(desk, by)
    line = desk.laid.line(desk.choice.line)
    last = desk.choice.last + by
    if line is None or not desk.choice.first <= last <= len(line.words):
        return say(desk, "the line ends here" if by > 0 else "at least one word stays picked")
    return replace(desk, choice=replace(desk.choice, last=last), said="")


def plan_rows(desk: Desk) -> tuple[PlanRow, ...]:
    """The rows of the plan that are shown."""
    return desk.index.rows(who=desk.who, dropped=desk.show_dropped)


def current_row(desk: Desk) -> PlanRow | None:
    """The row of the chosen suggestion, or the first one."""
    rows = plan_rows(desk)
    if isinstance(desk.choice, SuggestionOf):
        chosen = desk.index.by_id.get(desk.choice.id)
        for row in rows:
            if chosen in row.suggestions:
                return row
    return rows[0] if rows else None


def step_row(desk: Desk, by: int) -> Desk:
    """A row down (1) or up (-1): another part's plan, another phrase, or just the next thing."""
    match desk.panel:
        case "plan":
            return _step_plan_row(desk, by)
        case "script" | "words":
            return _step_phrase(desk, by)
    return step_choice(desk, by)


def _step_plan_row(desk: Desk, by: int) -> Desk:
    rows = plan_rows(desk)
    row = current_row(desk)
    if row is None:
        return say(desk, "no suggestions yet: tag some words first")
    if not isinstance(desk.choice, SuggestionOf):
        return choose(desk, SuggestionOf(row.nearest(desk.cursor).id))
    place = rows.index(row) + by
    while 0 <= place < len(rows):
        if rows[place] in _near_rows(desk, rows[place]):
            return choose(desk, SuggestionOf(rows[place].nearest(desk.cursor).id))
        place += by
    return say(desk, "that was the last row" if by > 0 else "that was the first row")


def _near_rows(desk: Desk, row: PlanRow) -> list[PlanRow]:
    """The rows of a part that hold something within a second of the cursor, or the nearest one."""
    rows = desk.index.part(row, dropped=desk.show_dropped)
    away = [abs(hit_of(r.nearest(desk.cursor)) - desk.cursor) for r in rows]
    second = desk.scene.rate.nominal
    near = [r for r, frames in zip(rows, away, strict=True) if frames <= second]
    return near or [rows[away.index(min(away))]]


def phrases(desk: Desk) -> list[tuple[int, Words]]:
    """Every phrase that has words: its number in its line, and the words, in order of frames."""
    return [
        (phrase.number, Words(line.number, *phrase.words))
        for line in desk.laid.lines
        for phrase in line.phrases
        if phrase.words is not None
    ]


def _step_phrase(desk: Desk, by: int) -> Desk:
    found = [words for _, words in phrases(desk)]
    if not found:
        return say(desk, "this scene has no words; pick frames instead")
    at = phrase_at(desk, found)
    place = at + by if isinstance(desk.choice, Words) else at
    if not 0 <= place < len(found):
        return say(desk, "that was the last phrase" if by > 0 else "that was the first phrase")
    return choose(desk, found[place])


def phrase_at(desk: Desk, found: list[Words]) -> int:
    """The place of the phrase that holds the chosen words, or is nearest to the cursor."""
    choice = desk.choice
    if isinstance(choice, Words):
        for place, words in enumerate(found):
            if words.line == choice.line and words.first <= choice.last <= words.last:
                return place
    starts = [frame_of(desk, words) or 0 for words in found]
    return min(range(len(found)), key=lambda i: abs(starts[i] - desk.cursor))
