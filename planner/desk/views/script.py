"""The writer's way in: the script as one reads it, with what each phrase means. No graph.

Pure. A phrase has its words with their punctuation, tinted by intent, deeper the stronger; under
them the beats in words. A beat without words is a stage direction. Remarks, cues and notes stand
whole in a margin at the right, or where there is no room for one, below the phrase.
"""

from __future__ import annotations

import textwrap
from dataclasses import dataclass, replace

from planner.desk.choice import choose, script_place, stretch_words, words_of_phrase
from planner.desk.choices import BeatAt, Choice, Phrases, Words
from planner.desk.state import Desk, Top
from planner.desk.units import shown_here
from planner.desk.views.as_written import as_written
from planner.desk.views.beats import tint
from planner.desk.views.cells import PICKED, SAID, Canvas, fitted
from planner.desk.views.more import with_more
from planner.desk.views.notes import note_text
from planner.desk.views.panel import Panel, Room, Seen, Spot

WORDS_COLUMN = 12
MARGIN_FROM_COLUMNS = 90  # narrower, remarks stand below their phrase
MARGIN_SHARE = 0.36
NO_WORDS = "This scene has no words. Give its lines a say:, or tag frames in Move (m)."


@dataclass(frozen=True, slots=True)
class WordSpot:
    """Where a word stands on the panel, for the mouse: row, columns (inclusive), what it is."""

    row: int
    first: int
    last: int
    means: Words | BeatAt


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of text of an item: its row within it, its column, and how it is shown."""

    row: int
    column: int
    text: str
    role: str
    marks: int = 0
    means: Words | BeatAt | None = None


@dataclass(frozen=True, slots=True)
class Item:
    """A phrase or a stage direction, set in rows."""

    pieces: tuple[Piece, ...]
    height: int


def draw(desk: Desk, room: Room) -> Seen:
    """The script from where it is scrolled to; the chosen phrase is in sight."""
    entries = desk.facts.script
    canvas = Canvas(room.width, room.height)
    if not entries:
        canvas.put(1, 2, NO_WORDS, "hint")
        return Seen(canvas.rows())
    at = script_place(desk)
    top = _top(desk, room, at)
    spots: list[WordSpot] = []
    row, place = 0, top.row
    while place < len(entries) and row < room.height:
        item = _item(desk, place, room.width)
        if row and row + item.height > room.height:
            break
        for piece in item.pieces:
            canvas.put(row + piece.row, piece.column, piece.text, piece.role, piece.marks)
            if piece.means is not None:
                last = piece.column + len(piece.text) - 1
                spots.append(WordSpot(row + piece.row, piece.column, last, piece.means))
        if place == at:
            canvas.put(row, WORDS_COLUMN - 2, "›", "gutter on")
        row += item.height + _gap(desk, place)
        place += 1
    return Seen(with_more(canvas.rows(), top.row, len(entries) - place), top, tuple(spots))


def _top(desk: Desk, room: Room, at: int) -> Top:
    """The first item shown: as it was, but so that the chosen one is seen whole."""
    before = desk.tops.get("script", Top())
    top = Top(min(before.row, len(desk.facts.script) - 1), _key(desk))
    if before.followed == top.followed:  # as the wheel has turned it
        return top
    top = replace(top, row=min(top.row, at))
    rows, first = 0, at
    while first > top.row:
        rows += _item(desk, first, room.width).height + _gap(desk, first - 1)
        if rows + _item(desk, first - 1, room.width).height > room.height:
            return replace(top, row=first)
        first -= 1
    return top


def _key(desk: Desk) -> object:
    return desk.choice if desk.choice is not None else "none"


def _gap(desk: Desk, place: int) -> int:
    """A blank row between lines; the phrases of a line stand together where they are short."""
    entries = desk.facts.script
    if place + 1 >= len(entries):
        return 0
    (kind, one), (next_kind, other) = entries[place], entries[place + 1]
    if kind == next_kind == "phrase":
        same = desk.facts.phrases[one].line == desk.facts.phrases[other].line
        return 0 if same else 1
    return 1


def _item(desk: Desk, place: int, width: int) -> Item:
    kind, index = desk.facts.script[place]
    if kind == "beat":
        return _direction(desk, index, width)
    return _phrase(desk, place, words_of_phrase(desk, index), width)


def _text_width(width: int) -> int:
    """Cells for words; what is left of the rest is the margin."""
    if width < MARGIN_FROM_COLUMNS:
        return width - WORDS_COLUMN - 1
    return round((width - WORDS_COLUMN) * (1 - MARGIN_SHARE)) - 2


def _margin(width: int, texts: list[tuple[str, str]], below: int) -> tuple[list[Piece], int]:
    """Remarks set at the right of a phrase, or below it; and how many rows they reach down to."""
    pieces: list[Piece] = []
    if width < MARGIN_FROM_COLUMNS:
        column, room, row = WORDS_COLUMN + 2, width - WORDS_COLUMN - 3, below
    else:
        column = WORDS_COLUMN + _text_width(width) + 2
        room, row = width - column - 1, 0
    for text, role in texts:
        for line in textwrap.wrap(text, max(12, room)):
            pieces.append(Piece(row, column, line, role))
            row += 1
    return pieces, row


def _phrase(desk: Desk, place: int, words: Words, width: int) -> Item:
    line = desk.facts.line[words.line]
    pieces = [Piece(0, 1, fitted(_name(desk, place, line.who), WORDS_COLUMN - 3), "gutter name")]
    beats = list(desk.facts.beats_of_phrase[desk.facts.script[place][1]])
    said, rows = _set_words(desk, words, beats, width)
    meaning, rows = _meaning(desk, words, beats, rows, width)
    frame = line.words[words.first - 1].frames[0]
    pieces.append(Piece(1, 1, fitted(shown_here(desk, frame), WORDS_COLUMN - 3), "gutter"))
    margin, reach = _margin(width, _beside(desk, words, beats), rows)
    return Item((*pieces, *said, *meaning, *margin), max(rows, reach))


def _name(desk: Desk, place: int, who: str) -> str:
    """Who speaks, where that changes."""
    if place == 0:
        return who
    kind, index = desk.facts.script[place - 1]
    before = (
        desk.scene.beats[index].who
        if kind == "beat"
        else (desk.facts.line[desk.facts.phrases[index].line].who)
    )
    return "" if kind == "phrase" and before == who else who


def _set_words(desk: Desk, words: Words, beats: list[int], width: int) -> tuple[list[Piece], int]:
    """The words with their punctuation, broken into rows."""
    line = desk.facts.line[words.line]
    written = as_written(desk.scene.lines[words.line - 1].say or "", [w.text for w in line.words])
    roles = _tints(desk, words, beats)
    strong = {s.word for s in line.syllables if s.degree == "strong"}
    row, column, most = 0, WORDS_COLUMN, WORDS_COLUMN + _text_width(width)
    pieces = []
    for number in range(words.first, words.last + 1):
        text, word = written[number - 1], line.words[number - 1]
        if column + len(text) > most and column > WORDS_COLUMN:
            row, column = row + 1, WORDS_COLUMN
        marks = SAID if word.frames[0] <= desk.cursor <= word.frames[1] else 0
        if _is_picked(desk, words.line, number):
            marks |= PICKED
        role = roles.get(number, "untagged")
        means = Words(words.line, number, number)
        pieces.append(Piece(row, column, text, role, marks, means))
        if number in strong and role == "untagged":
            pieces[-1] = replace(pieces[-1], role="said light")
        column += len(text) + 1
    return pieces, row + 1


def _tints(desk: Desk, words: Words, beats: list[int]) -> dict[int, str]:
    """The tint of each tagged word."""
    line = desk.facts.line[words.line]
    found: dict[int, str] = {}
    for index in beats:
        beat, frames = desk.scene.beats[index], desk.facts.beat_frames[index]
        for word in line.words[words.first - 1 : words.last]:
            if beat.words is not None:
                inside = beat.words[0] <= word.number <= beat.words[1]
            else:
                inside = frames is not None and frames[0] <= word.frames[0] <= frames[1]
            if inside:
                found.setdefault(word.number, tint(desk, beat))
    return found


def _is_picked(desk: Desk, line: int, number: int) -> bool:
    choice = desk.choice
    if isinstance(choice, Phrases):
        place = desk.facts.phrase_of.get((line, number), -1)
        return choice.first <= place <= choice.last
    return (
        isinstance(choice, Words) and choice.line == line and choice.first <= number <= choice.last
    )


def _meaning(
    desk: Desk, words: Words, beats: list[int], row: int, width: int
) -> tuple[list[Piece], int]:
    """The beats of a phrase in words, each on what it covers, as many rows as they take."""
    if not beats:
        return [Piece(row, WORDS_COLUMN, "no meaning yet", "hint")], row + 1
    column, most = WORDS_COLUMN, WORDS_COLUMN + _text_width(width)
    pieces = []
    for index in beats:
        beat = desk.scene.beats[index]
        text = f"{beat.intent} {beat.strength:g}" + (f" → {beat.toward}" if beat.toward else "")
        if _goes_on(desk, index, words):
            text = f"{beat.intent} goes on"
        elif beat.words != (words.first, words.last) and (len(beats) > 1 or beat.words):
            text = f"{_words_of(desk, index)}: {text}"
        text = fitted(text, most - WORDS_COLUMN)
        if column > WORDS_COLUMN and column + len(text) > most:
            row, column = row + 1, WORDS_COLUMN
        pieces.append(Piece(row, column, text, tint(desk, beat)))
        column += len(text) + 3
    return pieces, row + 1


def _goes_on(desk: Desk, index: int, words: Words) -> bool:
    """True if a beat began on a phrase before this one."""
    beat, frames = desk.scene.beats[index], desk.facts.beat_frames[index]
    if beat.words is not None:
        return beat.words[0] < words.first
    first = desk.facts.line[words.line].words[words.first - 1].frames[0]
    return frames is not None and frames[0] < first and words.first > 1


def _words_of(desk: Desk, index: int) -> str:
    """What a beat covers: its words, shortened, or its frames."""
    beat = desk.scene.beats[index]
    line = desk.facts.line.get(beat.line or 0)
    if beat.words is None or line is None:
        frames = desk.facts.beat_frames[index] or (0, 0)
        return f"{frames[0]}-{frames[1]}"
    texts = [w.text for w in line.words[beat.words[0] - 1 : beat.words[1]]]
    return " ".join(texts) if len(texts) < 3 else f"{texts[0]} ... {texts[-1]}"


def _beside(desk: Desk, words: Words, beats: list[int]) -> list[tuple[str, str]]:
    """Remarks, cues and notes of a phrase, each with its role, whole."""
    scene = desk.scene
    texts = [
        (scene.beats[i].note, "remark")
        for i in beats
        if scene.beats[i].note and not _goes_on(desk, i, words)
    ]
    for cue in scene.cues:
        if cue.line == words.line and words.first <= cue.word <= words.last:
            text = desk.facts.line[words.line].words[cue.word - 1].text
            texts.append((f'{cue.who} hears "{text}": {cue.intent}', "margin"))
    frames = desk.facts.phrases[desk.facts.phrase_of[words.line, words.first]].frames
    for note in desk.facts.notes:
        own = note.line == words.line and note.words and note.words[0] <= words.last and (
            note.words[1] >= words.first)  # fmt: skip
        loose = note.line is None and frames[0] <= note.frames[0] <= frames[1]
        if own or loose:
            texts.append((note_text(note), "note done" if note.done else "note"))
    return texts


def _direction(desk: Desk, index: int, width: int) -> Item:
    """A beat without words, as a stage direction."""
    beat, frames = desk.scene.beats[index], desk.facts.beat_frames[index]
    assert frames is not None
    picked = PICKED if isinstance(desk.choice, BeatAt) and desk.choice.index == index else 0
    head = f"({beat.intent} {beat.strength:g}" + (f" → {beat.toward}" if beat.toward else "")
    text = f"{head}, {frames[1] - frames[0] + 1} frames without a word)"
    pieces = [
        Piece(0, 1, fitted(beat.who, WORDS_COLUMN - 3), "gutter name"),
        Piece(0, WORDS_COLUMN, fitted(text, _text_width(width)), tint(desk, beat), picked,
              BeatAt(index)),
    ]  # fmt: skip
    margin, reach = _margin(width, [(beat.note, "remark")] if beat.note else [], 1)
    return Item((*pieces, *margin), max(1, reach))


def press(desk: Desk, seen: Seen, spot: Spot) -> Desk:
    """A press chooses a word or a stage direction; a drag picks words within the line."""
    for at in seen.spots:
        if at.row == spot.row and at.first <= spot.column <= at.last + 1:
            return _pressed(desk, at.means, spot.drag)
    return desk


def _pressed(desk: Desk, means: Choice, drag: int) -> Desk:
    if drag == 0:
        there = choose(desk, means)
        return replace(there, tops=desk.tops)
    return stretch_words(desk, means.line, means.last) if isinstance(means, Words) else desk


def _wants(desk: Desk, room: Room) -> int:
    return room.height


SCRIPT = Panel("script", ("mean",), draw, _wants, press, keys=True, least=3, keep=1, fills=True)
