"""The exposure sheet as a page to print: one HTML file, a sheet of paper for so many frames.

Black on white, nothing said by colour alone. A move is a rule down its column from its first frame
to its last, its words beside it, a heavy line at the frame it hits. Dialogue stands by syllable:
bold and underlined the main stress of a phrase, bold a strong one, dotted a light one; in the tone
column a stroke stands farther right the higher the pitch. Sheets break at whole feet or seconds.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from planner.export.exposure import (
    Column,
    Sheet,
    Sound,
    Span,
    exposure_sheets,
    sheet_breaks,
)
from planner.export.facts import ShotFacts, shown_frame
from planner.export.figures import ShotFigure, strip_rows
from planner.export.page import asset, html_page, isolated
from planner.export.plain import escaped
from planner.export.tone_svg import svg_inline
from planner.frames import FRAMES_PER_FOOT

PAPERS = ("A4", "Letter")
PORTRAIT_MM = {"A4": 247.0, "Letter": 229.0}  # room for rows, head and key taken off
ACROSS_MM = {"A4": 159.0, "Letter": 164.0}
ROW_MIN_MM = 2.05  # the smallest type that can be read on paper, a line a row
ROW_WRITTEN_MM = 4.5  # room to write by hand in
SECONDS_A_SHEET = 4  # common practice: a hundred rows or so
ROW_MAX_MM = 6.0
TONE_REACH_ST = 9.0  # semitones from the median to the edge of the tone column
# Widths in mm; a column shrinks with the others where they do not fit the paper.
WIDTHS = {
    "frame": 10.5, "time": 12.5, "timecode": 22.0, "held": 8.0, "action": 20.0, "poses": 17.0,
    "dialogue": 18.0, "others": 13.0, "tone": 13.0, "beat": 18.0, "part": 15.0, "notes": 22.0,
}  # fmt: skip
LANE_SHARE = 0.55  # of its width that each further lane adds to a column
PORTRAIT_WIDE_MM = 240.0  # columns together; beyond it the smallest type gets too narrow
TONE_PLACES = 40
LETTERS_A_LINE, LINES_A_ROW = 10, 1.0  # in a column for a part, about
COVER_HEAD_PX, COVER_PX = 42.0, 700.0  # on the first page; it is 190 mm wide
_SILENCE = Sound()


@dataclass(frozen=True, slots=True)
class Look:
    """How the sheet is shown: rows a sheet, what stands beside the frame number, the paper."""

    rows: int
    show: str
    paper: str
    across: bool


def exposure_page(
    facts: ShotFacts, *, show: str = "feet", paper: str = "A4", rows: int | None = None
) -> str:
    """The page. show : "frames", "timecode", "feet" or "seconds"; rows : frames a sheet.

    Without `rows` a sheet holds as many whole feet (or half seconds) as there is room for.
    """
    sheets = exposure_sheets(facts)
    body = [_paper_choice(paper), *(_cover(facts, figure) for figure in facts.figures)]
    looks = [_look(facts, sheet, show, paper, rows) for sheet in sheets]
    for sheet, look in zip(sheets, looks, strict=True):
        breaks = sheet_breaks(facts.frames, look.rows, facts.clock.first_frame)
        for number, frames in enumerate(breaks, start=1):
            body.append(_section(facts, sheet, look, frames, number, len(breaks)))
    title = f"{facts.title}: exposure sheet"
    return html_page(title, "\n".join(body), css=_css(looks))


def _look(facts: ShotFacts, sheet: Sheet, show: str, paper: str, rows: int | None) -> Look:
    """The paper is turned where the columns need it."""
    names = _names(facts, sheet, Look(1, show, paper, across=False))
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


def _css(looks: Sequence[Look]) -> str:
    """The style sheet with the heights that depend on the rows."""
    found = []
    for look in looks:
        room = ACROSS_MM if look.across else PORTRAIT_MM
        heights = {p: min(ROW_MAX_MM, room[p] / look.rows) for p in PAPERS}
        found.append(
            f"{'.across' if look.across else ':root'} {{ --row: {heights['A4']:.3f}mm; "
            f"--row-letter: {heights['Letter']:.3f}mm; }}\n"
        )
    found += [
        f".n{n} {{ height: calc(var(--row) * {n} - 0.4mm); }}\n"
        for n in range(1, max((look.rows for look in looks), default=1) + 1)
    ]
    found += [
        f".t{n} {{ left: {4 + 56 * n / TONE_PLACES:.1f}%; }}\n" for n in range(TONE_PLACES + 1)
    ]
    return asset("exposure.css") + "".join(dict.fromkeys(found))


def _paper_choice(paper: str) -> str:
    inputs = "".join(
        f'<label><input type="radio" name="paper" id="{name.lower()}"'
        f"{' checked' if name == paper else ''}> {name}</label>"
        for name in PAPERS
    )
    return f'<fieldset class="paper"><legend>Paper to print on</legend>{inputs}</fieldset>'


def _cover(facts: ShotFacts, figure: ShotFigure) -> str:
    """A first page a character: its key poses over the words."""
    rows = strip_rows(facts, figure, COVER_HEAD_PX, COVER_PX)
    if not rows:
        return ""
    drawn = "".join(
        svg_inline(row, name=f"poses-{facts.figures.index(figure)}-{k}")
        for k, row in enumerate(rows)
    )
    return f'<section class="cover">{drawn}</section>'


def _section(
    facts: ShotFacts, sheet: Sheet, look: Look, frames: tuple[int, int], number: int, count: int
) -> str:
    first, last = max(frames[0], facts.frames[0]), min(frames[1], facts.frames[1])
    step = facts.clock.step
    exposed = {1: "on ones", 2: "on twos", 3: "on threes"}.get(step, f"every {step} frames")
    rows = [_row(facts, sheet, look, frame, (first, last)) for frame in range(first, last + 1)]
    rows += [_blank(facts, sheet, look, frame) for frame in range(last + 1, frames[1] + 1)]
    columns, heads = _columns(facts, sheet, look)
    label = f"exposure sheet of {sheet.who}, frames {first} to {last}"
    shape = "scroll across" if look.across else "scroll"
    return (
        f'<div class="{shape}" tabindex="0" role="region" '
        f'aria-label="{escaped(label)}"><section>\n'
        f"<header><h2>{isolated(facts.title)}: {isolated(sheet.who)}</h2>"
        f"<p>frames {first}-{last}, {escaped(str(facts.clock.rate))} a second, {exposed}, "
        f"sheet {number} of {count}</p></header>\n"
        f'<p class="head"><span>scene <b>{isolated(facts.title)}</b></span>'
        f"<span>shot <b>{facts.plan.shot[0]}-{facts.plan.shot[1]}</b></span>"
        f'<span class="write">animator</span><span class="write">date</span></p>\n'
        f"<table>\n<colgroup>{columns}</colgroup>\n<thead><tr>{heads}</tr></thead>\n<tbody>\n"
        + "\n".join(rows)
        + f"\n</tbody></table>\n{_KEY}</section></div>"
    )


_KEY = (
    '<p class="key">Dialogue: underlined the main stress of a phrase, bold a strong one, dotted a '
    "light one. Tone: the stroke stands farther right the higher the pitch; figures are semitones. "
    "A rule runs from a move's first frame to its last; the heavy line is the frame it hits.</p>"
)


@dataclass(frozen=True, slots=True)
class _Name:
    """A column of the table: what it is called, its lanes and its width."""

    name: str
    lanes: int
    width_mm: float


def _names(facts: ShotFacts, sheet: Sheet, look: Look) -> list[_Name]:
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


def _name(kind: str, name: str = "", lanes: int = 1) -> _Name:
    lanes = max(1, lanes)
    return _Name(name or kind, lanes, WIDTHS[kind] * (1 + LANE_SHARE * (lanes - 1)))


def _columns(facts: ShotFacts, sheet: Sheet, look: Look) -> tuple[str, str]:
    """The widths as shares of the paper's, and the heads."""
    names = _names(facts, sheet, look)
    whole = sum(n.width_mm for n in names)
    cols = heads = ""
    for n in names:
        cols += f'<col width="{100 * n.width_mm / n.lanes / whole:.2f}%">' * n.lanes
        heads += f'<th scope="col" colspan="{n.lanes}">{escaped(n.name)}</th>'
    return cols, heads


def _row_class(facts: ShotFacts, sheet: Sheet, look: Look, frame: int) -> str:
    index = frame - facts.clock.first_frame
    heavy = FRAMES_PER_FOOT if look.show == "feet" else facts.clock.rate.nominal
    light = next(n for n in (4, 6, 5, 3, 2, 1) if heavy % n == 0 and (n != 4 or heavy == 16))
    names = ["foot"] if index % heavy == 0 else ["even"] if index % light == 0 else []
    if frame in sheet.held:
        names.append("held")
    if not facts.plan.shot[0] <= frame <= facts.plan.shot[1]:
        names.append("out")
    return " ".join(names)


def _head(facts: ShotFacts, look: Look, frame: int) -> str:
    head = f'<th scope="row">{frame}</th>'
    if look.show != "frames":
        head += f"<th>{escaped(shown_frame(facts.clock, frame, look.show))}</th>"
    return head


def _row(facts: ShotFacts, sheet: Sheet, look: Look, frame: int, frames: tuple[int, int]) -> str:
    cells = [_head(facts, look, frame)]
    if sheet.held:
        cells.append(f'<td class="hold">{"held" if frame in sheet.held else ""}</td>')
    cells.append(_span_cells(sheet.action, frame, frames))
    if sheet.poses.lanes:
        cells.append(_span_cells(sheet.poses, frame, frames))
    sound = sheet.sound.get(frame, _SILENCE)
    cells.append(_dialogue(sound))
    if len(facts.scene.characters) > 1:
        others = sheet.others.get(frame, "")
        cells.append(f'<td class="others">{isolated(others) if others else ""}</td>')
    cells.append(_tone(sound))
    for column in (sheet.beats, *sheet.parts, sheet.notes):
        cells.append(_span_cells(column, frame, frames))
    return f'<tr class="{_row_class(facts, sheet, look, frame)}">{"".join(cells)}</tr>'


def _blank(facts: ShotFacts, sheet: Sheet, look: Look, frame: int) -> str:
    """A row after the shot's end, empty, so that every sheet has the same shape."""
    count = sum(n.lanes for n in _names(facts, sheet, look))
    return f'<tr class="out"><th scope="row"></th>{"<td></td>" * (count - 1)}</tr>'


def _dialogue(sound: Sound) -> str:
    mark = {"main": "^", "strong": "&gt;"}.get(sound.stress, "")
    mark = f'<span class="mark">{mark}</span>' if mark else ""
    if not sound.dialogue:
        return f'<td class="{"voice" if sound.voiced else ""}">{mark}</td>'
    text = isolated(sound.dialogue)
    if not sound.voiced:
        text = f"<i>{text}</i>"
    return f'<td class="said {sound.weight}">{text}{mark}</td>'


def _tone(sound: Sound) -> str:
    """A stroke at the pitch's place across the column, and the words or figures beside it."""
    if sound.semitones is None:
        return '<td class="tone"></td>'
    share = min(1.0, max(0.0, (sound.semitones + TONE_REACH_ST) / (2 * TONE_REACH_ST)))
    stroke = f'<i class="t{round(share * TONE_PLACES)}"></i>'
    figure = sound.tone or _figure(sound.semitones)
    return f'<td class="tone">{stroke}<span>{escaped(figure)}</span></td>'


def _figure(semitones: float) -> str:
    whole = round(semitones)
    return f"{whole:+d}" if whole else "0"


def _span_cells(column: Column, frame: int, frames: tuple[int, int]) -> str:
    lanes: Sequence[tuple[Span, ...]] = column.lanes or ((),)
    return "".join(_lane_cell(lane, i, frame, frames) for i, lane in enumerate(lanes))


def _lane_cell(lane: tuple[Span, ...], index: int, frame: int, frames: tuple[int, int]) -> str:
    """A cell of a lane: its rule, its words where there is room for them, its hit."""
    classes = ["next"] if index else []
    place = next((i for i, s in enumerate(lane) if s.first <= frame <= s.last), None)
    if place is None:
        return f'<td class="{" ".join(classes)}"></td>' if classes else "<td></td>"
    span = lane[place]
    before = lane[place - 1].last if place else frames[0] - 1
    begin = max(span.first, frames[0], before + 1)
    after = lane[place + 1].first if place + 1 < len(lane) else frames[1] + 1
    after += 1 if after == span.last else 0
    single = span.first == span.last
    classes += ["only"] if single else ["span"]
    classes += ["first"] if frame == begin and begin <= span.first + 1 else []
    classes += ["last"] if frame == span.last and not single else []
    inner = ""
    start, rows = _words_place(span, begin, min(after, frames[1] + 1))
    if frame == start:
        goes_on = "" if span.first >= frames[0] else "(goes on) "
        inner += f'<span class="say n{rows}">{goes_on}{_breakable(span.text)}</span>'
    if frame == span.hit and span.last > span.first:
        classes.append("hit")
        if not inner:
            inner = isolated(span.hit_text or "hit")
    elif frame >= start + _rows_taken(span.text) and span.marks.get(frame) == "breakdown":
        inner += '<span class="drawn">breakdown</span>'
    return f'<td class="{" ".join(classes)}">{inner}</td>'


def _breakable(text: str) -> str:
    """Words in a page, with places to break the ones that are wider than a column."""
    return isolated(text).replace("anticipation", "antici&shy;pation")


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
