"""The plan: a row a body part, each suggestion as a short phrase placed at its frames.

Pure: from a Desk to rows of cells. The phrase stands over the frames of its move, beginning at the
hit where there is room, else as far to the left as its first frame; the hit's cell is marked, the
other frames of the move are a thin line. Wording gets shorter as room does.
"""

from __future__ import annotations

from planner.desk.cells import (
    CHOSEN,
    CURSOR,
    HIT,
    Canvas,
    Row,
    Rows,
    Run,
    fitted,
    padded,
)  # fmt: skip
from planner.desk.choosing import current_row, plan_rows
from planner.desk.more import with_more
from planner.desk.plan_index import PlanRow, hit_of
from planner.desk.state import Desk, SuggestionOf
from planner.plan.suggestion import Suggestion

# What a kind of suggestion is called in a row, long and short.
KIND_WORDS = {
    "pose": ("pose", "pose"), "accent": ("accent", "acc"), "anticipation": ("antic", "ant"),
    "head-move": ("move", "move"), "settle": ("settle", "set"), "hold": ("moving hold", "hold"),
    "follow": ("follow", "fol"), "gesture": ("gesture", "gest"),
    "weight-shift": ("weight shift", "weight"), "reaction": ("react", "rea"),
    "laugh": ("laugh", "ha"), "breath": ("breathe", "breath"), "blink": ("blink", "blink"),
    "look": ("look", "look"), "brow": ("brows", "brows"),
}  # fmt: skip
WAYLESS = ("blink", "breath", "settle", "hold")  # always the same way, or said by the move before
PATHED = ("accent", "head-move", "gesture")  # whose path is worth a word in the row
LEAST_LETTERS = 2  # a single letter would be a code, not a word


def plan_lines(desk: Desk) -> list[PlanRow | str]:
    """What the panel lists from top to bottom: names of characters, and their rows."""
    lines: list[PlanRow | str] = []
    who = ""
    for row in plan_rows(desk):
        if row.who != who:
            who = row.who
            if desk.who is None and len(desk.scene.characters) > 1:
                lines.append(who)
        lines.append(row)
    return lines


def first_plan_line(desk: Desk, height: int, before: int = 0) -> int:
    """The first line to show so that the current row is seen; moves as little as it can."""
    lines = plan_lines(desk)
    row = current_row(desk)
    place = lines.index(row) if row in lines else 0
    top = min(before, max(0, len(lines) - height))
    if place - 1 < top:
        top = max(0, place - 1)
    return max(top, place - height + 1)


def plan_view(desk: Desk, top: int, height: int, gutter: int) -> Rows:
    """The lines of the plan from `top` on, gutter included."""
    listed = plan_lines(desk)
    lines = listed[top : top + height]
    if not lines:
        text = "nothing planned yet: pick words, then tag them with an intent"
        return ((Run(" " * gutter), Run(padded(text, desk.window.columns), "hint")),)
    current = current_row(desk)
    chosen_panel = desk.panel == "plan"
    rows: list[Row] = []
    for line in lines:
        if isinstance(line, str):
            rows.append(_name_row(desk, line, gutter))
            continue
        here = line is current and chosen_panel
        label = line.part if here or not line.lane else ""
        name = padded(label, gutter - 2, right=True)
        role = "gutter on" if here else "gutter"
        rows.append((Run(name + (" ›" if here else "  "), role), *plan_row(desk, line)))
    return with_more(tuple(rows), top, len(listed) - top - len(lines))


def _name_row(desk: Desk, who: str, gutter: int) -> Row:
    canvas = Canvas(desk.window.columns, 1)
    canvas.put(0, 0, "┄" * desk.window.columns, "name line")
    canvas.mark_column(desk.window.column(desk.cursor), CURSOR)
    return (Run(padded(who, gutter - 1, right=True) + " ", "gutter name"), *canvas.rows()[0])


def plan_row(desk: Desk, row: PlanRow) -> Row:
    """One row of cells."""
    window = desk.window
    canvas = Canvas(window.columns, 1)
    seen = row.between(window.first, window.last)
    chosen = desk.choice.id if isinstance(desk.choice, SuggestionOf) else None
    for place, suggestion in enumerate(seen):
        following = seen[place + 1] if place + 1 < len(seen) else None
        dropped = suggestion.id in desk.index.dropped_ids
        role = "dropped" if dropped else _role(suggestion)
        marks = CHOSEN if suggestion.id == chosen else 0
        _draw(canvas, desk, suggestion, following, role, marks)
    canvas.mark_column(window.column(desk.cursor), CURSOR)
    return canvas.rows()[0]


def _role(suggestion: Suggestion) -> str:
    if suggestion.decision:
        return "decided"
    return {"pose": "pose", "accent": "accent", "hold": "quiet", "settle": "quiet"}.get(
        suggestion.kind, "plan"
    )


def _draw(
    canvas: Canvas, desk: Desk, suggestion: Suggestion, following: Suggestion | None, role: str,
    marks: int,
) -> None:  # fmt: skip
    window = desk.window
    first, last = window.column(suggestion.frames[0]), window.column(suggestion.frames[1])
    if last < 0 or first >= canvas.width:
        return
    limit = canvas.width if following is None else window.column(following.frames[0])
    hit = window.column(hit_of(suggestion))
    for column in range(max(0, first), min(last, limit - 1, canvas.width - 1) + 1):
        canvas.put(0, column, "┄", role if role == "dropped" else "span", marks)
    seen_first = max(0, first)
    room = limit - seen_first - (1 if following is not None else 0)
    intent = _intent(desk, suggestion)
    text = next((t for t in wordings(suggestion, intent) if len(t) <= room), None)
    if text is None:
        short = KIND_WORDS[suggestion.kind][1]
        text = fitted(short, room) if room >= LEAST_LETTERS else ""
    start = max(seen_first, min(hit, limit - (1 if following is not None else 0) - len(text)))
    canvas.put(0, start, text, role, marks)
    if 0 <= hit < min(limit, canvas.width):
        canvas.mark(0, hit, hit, HIT)
    if marks:
        canvas.mark(0, first, max(min(last, limit - 1), start + len(text) - 1), CHOSEN)


def _intent(desk: Desk, suggestion: Suggestion) -> str:
    """What the suggestion's beat means; empty where none is tagged."""
    beats = desk.planned.beats
    beat = suggestion.beat
    return beats[beat].intent if beat is not None and beat < len(beats) else ""


def wordings(suggestion: Suggestion, intent: str = "") -> tuple[str, ...]:
    """A suggestion in words, longest first; what was decided about it comes in brackets."""
    long, short = KIND_WORDS[suggestion.kind]
    decided = f" ({suggestion.decision})" if suggestion.decision else ""
    way = "" if suggestion.kind in WAYLESS else suggestion.direction.strip()
    path = suggestion.path.strip() if suggestion.kind in PATHED else ""
    names = [f"{intent} {long}"] if suggestion.kind == "pose" and intent else []
    names.append(long)
    texts = [*names]
    for name in names:
        plain = f"{name} {way}" if way else name
        texts += [plain, plain + decided]
        if path and path not in ("straight", way):
            texts += [f"{plain}, {path}", f"{plain}, {path}{decided}"]
    texts += [f"{short} {way}"] if way else []
    texts.append(short)
    return tuple(sorted(dict.fromkeys(texts), key=lambda text: (-len(text), text)))
