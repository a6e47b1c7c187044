"""The writer's way in: the script, phrase by phrase, with what each phrase means. No graph.

Pure: from a Desk to rows of cells. A phrase takes two rows: its words, then its beats in words.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.desk.beat_frames import beat_frames
from planner.desk.beat_view import wordings
from planner.desk.cells import PICKED, UNDER, Canvas, Rows, fitted
from planner.desk.choosing import phrase_at, phrases
from planner.desk.more import with_more
from planner.desk.ruler_view import shown
from planner.desk.state import Desk, Words
from planner.scene import Beat

ROWS_A_PHRASE = 3  # words, meaning, a blank row
WORDS_COLUMN = 12
LEAST_MEANING = 16  # cells; in less a meaning is counted, not shown
COUNT_ROOM = 10  # cells for how many meanings have no room


@dataclass(frozen=True, slots=True)
class WordSpot:
    """Where a word stands on the panel, for the mouse: row, columns (inclusive), the word."""

    row: int
    first: int
    last: int
    line: int
    word: int


def script_view(desk: Desk, height: int, width: int) -> tuple[Rows, tuple[WordSpot, ...]]:
    """The phrases around the chosen one, and where their words stand."""
    found = phrases(desk)
    canvas = Canvas(width, height)
    if not found:
        canvas.put(1, 2, "This scene has no words. Give its lines a `say:`, or tag frames under 2.",
                   "hint")  # fmt: skip
        return canvas.rows(), ()
    per_screen = max(1, height // ROWS_A_PHRASE)
    at = phrase_at(desk, [words for _, words in found])
    top = min(max(0, at - per_screen // 2), max(0, len(found) - per_screen))
    spots: list[WordSpot] = []
    who = ""
    for place, (_, words) in enumerate(found[top : top + per_screen]):
        row = place * ROWS_A_PHRASE
        line = desk.laid.line(words.line)
        assert line is not None
        if line.who != who or place == 0:
            who = line.who
            canvas.put(row, 1, who[: WORDS_COLUMN - 2], "gutter name")
        spots += _draw_words(canvas, desk, row, words)
        _draw_meaning(canvas, desk, row + 1, words, width)
        frame = line.words[words.first - 1].frames[0]
        canvas.put(row + 1, 1, shown(frame, desk.unit, desk.scene.clock)[: WORDS_COLUMN - 2],
                   "gutter")  # fmt: skip
        if place + top == at:
            canvas.put(row, WORDS_COLUMN - 2, "›", "gutter on")
    below = len(found) - top - per_screen
    return with_more(canvas.rows(), top, below), tuple(spots)


def _draw_words(canvas: Canvas, desk: Desk, row: int, words: Words) -> list[WordSpot]:
    line = desk.laid.line(words.line)
    assert line is not None
    strong = {s.word: s.main for s in line.syllables if s.degree == "strong"}
    column = WORDS_COLUMN
    spots = []
    choice = desk.choice if isinstance(desk.choice, Words) else None
    for word in line.words[words.first - 1 : words.last]:
        role = "said"
        if word.number in strong:
            role = "main" if strong[word.number] else "strong"
        canvas.put(row, column, word.text, role)
        end = column + len(word.text) - 1
        spots.append(WordSpot(row, column, end, words.line, word.number))
        if choice and choice.line == words.line and choice.first <= word.number <= choice.last:
            canvas.mark(row, column, end + (word.number < choice.last), PICKED)
        column = end + 2
    if column - 2 >= canvas.width:
        canvas.put(row, canvas.width - 1, "…", "hint")
    return spots


def _draw_meaning(canvas: Canvas, desk: Desk, row: int, words: Words, width: int) -> None:
    meanings = _beats_on(desk, words)
    column = WORDS_COLUMN
    if not meanings:
        canvas.put(row, column, "no meaning yet", "hint")
        return
    last_row = row + ROWS_A_PHRASE - 2
    for place, beat in enumerate(meanings):
        text = wordings(beat)[0]
        if len(meanings) > 1 or not _covers(beat, words):
            text = f"{_words_of(desk, beat)} = {text}"
        if column > WORDS_COLUMN and column + len(text) > width and row < last_row:
            row, column = row + 1, WORDS_COLUMN
        left = len(meanings) - place
        room = width - column - 1 - (COUNT_ROOM if left > 1 else 0)
        if column > WORDS_COLUMN and room < min(len(text), LEAST_MEANING):
            canvas.put(row, min(column, width - COUNT_ROOM), f" +{left} more ", "more")
            return
        chosen = isinstance(desk.choice, Words) and _holds(beat, desk.choice)
        text = fitted(text, max(room, LEAST_MEANING))
        canvas.put(row, column, text, "beat on" if chosen else "beat", UNDER)
        column += len(text) + 2


def _beats_on(desk: Desk, words: Words) -> list[Beat]:
    """The beats that have a frame in a phrase."""
    line = desk.laid.line(words.line)
    assert line is not None
    first = line.words[words.first - 1].frames[0]
    last = line.words[words.last - 1].frames[1]
    found = []
    for beat in desk.scene.beats:
        if beat.who != line.who:
            continue
        if beat.words is not None:
            inside = beat.line == words.line and not (
                beat.words[1] < words.first or beat.words[0] > words.last
            )
        else:
            frames = beat_frames(desk.laid, beat)
            inside = frames is not None and frames[0] <= last and frames[1] >= first
        if inside:
            found.append(beat)
    return found


def _covers(beat: Beat, words: Words) -> bool:
    return beat.words == (words.first, words.last)


def _holds(beat: Beat, choice: Words) -> bool:
    return (
        beat.line == choice.line and beat.words is not None
        and beat.words[0] <= choice.first and choice.last <= beat.words[1]
    )  # fmt: skip


def _words_of(desk: Desk, beat: Beat) -> str:
    line = desk.laid.line(beat.line or 0)
    if beat.words is None or line is None:
        assert beat.frames is not None
        return f"{beat.frames[0]}-{beat.frames[1]}"
    texts = [w.text for w in line.words[beat.words[0] - 1 : beat.words[1]]]
    return " ".join(texts) if len(texts) < 3 else f"{texts[0]} … {texts[-1]}"
