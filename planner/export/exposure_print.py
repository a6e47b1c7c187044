"""The exposure sheet as a PDF: what the page shows, a sheet of paper for so many frames.

Millimetres from the upper left corner. What stands where comes from `exposure_cells`; the looks
(weights of rules, sizes of letters) are those of `exposure.css`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from planner.export.exposure import Column, Sheet, Sound, Span, exposure_sheets, sheet_breaks
from planner.export.exposure_cells import (
    ACROSS_MM,
    COVER_HEAD_PX,
    COVER_PX,
    KEY_WORDS,
    PORTRAIT_MM,
    ROW_MAX_MM,
    TONE_REACH_ST,
    Cell,
    Look,
    columns_of,
    exposed_words,
    figure_of,
    lane_cell,
    look_of,
    row_class,
)
from planner.export.facts import ShotFacts, shown_frame
from planner.export.figures import strip_rows
from planner.export.pdf_pages import MM, PAPER_MM, Pages, cut_to_mm, text_width_mm, wrapped
from planner.export.plain import one_line

LEFT_MM, TOP_MM = 10.0, 9.0
TITLE_MM, WRITE_MM, HEAD_MM = 8.0, 5.0, 6.5
INK, SOFT, RULE, HAIR, SHADE = "#1c2129", "#6a7280", "#b9bec7", "#dfe2e7", "#f1f2f4"
PAD_MM, HEAD_PT = 0.7, 6.0
_SILENCE = Sound()
Segments = list[tuple[float, float, float, float]]


@dataclass(slots=True)
class _Sheet:
    """One sheet of paper being drawn: its grid, and its rules collected by kind."""

    pages: Pages
    look: Look
    row_mm: float
    x: list[float]  # left edges of the lanes, and the right edge of the last
    top: float
    rules: dict[tuple[float, str, tuple[float, ...]], Segments] = field(default_factory=dict)

    def rule(
        self, x1: float, y1: float, x2: float, y2: float, width: float = 0.2, ink: str = INK,
        dash: tuple[float, ...] = (),
    ) -> None:  # fmt: skip
        self.rules.setdefault((width, ink, dash), []).append((x1, y1, x2, y2))

    def size_pt(self, largest: float, share: float) -> float:
        """Letters that fit a row."""
        return round(min(largest, self.row_mm * MM * share), 3)

    def flush(self) -> None:
        """The rules, thin ones first."""
        for (width, ink, dash), segments in sorted(self.rules.items()):
            self.pages.lines(segments, width, ink, dash)


def exposure_pdf(
    facts: ShotFacts, *, show: str = "feet", paper: str = "A4", rows: int | None = None
) -> bytes:
    """The sheets as a PDF, the same bytes each time. Raises OutputError without the extra."""
    pages = Pages(f"{one_line(facts.title)}: exposure sheet", paper=paper)
    _covers(pages, facts, paper)
    for sheet in exposure_sheets(facts):
        look = look_of(facts, sheet, show, paper, rows)
        breaks = sheet_breaks(facts.frames, look.rows, facts.clock.first_frame)
        for number, frames in enumerate(breaks, start=1):
            pages.page(across=look.across)
            _paper(pages, facts, sheet, look, frames, f"sheet {number} of {len(breaks)}")
    return pages.done()


def _covers(pages: Pages, facts: ShotFacts, paper: str) -> None:
    """First pages: the key poses of everybody over the words."""
    room = PAPER_MM[paper][1] - TOP_MM
    y = room
    for figure in facts.figures:
        for row in strip_rows(facts, figure, COVER_HEAD_PX, COVER_PX):
            scale = (PAPER_MM[paper][0] - 2 * LEFT_MM) / max(row.width, COVER_PX)
            if y + row.height * scale > room:
                pages.page()
                y = TOP_MM
            pages.drawing(row, LEFT_MM, y, scale)
            y += row.height * scale


def _paper(
    pages: Pages, facts: ShotFacts, sheet: Sheet, look: Look, frames: tuple[int, int], which: str
) -> None:
    """One sheet of paper."""
    wide = (PAPER_MM[look.paper][1] if look.across else PAPER_MM[look.paper][0]) - 2 * LEFT_MM
    room = (ACROSS_MM if look.across else PORTRAIT_MM)[look.paper]
    columns = columns_of(facts, sheet, look)
    share = wide / sum(c.width_mm for c in columns)
    x = [LEFT_MM]
    for c in columns:
        x += [x[-1] + c.width_mm * share / c.lanes * k for k in range(1, c.lanes + 1)]
    top = TOP_MM + TITLE_MM + WRITE_MM + HEAD_MM
    drawn = _Sheet(pages, look, min(ROW_MAX_MM, room / look.rows), x, top)
    shown = (max(frames[0], facts.frames[0]), min(frames[1], facts.frames[1]))
    _title(drawn, facts, sheet, shown, which, wide)
    _grid(drawn, facts, sheet, frames, shown)
    at = 0
    for c in columns:
        words = wrapped(c.name, x[at + c.lanes] - x[at] - 0.8, HEAD_PT, "bold")[:2]
        for k, line in enumerate(reversed(words)):
            pages.text(x[at] + PAD_MM, top - 1.0 - 2.4 * k, line, HEAD_PT, style="bold", ink=INK)
        for lane in range(c.lanes):
            edge = (0.2, RULE, (0.4, 0.4)) if lane else (0.2, RULE, ())
            bottom = top + drawn.row_mm * look.rows
            drawn.rule(x[at + lane], top if lane else top - HEAD_MM, x[at + lane], bottom, *edge)
        at += c.lanes
    drawn.flush()
    drawn.rules.clear()
    for frame in range(shown[0], shown[1] + 1):
        _row(drawn, facts, sheet, frame, top + (frame - frames[0]) * drawn.row_mm)
    _moves(drawn, facts, sheet, frames, shown)
    drawn.flush()


def _title(
    drawn: _Sheet, facts: ShotFacts, sheet: Sheet, shown: tuple[int, int], which: str, wide: float
) -> None:
    pages, title, who = drawn.pages, one_line(facts.title), one_line(sheet.who)
    right = (f"frames {shown[0]}-{shown[1]}, {facts.clock.rate} a second, "
             f"{exposed_words(facts)}, {which}")  # fmt: skip
    taken = pages.text(LEFT_MM + wide, TOP_MM + 4.5, right, 8.5, ink=INK, anchor="end")
    name = cut_to_mm(f"{title}: {who}", wide - taken - 6, 11.5, "bold")
    pages.text(LEFT_MM, TOP_MM + 4.5, name, 11.5, style="bold", ink=INK)
    y = TOP_MM + TITLE_MM + 3.0
    x = LEFT_MM
    for label, value in (("scene", title), ("shot", f"{facts.plan.shot[0]}-{facts.plan.shot[1]}")):
        x += pages.text(x, y, label, 8.5, ink=INK) + 1.0
        x += pages.text(x, y, cut_to_mm(value, 60.0, 8.5, "bold"), 8.5, style="bold", ink=INK) + 6.0
    half = (LEFT_MM + wide - x - 6.0) / 2
    for k, label in enumerate(("animator", "date")):
        pages.text(x + k * (half + 6.0), y, label, 8.5, ink=SOFT)
        edge = x + k * (half + 6.0)
        drawn.rule(edge, y + 1.4, edge + half, y + 1.4, 0.2, SOFT)
    bottom = drawn.top + drawn.row_mm * drawn.look.rows
    for k, line in enumerate(wrapped(KEY_WORDS, wide, 6.6)):
        pages.text(LEFT_MM, bottom + 3.4 + 2.7 * k, line, 6.6, ink=SOFT)


def _grid(
    drawn: _Sheet, facts: ShotFacts, sheet: Sheet, frames: tuple[int, int], shown: tuple[int, int]
) -> None:
    """Rows shaded where they are out of the shot, and the rules between them."""
    left, right, top, row = drawn.x[0], drawn.x[-1], drawn.top, drawn.row_mm
    for k in range(drawn.look.rows):
        frame = frames[0] + k
        inside = shown[0] <= frame <= shown[1]
        looks = row_class(facts, sheet, drawn.look, frame).split() if inside else ["out"]
        y = top + k * row
        if "out" in looks:
            drawn.pages.block(left, y, right - left, row, SHADE)
        kind = (0.45, INK) if "foot" in looks else (0.2, SOFT) if "even" in looks else (0.1, HAIR)
        if k:
            drawn.rule(left, y, right, y, *kind)
    bottom = top + drawn.look.rows * row
    for y in (top - HEAD_MM, top, bottom):
        drawn.rule(left, y, right, y, 0.35)
    for x in (left, right):
        drawn.rule(x, top - HEAD_MM, x, bottom, 0.35)


def _row(drawn: _Sheet, facts: ShotFacts, sheet: Sheet, frame: int, y: float) -> None:
    """The columns that stand by frame: numbers, held, dialogue, the others, tone."""
    pages, x, base = drawn.pages, drawn.x, y + drawn.row_mm / 2 + 0.9
    sound = sheet.sound.get(frame, _SILENCE)
    at, small = 0, drawn.size_pt(6.6, 0.85)
    size = drawn.size_pt(6.8, 0.84)
    looks = row_class(facts, sheet, drawn.look, frame).split()
    held = frame in sheet.held
    for column in columns_of(facts, sheet, drawn.look):
        left, right = x[at], x[at + column.lanes]
        if column.kind == "frame":
            style = "bold" if "foot" in looks else ""
            pages.text(right - 0.9, base, str(frame), size, style=style,
                       ink=SOFT if held else INK, anchor="end")  # fmt: skip
        elif column.kind in ("time", "timecode"):
            said = shown_frame(facts.clock, frame, drawn.look.show)
            pages.text(right - 0.9, base, said, size, ink=INK, anchor="end")
        elif column.kind == "held" and held:
            pages.text(left + PAD_MM, base, "held", drawn.size_pt(6.2, 0.8), ink=SOFT)
        elif column.kind == "dialogue":
            _dialogue(drawn, sound, left, right, y, base)
        elif column.kind == "others":
            words = cut_to_mm(sheet.others.get(frame, ""), right - left - PAD_MM, small, "italic")
            pages.text(left + PAD_MM, base, words, small, style="italic", ink=INK)
        elif column.kind == "tone" and sound.semitones is not None:
            share = min(1.0, max(0.0, (sound.semitones + TONE_REACH_ST) / (2 * TONE_REACH_ST)))
            place = left + (right - left) * (0.04 + 0.56 * share)
            pages.block(place - 0.3, y, 0.6, drawn.row_mm, INK)
            words = sound.tone or figure_of(sound.semitones)
            pages.text(right - 0.5, base, words, drawn.size_pt(6.2, 0.8), ink=INK, anchor="end",
                       backed=True)  # fmt: skip
        at += column.lanes


def _dialogue(
    drawn: _Sheet, sound: Sound, left: float, right: float, y: float, base: float
) -> None:
    pages, size = drawn.pages, drawn.size_pt(8.6, 0.95)
    mark = {"main": "^", "strong": ">"}.get(sound.stress, "")
    if mark:
        pages.text(right - 0.6, base, mark, size, style="bold", ink=INK, anchor="end")
    if not sound.dialogue:
        if sound.voiced:
            drawn.rule(left, y, left, y + drawn.row_mm, 0.3, SOFT)
        return
    room = right - left - PAD_MM - (1.8 if mark else 0.0)
    if not sound.voiced:
        small = drawn.size_pt(6.6, 0.85)
        words = cut_to_mm(sound.dialogue, room, small, "italic")
        pages.text(left + PAD_MM, base, words, small, style="italic", ink=SOFT)
        return
    style = "bold" if sound.weight in ("strong", "main") else ""
    words = cut_to_mm(sound.dialogue, room, size, style)
    wide = pages.text(left + PAD_MM, base, words, size, style=style, ink=INK)
    if sound.weight in ("main", "light"):
        dash = () if sound.weight == "main" else (0.3, 0.3)
        drawn.rule(left + PAD_MM, base + 0.35, left + PAD_MM + wide, base + 0.35, 0.2, INK, dash)


def _moves(
    drawn: _Sheet, facts: ShotFacts, sheet: Sheet, frames: tuple[int, int], shown: tuple[int, int]
) -> None:
    """The columns of spans: their rules and words, frame by frame where there is something."""
    columns = columns_of(facts, sheet, drawn.look)
    kinds = {"action": [sheet.action], "poses": [sheet.poses], "beat": [sheet.beats],
             "part": list(sheet.parts), "notes": [sheet.notes]}  # fmt: skip
    at = 0
    for column in columns:
        if column.kind in kinds:
            _column(drawn, kinds[column.kind].pop(0), at, frames, shown)
        at += column.lanes


def _column(
    drawn: _Sheet, column: Column, at: int, frames: tuple[int, int], shown: tuple[int, int]
) -> None:
    for index, lane in enumerate(column.lanes):
        left, right = drawn.x[at + index], drawn.x[at + index + 1]
        near = tuple(s for s in lane if s.last >= shown[0] and s.first <= shown[1])
        before = tuple(s for s in lane if s.last < shown[0])[-1:]
        after = tuple(s for s in lane if s.first > shown[1])[:1]
        lane_here = (*before, *near, *after)
        for frame in sorted(_frames_of(near, shown)):
            y = drawn.top + (frame - frames[0]) * drawn.row_mm
            _cell(drawn, lane_cell(lane_here, frame, shown), left, right, y)


def _frames_of(spans: Iterable[Span], shown: tuple[int, int]) -> set[int]:
    found: set[int] = set()
    for span in spans:
        first, last = span.first, span.last
        found.update(range(max(first, shown[0]), min(last, shown[1]) + 1))
    return found


def _cell(drawn: _Sheet, cell: Cell, left: float, right: float, y: float) -> None:
    """A cell of a lane: the rules of its edges, its words over the rows they may take."""
    pages, bottom = drawn.pages, y + drawn.row_mm
    if "span" in cell.rules:
        drawn.rule(left, y, left, bottom, 0.4)
    if "only" in cell.rules or "first" in cell.rules:
        drawn.rule(left, y, right, y, 0.35)
    if "last" in cell.rules and "hit" not in cell.rules:
        drawn.rule(left, bottom, right, bottom, 0.35)
    if "hit" in cell.rules:
        drawn.rule(left, bottom - 0.4, right, bottom - 0.4, 0.8)
    size = drawn.size_pt(7.2, 0.86)
    high = size * 1.05 / MM
    room = right - left - 1.3
    if cell.say:
        most = max(1, int((cell.say_rows * drawn.row_mm - 0.2) // high))
        for k, line in enumerate(wrapped(_breakable(cell.say, room, size), room, size)[:most]):
            pages.text(left + 1.1, y + 0.1 + (k + 0.85) * high, line, size, ink=INK,
                       backed=True)  # fmt: skip
    elif cell.hit:
        words = cut_to_mm(cell.hit, room, size, "bold")
        pages.text(left + 1.1, bottom - 0.95, words, size, style="bold", ink=INK)
    if cell.drawn:
        words = cut_to_mm(cell.drawn, room, drawn.size_pt(6.0, 0.72))
        pages.text(right - 0.4, bottom - 0.4, words, drawn.size_pt(6.0, 0.72), ink=SOFT,
                   anchor="end")  # fmt: skip


def _breakable(text: str, room: float, size: float) -> str:
    """The longest word of a move broken where it is spoken apart, if it is wider than a lane."""
    if text_width_mm("anticipation", size) <= room:
        return text
    return text.replace("anticipation", "antici- pation")
