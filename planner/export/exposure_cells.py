"""What stands where on an exposure sheet, whatever it is drawn with: columns, rows, cells. Pure.

Frames are the scene's own, inclusive; widths and heights in millimetres of paper.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from planner.export.exposure import Sheet, Span
from planner.export.facts import ShotFacts
from planner.frames import FRAMES_PER_FOOT

PAPERS = ("A4", "Letter")
PORTRAIT_MM = {"A4": 247.0, "Letter": 229.0}  # room for rows, head and key taken off
ACROSS_MM = {"A4": 159.0, "Letter": 164.0}
ROW_MIN_MM = 2.05  # the smallest type that can be read on paper, a line a row
ROW_WRITTEN_MM = 4.5  # room to write by hand in
SECONDS_A_SHEET = 4  # common practice: a hundred rows or so
ROW_MAX_MM = 6.0
# Widths in mm; a column shrinks with the others where they do not fit the paper.
WIDTHS = {
    "frame": 10.5, "time": 12.5, "timecode": 22.0, "held": 8.0, "action": 20.0, "poses": 17.0,
    "dialogue": 18.0, "others": 13.0, "tone": 13.0, "beat": 18.0, "part": 15.0, "notes": 22.0,
}  # fmt: skip
LANE_SHARE = 0.55  # of its width that each further lane adds to a column
PORTRAIT_WIDE_MM = 240.0  # columns together; beyond it the smallest type gets too narrow
LETTERS_A_LINE, LINES_A_ROW = 10, 1.0  # in a column for a part, about
TONE_REACH_ST = 9.0  # semitones from the median to the edge of the tone column

KEY_WORDS = (
    "Dialogue: underlined the main stress of a phrase, bold a strong one, dotted a "
    "light one. Tone: the stroke stands farther right the higher the pitch; figures are semitones. "
    "A rule runs from a move's first frame to its last; the heavy line is the frame it hits."
)
COVER_HEAD_PX, COVER_PX = 42.0, 700.0  # on the first page; it is 190 mm wide


@dataclass(frozen=True, slots=True)
class Look:
    """How the sheet is shown: rows a sheet, what stands beside the frame number, the paper."""

    rows: int
    show: str
    paper: str
    across: bool


@dataclass(frozen=True, slots=True)
class SheetColumn:
    """A column of the table: what stands in it, what it is called, its lanes and its width."""

    kind: str
    name: str
    lanes: int
    width_mm: float


def columns_of(facts: ShotFacts, sheet: Sheet, look: Look) -> list[SheetColumn]:
    """The columns from left to right."""
    names = [_name("frame")]
    if look.show != "frames":
        kind = "timecode" if look.show == "timecode" else "time"
        names.append(_name(kind, "footage" if look.show == "feet" else look.show))
    if sheet.held:
        names.append(_name("held"))
    names.append(_name("action", lanes=len(sheet.action.lanes)))
    if sheet.poses.lanes:
        names.append(_name("poses", "key poses", len(sheet.poses.lanes)))
    names.append(_name("dialogue"))
    if len(facts.scene.characters) > 1:
        names.append(_name("others"))
    names += [_name("tone"), _name("beat", lanes=len(sheet.beats.lanes))]
    names += [_name("part", c.name, len(c.lanes)) for c in sheet.parts]
    return [*names, _name("notes", lanes=len(sheet.notes.lanes))]


def _name(kind: str, name: str = "", lanes: int = 1) -> SheetColumn:
    lanes = max(1, lanes)
    return SheetColumn(kind, name or kind, lanes, WIDTHS[kind] * (1 + LANE_SHARE * (lanes - 1)))


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell of a lane: its rules ("span", "only", "first", "last", "hit"), the words that begin
    in it with the rows they may take, or what is written on its frame alone."""

    rules: tuple[str, ...] = ()
    say: str = ""
    say_rows: int = 1
    hit: str = ""
    drawn: str = ""


def look_of(facts: ShotFacts, sheet: Sheet, show: str, paper: str, rows: int | None) -> Look:
    """The paper is turned where the columns need it."""
    names = columns_of(facts, sheet, Look(1, show, paper, across=False))
    wide = sum(n.width_mm for n in names) > PORTRAIT_WIDE_MM
    rows = rows or _rows_that_fit(facts, show)
    across = wide and rows <= min(ACROSS_MM.values()) / ROW_WRITTEN_MM
    return Look(rows, show, paper, across)


def _rows_that_fit(facts: ShotFacts, show: str) -> int:
    """Four seconds, in whole feet where feet are shown; fewer where rows would get too low."""
    nominal = facts.clock.rate.nominal
    unit = FRAMES_PER_FOOT if show == "feet" else max(1, nominal // 2)
    room = min(PORTRAIT_MM.values()) / ROW_MIN_MM
    wanted = -(-SECONDS_A_SHEET * nominal // unit) * unit
    return max(unit, min(int(room // unit) * unit, wanted))


def row_class(facts: ShotFacts, sheet: Sheet, look: Look, frame: int) -> str:
    index = frame - facts.clock.first_frame
    heavy = FRAMES_PER_FOOT if look.show == "feet" else facts.clock.rate.nominal
    light = next(n for n in (4, 6, 5, 3, 2, 1) if heavy % n == 0 and (n != 4 or heavy == 16))
    names = ["foot"] if index % heavy == 0 else ["even"] if index % light == 0 else []
    if frame in sheet.held:
        names.append("held")
    if not facts.plan.shot[0] <= frame <= facts.plan.shot[1]:
        names.append("out")
    return " ".join(names)


def exposed_words(facts: ShotFacts) -> str:
    """How many frames a drawing stands."""
    step = facts.clock.step
    return {1: "on ones", 2: "on twos", 3: "on threes"}.get(step, f"every {step} frames")


def figure_of(semitones: float) -> str:
    """Semitones as a whole figure with its sign."""
    whole = round(semitones)
    return f"{whole:+d}" if whole else "0"


def lane_cell(lane: tuple[Span, ...], frame: int, frames: tuple[int, int]) -> Cell:
    """A cell of a lane on a sheet of `frames`: its rule, its words where there is room, its hit."""
    place = next((i for i, s in enumerate(lane) if s.first <= frame <= s.last), None)
    if place is None:
        return Cell()
    span = lane[place]
    before = lane[place - 1].last if place else frames[0] - 1
    begin = max(span.first, frames[0], before + 1)
    after = lane[place + 1].first if place + 1 < len(lane) else frames[1] + 1
    after += 1 if after == span.last else 0
    single = span.first == span.last
    rules = ["only"] if single else ["span"]
    rules += ["first"] if frame == begin and begin <= span.first + 1 else []
    rules += ["last"] if frame == span.last and not single else []
    start, rows = _words_place(span, begin, min(after, frames[1] + 1))
    say = hit = drawn = ""
    if frame == start:
        say = ("" if span.first >= frames[0] else "(goes on) ") + span.text
    if frame == span.hit and not single:
        rules.append("hit")
        hit = "" if say else span.hit_text or "hit"
    elif frame >= start + _rows_taken(span.text) and span.marks.get(frame) == "breakdown":
        drawn = "breakdown"
    return Cell(tuple(rules), say, rows, hit, drawn)


def _rows_taken(text: str) -> int:
    """About how many rows the words of a span fill in a narrow column."""
    return math.ceil(len(text) / LETTERS_A_LINE / LINES_A_ROW)


def _words_place(span: Span, begin: int, end: int) -> tuple[int, int]:
    """The row in which a span's words begin, and how many rows they may take before `end`.

    Before the hit where they fit; else after it, if there is more room.
    """
    if span.hit is None or not begin <= span.hit < end:
        return begin, max(1, end - begin)
    before, behind = span.hit - begin, end - span.hit - 1
    if before >= _rows_taken(span.text) or before >= behind:
        return begin, max(1, before)
    return span.hit + 1, behind
