"""What the keys act on: words, phrases, a beat, a suggestion, a pose, a note, a problem. Pure.

`step_choice` goes through what the panel with the keys holds, `step_row` up and down in it;
`nearest` is what a panel chooses when it gets the keys. What is chosen belongs to that panel.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from planner.desk.choices import (
    BeatAt,
    Choice,
    Frames,
    NoteAt,
    Phrases,
    PoseAt,
    ProblemAt,
    SuggestionOf,
    Words,
)
from planner.desk.cursor import attend, go_to
from planner.desk.plan_index import PlanRow, hit_of
from planner.desk.state import Desk, Top, say

NO_WORDS = "this scene has no words; pick frames instead"
# The panels that hold words, beats and so on; the first that is shown in a way is meant.
HOLDS: dict[type, tuple[str, ...]] = {
    Words: ("words", "script"), Phrases: ("script",), Frames: ("words", "beats"),
    BeatAt: ("beats", "script"), SuggestionOf: ("plan",), PoseAt: ("poses",),
    NoteAt: ("notes",), ProblemAt: ("problems",),
}  # fmt: skip


def choose(desk: Desk, choice: Choice | None) -> Desk:
    """Choose something, and put the cursor on it."""
    desk = replace(desk, choice=choice, said="", tops=_following(desk))
    frame = frame_of(desk, choice)
    return desk if frame is None else go_to(desk, frame)


def _following(desk: Desk) -> dict[str, Top]:
    """Lists follow what is chosen again, however far the wheel had turned them."""
    return {name: replace(top, followed=None) for name, top in desk.tops.items()}


def frame_of(desk: Desk, choice: Choice | None) -> int | None:
    """The frame of what is chosen, if it has one."""
    match choice:
        case BeatAt(index, edge):
            frames = desk.facts.beat_frames[index]
            return None if frames is None else frames[0 if edge == "start" else 1]
        case SuggestionOf(suggestion_id):
            return hit_of(desk.index.by_id[suggestion_id])
    span = frames_of(desk, choice)
    return None if span is None else span[0]


def frames_of(desk: Desk, choice: Choice | None) -> tuple[int, int] | None:
    """First and last frame of what is chosen."""
    facts = desk.facts
    match choice:
        case Words(line, first, last) if line in facts.line:
            words = facts.line[line].words
            return words[first - 1].frames[0], words[last - 1].frames[1]
        case Phrases(first, last):
            return facts.phrases[first].frames[0], facts.phrases[last].frames[1]
        case Frames(first, last):
            return first, last
        case BeatAt(index):
            return facts.beat_frames[index]
        case SuggestionOf(suggestion_id):
            return desk.index.by_id[suggestion_id].frames
        case PoseAt(index):
            return (desk.scene.poses[index].frame,) * 2
        case NoteAt(index):
            return facts.notes[index].frames
        case ProblemAt(index):
            return desk.verdicts.problems[index].frames
    return None


def is_in_sight(desk: Desk, choice: Choice) -> bool:
    """True if some of it lies in the window, or the way in shows no window of frames."""
    if desk.way == "mean" or isinstance(choice, ProblemAt):
        return True
    span = frames_of(desk, choice)
    return span is None or (span[0] <= desk.window.last and span[1] >= desk.window.first)


def all_in(desk: Desk) -> list[Choice]:
    """All that a list panel holds."""
    match desk.panel:
        case "beats":
            places = (i for i, f in enumerate(desk.facts.beat_frames) if f is not None)
            return [BeatAt(i) for i in places]
        case "poses":
            return [PoseAt(i) for i in range(len(desk.scene.poses))]
        case "notes":
            return [NoteAt(i) for i in range(len(desk.scene.notes))]
        case "problems":
            return [ProblemAt(i) for i in range(len(desk.verdicts.problems))]
    return []


def nearest_word(desk: Desk) -> Words | None:
    """The word nearest to the cursor."""
    words = desk.facts.words
    if not words:
        return None
    line, word = min(words, key=lambda w: max(w[1].frames[0] - desk.cursor,
                                              desk.cursor - w[1].frames[1]))  # fmt: skip
    return Words(line, word.number, word.number)


# stepping


def step_choice(desk: Desk, by: int) -> Desk:
    """The next (1) or previous (-1) thing of the panel that has the keys."""
    if desk.panel in ("script", "words"):
        return step_word(desk, by)
    if desk.panel == "plan":
        row = current_row(desk)
        if row is None:
            return say(desk, "no suggestions to step through")
        rows = desk.index.part(row, dropped=desk.show_dropped)
        return step_among(desk, [SuggestionOf(s.id) for r in rows for s in r.suggestions], by)
    return step_among(desk, all_in(desk), by)


def step_among(desk: Desk, things: Sequence[Choice], by: int) -> Desk:
    """The thing after the chosen one by frame; from nothing chosen, the nearest to the cursor."""
    placed = sorted(
        (frame, order) for order, thing in enumerate(things)
        if (frame := frame_of(desk, thing)) is not None
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
    at = min(placed, key=lambda entry: abs(entry[0] - desk.cursor))
    return choose(desk, things[at[1]])


def _same(thing: Choice, choice: Choice | None) -> bool:
    if isinstance(thing, BeatAt) and isinstance(choice, BeatAt):
        return thing.index == choice.index
    return thing == choice


def step_problem(desk: Desk, by: int) -> Desk:
    """The next (1) or previous (-1) problem; the keys go to the list of problems."""
    problems = desk.verdicts.problems
    if not problems:
        return say(desk, "no problems found")
    return step_among(attend(desk, "problems"), [ProblemAt(i) for i in range(len(problems))], by)


def step_word(desk: Desk, by: int) -> Desk:
    """The next (1) or previous (-1) word; from elsewhere, the word nearest to the cursor."""
    words = desk.facts.words
    if not words:
        return say(desk, NO_WORDS)
    choice = desk.choice
    if isinstance(choice, Phrases):
        phrase = desk.facts.phrases[choice.last if by > 0 else choice.first]
        choice = Words(phrase.line, phrase.first, phrase.last)
    if not isinstance(choice, Words):
        near = nearest_word(desk)
        return choose(desk, near)
    if is_whole_phrase(desk, choice):  # from a phrase into it
        number = choice.first if by > 0 else choice.last
        return choose(desk, Words(choice.line, number, number))
    at = desk.facts.word_place[choice.line, choice.last if by > 0 else choice.first] + by
    if not 0 <= at < len(words):
        return say(desk, "that was the last word" if by > 0 else "that was the first word")
    line, word = words[at]
    return choose(desk, Words(line, word.number, word.number))


def is_whole_phrase(desk: Desk, words: Words) -> bool:
    """True if these are all the words of a phrase of several."""
    place = desk.facts.phrase_of.get((words.line, words.first))
    if place is None or words.first == words.last:
        return False
    phrase = desk.facts.phrases[place]
    return (phrase.first, phrase.last) == (words.first, words.last)


def grow_words(desk: Desk, by: int) -> Desk:
    """Pick a word more at the end (1), or one less; within the line."""
    choice = desk.choice
    if not isinstance(choice, Words):
        return step_word(desk, by)
    line = desk.facts.line.get(choice.line)
    last = choice.last + by
    if line is None or not choice.first <= last <= len(line.words):
        return say(desk, "the line ends here" if by > 0 else "at least one word stays picked")
    return replace(desk, choice=replace(choice, last=last), said="")


def grow_phrases(desk: Desk, by: int) -> Desk:
    """Pick a phrase more (1) downward, or one less; one before (-1) where none is left to take."""
    at = phrase_at(desk)
    if at is None:
        return say(desk, NO_WORDS)
    choice = desk.choice
    if not isinstance(choice, Phrases):
        choice = Phrases(at, at, at)
    moving = choice.last if choice.anchor == choice.first else choice.first
    to = moving + by
    if not 0 <= to < len(desk.facts.phrases):
        return say(desk, "that was the last phrase" if by > 0 else "that was the first phrase")
    first, last = min(choice.anchor, to), max(choice.anchor, to)
    picked = replace(desk, choice=Phrases(first, last, choice.anchor), tops=_following(desk))
    frame = desk.facts.phrases[to].frames[0]
    count = last - first + 1
    return say(go_to(picked, frame), f"{count} phrase{'s' * (count > 1)} picked")


# rows


def step_row(desk: Desk, by: int) -> Desk:
    """A row down (1) or up (-1): another part's plan, another phrase, or just the next thing."""
    match desk.panel:
        case "plan":
            return _step_plan_row(desk, by)
        case "script":
            return _step_item(desk, by)
        case "words":
            return _step_phrase(desk, by)
    return step_choice(desk, by)


def plan_rows(desk: Desk) -> tuple[PlanRow, ...]:
    """The rows of the plan that are shown."""
    return desk.index.rows(who=desk.who, dropped=desk.show_dropped)


def current_row(desk: Desk) -> PlanRow | None:
    """The row of the chosen suggestion, or the first one."""
    rows = plan_rows(desk)
    if isinstance(desk.choice, SuggestionOf):
        place = desk.index.row_of(desk.choice.id, dropped=desk.show_dropped)
        if place is not None and desk.who in (None, place.who):
            return place
    return rows[0] if rows else None


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


def phrase_at(desk: Desk) -> int | None:
    """The place of the phrase that holds the chosen words, or is nearest to the cursor."""
    choice = desk.choice
    if isinstance(choice, Words):
        return desk.facts.phrase_of.get((choice.line, choice.last))
    if isinstance(choice, Phrases):
        return choice.last if choice.anchor == choice.first else choice.first
    spans = desk.facts.phrases
    if not spans:
        return None
    return min(range(len(spans)), key=lambda i: max(spans[i].frames[0] - desk.cursor,
                                                    desk.cursor - spans[i].frames[1]))  # fmt: skip


def _step_phrase(desk: Desk, by: int) -> Desk:
    at = phrase_at(desk)
    if at is None:
        return say(desk, NO_WORDS)
    place = at + by if isinstance(desk.choice, Words | Phrases) else at
    if not 0 <= place < len(desk.facts.phrases):
        return say(desk, "that was the last phrase" if by > 0 else "that was the first phrase")
    return choose(desk, words_of_phrase(desk, place))


def words_of_phrase(desk: Desk, place: int) -> Words:
    """A phrase's words."""
    phrase = desk.facts.phrases[place]
    return Words(phrase.line, phrase.first, phrase.last)


def script_items(desk: Desk) -> list[Choice]:
    """Phrases and wordless beats, from top to bottom."""
    return [
        words_of_phrase(desk, place) if kind == "phrase" else BeatAt(place)
        for kind, place in desk.facts.script
    ]


def script_place(desk: Desk) -> int:
    """The place of what is chosen in the script, or of what is nearest to the cursor."""
    at = ("beat", desk.choice.index) if isinstance(desk.choice, BeatAt) else None
    if at not in desk.facts.script:
        at = ("phrase", phrase_at(desk) or 0)
    return desk.facts.script.index(at) if at in desk.facts.script else 0


def _step_item(desk: Desk, by: int) -> Desk:
    items = desk.facts.script
    if not items:
        return say(desk, NO_WORDS)
    place = script_place(desk) + (by if desk.choice is not None else 0)
    if not 0 <= place < len(items):
        return say(desk, "that was the last phrase" if by > 0 else "that was the first phrase")
    kind, index = items[place]
    return choose(desk, words_of_phrase(desk, index) if kind == "phrase" else BeatAt(index))


def let_go_of(desk: Desk) -> Desk:
    """Nothing chosen, nothing said."""
    return replace(desk, choice=None, said="")


def stretch_words(desk: Desk, line: int, number: int) -> Desk:
    """Words from where a drag began to where it is, within the line."""
    choice = desk.choice
    if not isinstance(choice, Words) or line != choice.line:
        return desk
    if number < choice.first:
        return replace(desk, choice=replace(choice, first=number))
    return replace(desk, choice=replace(choice, last=number))


def chosen(desk: Desk, choice: Choice) -> Desk:
    """Something chosen, the cursor where it is, nothing held by the mouse."""
    return replace(desk, choice=choice, said="", grip=None, tops=_following(desk))
