"""The two rows on top: which scene, which way in, what is saved; where the cursor is.

Pure: from a Desk to rows of cells.
"""

from __future__ import annotations

from planner.desk.cells import Row, Rows, Run, fitted
from planner.desk.ruler_view import shown
from planner.desk.state import UNITS, Desk, Way, Words, changes_unsaved

WAYS: dict[Way, tuple[str, str]] = {
    "mean": ("1", "Mean"),  # the writer's: what each phrase means
    "move": ("2", "Move"),  # the animator's: what moves, when, and why
    "mend": ("3", "Mend"),  # the lead's: what does not land yet
}


def head_rows(desk: Desk, width: int, *, sound: str = "", disk: str = "") -> Rows:
    """Two rows of exactly `width` cells. `sound` is what the player does, `disk` a warning."""
    ways: list[Run] = []
    for way, (key, name) in WAYS.items():
        on = way == desk.way
        ways.append(Run(f"[{key} {name}]" if on else f" {key} {name} ", "way on" if on else "way"))
    state, role = save_state(desk, disk)
    title = Run(fitted(f" {desk.scene.title} ", max(10, width - 60)), "title")
    left: Row = (title, Run("  ", "bar"), *ways)
    right: Row = (Run(f"{state} ", role),)
    return (_spread(left, right, width), _cursor_row(desk, width, sound))


def save_state(desk: Desk, disk: str = "") -> tuple[str, str]:
    """Whether there is something to save, in words, and the role it is shown in."""
    if disk:
        return disk, "alarm"
    if not desk.changed:
        return "saved", "state"
    count = changes_unsaved(desk)
    return f"not saved: {count} change{'' if count == 1 else 's'}", "unsaved"


def _cursor_row(desk: Desk, width: int, sound: str) -> Row:
    clock = desk.scene.clock
    units = [shown(desk.cursor, unit, clock) for unit in UNITS]
    text = " " + "  ".join(units)
    said = said_at(desk, desk.cursor)
    here = f'  {said[0]}: "{said[1]}"' if said else ""
    zoom = desk.window.per_column
    right = sound or ("" if desk.way == "mean" else f"{zoom} frame{'s' * (zoom > 1)} a column")
    left: Row = (Run(text, "where"), Run(here, "here"), Run(f"   {told(desk)}", "told"))
    return _spread(left, (Run(f" {right} ", "state"),), width)


def told(desk: Desk) -> str:
    """What the desk says about the last key."""
    return desk.said or ("planning…" if desk.stale else "")


def is_told_in_full(row: Row, desk: Desk) -> bool:
    """True if all the desk says has room in the row of the cursor."""
    return any(run.role == "told" and run.text.strip() == told(desk) for run in row)


def said_at(desk: Desk, frame: int) -> tuple[str, str] | None:
    """Who says which word at a frame; a chosen word of several, else the one that begins last."""
    choice = desk.choice
    if isinstance(choice, Words) and (line := desk.laid.line(choice.line)) is not None:
        for word in line.words[choice.first - 1 : choice.last][::-1]:
            if word.frames[0] <= frame <= word.frames[1]:
                return line.who, word.text
    found = desk.laid.word_at(frame)
    return None if found is None else (found[0].who, found[1].text)


def _spread(left: Row, right: Row, width: int) -> Row:
    """Left and right with blanks between; the left one is cut if both do not fit."""
    room = width - sum(len(run.text) for run in right)
    kept: list[Run] = []
    for run in left:
        text = fitted(run.text, room)
        if text:
            kept.append(Run(text, run.role, run.marks))
        room -= len(text)
        if room <= 0:
            break
    return (*kept, Run(" " * max(0, room), "bar"), *right)
