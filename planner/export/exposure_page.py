"""The exposure sheet as a page to print: one HTML file, a sheet of paper for so many frames.

Black on white, nothing said by colour alone. A move is a rule down its column from its first frame
to its last, its words beside it, a heavy line at the frame it hits. Dialogue stands by syllable:
bold and underlined the main stress of a phrase, bold a strong one, dotted a light one; in the tone
column a stroke stands farther right the higher the pitch. Sheets break at whole feet or seconds.
"""

from __future__ import annotations

from collections.abc import Sequence

from planner.export.exposure import (
    Column,
    Sheet,
    Sound,
    Span,
    exposure_sheets,
    sheet_breaks,
)
from planner.export.exposure_cells import (
    ACROSS_MM,
    COVER_HEAD_PX,
    COVER_PX,
    KEY_WORDS,
    PAPERS,
    PORTRAIT_MM,
    ROW_MAX_MM,
    TONE_REACH_ST,
    Look,
    columns_of,
    exposed_words,
    figure_of,
    lane_cell,
    look_of,
    row_class,
)
from planner.export.facts import ShotFacts, shown_frame
from planner.export.figures import ShotFigure, strip_rows
from planner.export.page import asset, html_page, isolated
from planner.export.plain import escaped
from planner.export.tone_svg import svg_inline

TONE_PLACES = 40
_SILENCE = Sound()


def exposure_page(
    facts: ShotFacts, *, show: str = "feet", paper: str = "A4", rows: int | None = None
) -> str:
    """The page. show : "frames", "timecode", "feet" or "seconds"; rows : frames a sheet.

    Without `rows` a sheet holds as many whole feet (or half seconds) as there is room for.
    """
    sheets = exposure_sheets(facts)
    body = [_paper_choice(paper), *(_cover(facts, figure) for figure in facts.figures)]
    looks = [look_of(facts, sheet, show, paper, rows) for sheet in sheets]
    for sheet, look in zip(sheets, looks, strict=True):
        breaks = sheet_breaks(facts.frames, look.rows, facts.clock.first_frame)
        for number, frames in enumerate(breaks, start=1):
            body.append(_section(facts, sheet, look, frames, number, len(breaks)))
    title = f"{facts.title}: exposure sheet"
    return html_page(title, "\n".join(body), css=_css(looks))


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
    exposed = exposed_words(facts)
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


_KEY = f'<p class="key">{KEY_WORDS}</p>'


def _columns(facts: ShotFacts, sheet: Sheet, look: Look) -> tuple[str, str]:
    """The widths as shares of the paper's, and the heads."""
    names = columns_of(facts, sheet, look)
    whole = sum(n.width_mm for n in names)
    cols = heads = ""
    for n in names:
        cols += f'<col width="{100 * n.width_mm / n.lanes / whole:.2f}%">' * n.lanes
        heads += f'<th scope="col" colspan="{n.lanes}">{escaped(n.name)}</th>'
    return cols, heads


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
    return f'<tr class="{row_class(facts, sheet, look, frame)}">{"".join(cells)}</tr>'


def _blank(facts: ShotFacts, sheet: Sheet, look: Look, frame: int) -> str:
    """A row after the shot's end, empty, so that every sheet has the same shape."""
    count = sum(n.lanes for n in columns_of(facts, sheet, look))
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
    figure = sound.tone or figure_of(sound.semitones)
    return f'<td class="tone">{stroke}<span>{escaped(figure)}</span></td>'


def _span_cells(column: Column, frame: int, frames: tuple[int, int]) -> str:
    lanes: Sequence[tuple[Span, ...]] = column.lanes or ((),)
    return "".join(_lane_cell(lane, i, frame, frames) for i, lane in enumerate(lanes))


def _lane_cell(lane: tuple[Span, ...], index: int, frame: int, frames: tuple[int, int]) -> str:
    cell = lane_cell(lane, frame, frames)
    classes = [*(["next"] if index else []), *cell.rules]
    inner = ""
    if cell.say:
        mark = "(goes on) " if cell.say.startswith("(goes on) ") else ""
        text = _breakable(cell.say.removeprefix(mark))
        inner += f'<span class="say n{cell.say_rows}">{mark}{text}</span>'
    if cell.hit:
        inner = isolated(cell.hit)
    if cell.drawn:
        inner += f'<span class="drawn">{cell.drawn}</span>'
    return f'<td class="{" ".join(classes)}">{inner}</td>' if classes else "<td></td>"


def _breakable(text: str) -> str:
    """Words in a page, with places to break the ones that are wider than a column."""
    return isolated(text).replace("anticipation", "antici&shy;pation")
