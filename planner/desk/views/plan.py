"""The plan: a row a body part, each suggestion a filled block from its first to its last frame.

Pure. Its words begin in the block and go on beyond it where there is room; the hit's cell is
bright. While two versions are compared, each part has the other version's row under it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.desk import choice, cursor
from planner.desk.choice import current_row, plan_rows
from planner.desk.choices import SuggestionOf
from planner.desk.edits import decisions
from planner.desk.plan_index import PlanRow, hit_of
from planner.desk.state import Desk
from planner.desk.views.cells import CHOSEN, CURSOR, NEXT, Canvas, Row, Run, fitted, padded
from planner.desk.views.more import with_more
from planner.desk.views.panel import Panel, Room, Seen, Spot, label, scrolled
from planner.plan.suggestion import Suggestion
from planner.scene import Scene

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
AFTER_FRAMES = 6  # frames after a move in which a press still means it: its words go on there


@dataclass(frozen=True, slots=True)
class OtherRow:
    """A row of the version that is compared, under the row of the same part."""

    row: PlanRow
    name: str


Listed = PlanRow | OtherRow | str


def plan_lines(desk: Desk) -> list[Listed]:
    """What the panel lists from top to bottom: names of characters, and their rows."""
    lines: list[Listed] = []
    several = desk.who is None and len(desk.scene.characters) > 1
    who = ""
    for (owner, _), rows in _parts(desk):
        if several and owner != who:
            lines.append(owner)
        who = owner
        lines += rows
    return lines


def _parts(desk: Desk) -> list[tuple[tuple[str, str], list[Listed]]]:
    """The rows of each part; with another version its rows too, what is on top first."""
    own = _by_part(plan_rows(desk))
    other = desk.other
    if other is None:
        return [(part, list(rows)) for part, rows in own.items()]
    theirs = _by_part(other.index.rows(who=desk.who, dropped=False))
    found: list[tuple[tuple[str, str], list[Listed]]] = []
    for part in dict.fromkeys([*own, *theirs]):
        mine: list[Listed] = list(own.get(part, ()))
        beside: list[Listed] = [OtherRow(r, other.told) for r in theirs.get(part, ())]
        found.append((part, beside + mine if other.on_top else mine + beside))
    return found


def _by_part(rows: Sequence[PlanRow]) -> dict[tuple[str, str], list[PlanRow]]:
    found: dict[tuple[str, str], list[PlanRow]] = {}
    for row in rows:
        found.setdefault((row.who, row.part), []).append(row)
    return found


def draw(desk: Desk, room: Room) -> Seen:
    """The lines of the plan in sight, names included; the first always says whose they are."""
    listed = plan_lines(desk)
    if not listed:
        text = "nothing planned yet: pick words, then tag them with an intent"
        hint: Row = (Run(" " * room.gutter), Run(padded(text, desk.window.columns), "hint"))
        return Seen((hint,), scrolled(desk, "plan", 0, 0, room.height, None))
    current = current_row(desk)
    key = desk.choice if isinstance(desk.choice, SuggestionOf) else "none"
    place = listed.index(current) if current in listed else 0
    top = scrolled(desk, "plan", place, len(listed), room.height, key)
    lines = listed[top.row : top.row + room.height]
    rows = []
    for line in lines:
        if isinstance(line, str):
            rows.append(_name_row(desk, line, room.gutter))
        elif isinstance(line, OtherRow):
            name: Row = (Run(padded(line.name, room.gutter - 1, right=True) + " ", "hint"),)
            assert desk.other is not None
            rows.append((*name, *plan_row(desk, line.row, desk.other.scene, faint=True)))
        else:
            here = line is current and desk.panel == "plan"
            shown = "" if line.lane and not here and line is not lines[0] else line.part
            rows.append((*label(shown, room.gutter, on=here), *plan_row(desk, line, desk.planned)))
    if isinstance(lines[0], PlanRow) and len(desk.scene.characters) > 1:
        rows[0] = _with_who(lines[0], rows[0], room.gutter, on=lines[0] is current)
    return Seen(with_more(tuple(rows), top.row, len(listed) - top.row - len(lines)), top)


def _with_who(line: PlanRow, row: Row, gutter: int, *, on: bool) -> Row:
    """The first row in sight says whose it is, when their name is scrolled away."""
    text = f"{line.who} {line.part}"
    return (*label(text, gutter, on=on, role="gutter name"), *row[1:])


def _name_row(desk: Desk, who: str, gutter: int) -> Row:
    canvas = Canvas(desk.window.columns, 1)
    canvas.put(0, 0, "┄" * desk.window.columns, "name line")
    canvas.mark_column(desk.window.column(desk.cursor), CURSOR)
    return (*label(who, gutter, role="gutter name"), *canvas.rows()[0])


def plan_row(desk: Desk, row: PlanRow, scene: Scene, *, faint: bool = False) -> Row:
    """One row of cells; the intents of its poses are the scene's it was planned for."""
    window = desk.window
    canvas = Canvas(window.columns, 1)
    seen = row.between(window.first, window.last)
    chosen = desk.choice.id if isinstance(desk.choice, SuggestionOf) and not faint else None
    for place, suggestion in enumerate(seen):
        following = seen[place + 1] if place + 1 < len(seen) else None
        marks = CHOSEN if suggestion.id == chosen else 0
        odd = row.place(suggestion) % 2
        intent = _intent(scene, suggestion)
        _draw_block(canvas, desk, suggestion, following, intent, marks | (NEXT if odd else 0))
    canvas.mark_column(window.column(desk.cursor), CURSOR)
    return canvas.rows()[0]


def _draw_block(
    canvas: Canvas, desk: Desk, s: Suggestion, following: Suggestion | None, intent: str,
    marks: int,
) -> None:  # fmt: skip
    window = desk.window
    first, last = window.column(s.frames[0]), window.column(s.frames[1])
    if last < 0 or first >= canvas.width:
        return
    gone = s.id in desk.index.dropped_ids
    limit = canvas.width if following is None else window.column(following.frames[0])
    end = min(last, max(limit - 1, first), canvas.width - 1)
    start = max(0, first)
    inside = "dropped" if gone else f"block {s.kind}"
    after = "dropped" if gone else "decided" if s.decision else f"after {s.kind}"
    canvas.put(0, start, ("┄" if gone else " ") * (end - start + 1), inside, marks)
    text = _text(s, intent, limit - start - (following is not None))
    canvas.put(0, start, text[: end - start + 1], inside, marks)
    canvas.put(0, end + 1, text[end - start + 1 :], after)
    hit = window.column(hit_of(s))
    if s.hit is not None and start <= hit <= end and not gone:
        letter = text[hit - start] if hit - start < len(text) else " "
        canvas.put(0, hit, letter, f"hit {s.kind}", marks & CHOSEN)


def _text(s: Suggestion, intent: str, room: int) -> str:
    """The longest wording that has room, else the short one cut."""
    text = next((t for t in wordings(s, intent) if len(t) <= room), None)
    if text is not None:
        return text
    return fitted(KIND_WORDS[s.kind][1], room) if room >= LEAST_LETTERS else ""


def _intent(scene: Scene, suggestion: Suggestion) -> str:
    """What the suggestion's beat means; empty where none is tagged."""
    beat = suggestion.beat
    return scene.beats[beat].intent if beat is not None and beat < len(scene.beats) else ""


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


def press(desk: Desk, seen: Seen, spot: Spot) -> Desk:
    """A press chooses a suggestion and takes hold of it; a drag moves it by frames, in one go."""
    if spot.drag:
        taken = cursor.as_taken(desk, spot.drag)
        if taken is None or desk.grip is None:
            return cursor.released(desk)
        exposures = round((spot.frame - desk.grip.frame) / desk.plan.step)
        return decisions.move(taken, exposures) if exposures else taken
    lines = plan_lines(desk)
    place = spot.row + (seen.top.row if seen.top else 0)
    line = lines[place] if place < len(lines) else None
    if not isinstance(line, PlanRow) or spot.in_gutter:
        return desk
    frame = spot.frame
    over = [s for s in line.suggestions if s.frames[0] <= frame <= s.frames[1] + AFTER_FRAMES]
    if not over:
        return desk
    best = min(over, key=lambda s: (s.frames[1] < frame, abs(hit_of(s) - frame)))
    chosen = choice.choose(desk, SuggestionOf(best.id))
    return cursor.with_grip(chosen, SuggestionOf(best.id), frame)


def _wants(desk: Desk, room: Room) -> int:
    return max(3, len(plan_lines(desk)))


PLAN = Panel("plan", ("move",), draw, _wants, press, keys=True, least=2, keep=2, fills=True)
