"""The two rows on top: which scene, which way in, what is saved; where the cursor is.

Pure: from a Desk to rows of cells.
"""

from __future__ import annotations

from rich.cells import cell_len

from planner.desk.choices import Words
from planner.desk.state import UNITS, Desk, Way, changes_unsaved
from planner.desk.units import shown
from planner.desk.views.cells import Row, Run, fitted
from planner.desk.views.panel import Panel, Room, Seen, Spot
from planner.desk.views.ways import WAYS

LEAST_TITLE = 10  # cells


def head_rows(desk: Desk, room: Room) -> Seen:
    """Two rows of exactly the room's width."""
    ways: list[Run] = [Run(" ", "bar")]
    for way, name in WAYS.items():
        on = way == desk.way
        ways.append(Run(f"[{name}]" if on else f" {name} ", "way on" if on else "way"))
    state, role = save_state(desk, room.told.get("disk", ""))
    taken = sum(len(run.text) for run in ways) + len(state) + 4
    title = Run(fitted(f" {desk.scene.title or 'untitled'} ", max(LEAST_TITLE, room.width - taken)),
                "title")  # fmt: skip
    first = _spread((title, *ways), (Run(f"{state} ", role),), room.width)
    return Seen((first, _cursor_row(desk, room)))


def save_state(desk: Desk, disk: str = "") -> tuple[str, str]:
    """Whether there is something to save, in words, and the role it is shown in."""
    if disk:
        return disk, "alarm"
    if not desk.changed:
        return "saved", "state"
    count = changes_unsaved(desk)
    return f"not saved: {count} change{'' if count == 1 else 's'}", "unsaved"


def _cursor_row(desk: Desk, room: Room) -> Row:
    clock = desk.scene.clock
    units = [shown(desk.cursor, unit, clock) for unit in UNITS]
    if room.width < 100:
        units = units[:2]
    text = " " + "  ".join(units)
    said = said_at(desk, desk.cursor)
    here = f'  {said[0]}: "{said[1]}"' if said else ""
    zoom = desk.window.per_column
    plural = "" if zoom == 1 else f"{zoom} frames a column"
    hidden = room.told.get("hidden", "")
    right = (
        room.told.get("sound")
        or (hidden and f"no room for: {hidden}")
        or ("" if desk.way == "mean" else plural)
    )
    left: Row = (Run(text, "where"), Run(here, "here"), Run(f"   {told(desk)}", "told"))
    return _spread(left, (Run(f" {right} ", "alarm" if hidden and right.startswith("no room")
                             else "state"),) if right else (), room.width)  # fmt: skip


def told(desk: Desk) -> str:
    """What the desk says about the last key."""
    return desk.said or ("planning..." if desk.stale else "")


def is_told_in_full(row: Row, desk: Desk) -> bool:
    """True if all the desk says has room in the row of the cursor."""
    return any(run.role == "told" and run.text.strip() == told(desk) for run in row)


def said_at(desk: Desk, frame: int) -> tuple[str, str] | None:
    """Who says which word at a frame; a chosen word of several, else the one that begins last."""
    choice = desk.choice
    if isinstance(choice, Words) and (line := desk.facts.line.get(choice.line)) is not None:
        for word in line.words[choice.first - 1 : choice.last][::-1]:
            if word.frames[0] <= frame <= word.frames[1]:
                return line.who, word.text
    found = desk.laid.word_at(frame)
    return None if found is None else (found[0].who, found[1].text)


def _spread(left: Row, right: Row, width: int) -> Row:
    """Left and right with blanks between; the left one is cut if both do not fit."""
    room = width - sum(cell_len(run.text) for run in right)
    kept: list[Run] = []
    for run in left:
        text = fitted(run.text, room)
        if text:
            kept.append(Run(text, run.role, run.marks))
        room -= cell_len(text)
        if room <= 0:
            break
    return (*kept, Run(" " * max(0, room), "bar"), *right)


def way_at(seen: Seen, spot: Spot) -> Way | None:
    """The way in whose name stands at a spot of the top row."""
    if spot.drag or spot.row:
        return None
    begin = 0
    for run in seen.rows[0]:
        end = begin + cell_len(run.text)
        if begin <= spot.column < end:
            name = run.text.strip(" []")
            return next((way for way, known in WAYS.items() if known == name), None)
        begin = end
    return None


def _wants(desk: Desk, room: Room) -> int:
    return 2


HEAD = Panel("head", ("mean", "move", "mend"), head_rows, _wants, least=2, keep=0)
