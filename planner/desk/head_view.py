"""The two rows on top: which scene, which way in, what is saved; where the cursor is.

Pure: from a Desk to rows of cells.
"""

from __future__ import annotations

from planner.desk.cells import Row, Rows, Run, fitted
from planner.desk.ruler_view import shown
from planner.desk.state import UNITS, Desk, Way, undo_depth
from planner.desk.tagging import speaker_at

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
    count = undo_depth(desk)
    return f"not saved: {count} change{'' if count == 1 else 's'}", "unsaved"


def _cursor_row(desk: Desk, width: int, sound: str) -> Row:
    clock = desk.scene.clock
    units = [shown(desk.cursor, unit, clock) for unit in UNITS]
    text = " " + "  ".join(units)
    word = word_at(desk, desk.cursor)
    speaker = speaker_at(desk, desk.cursor)
    here = f'  {speaker}: "{word}"' if word and speaker else ""
    zoom = desk.window.per_column
    right = sound or ("" if desk.way == "mean" else f"{zoom} frame{'s' * (zoom > 1)} a column")
    told = desk.said or ("planning…" if desk.stale else "")
    left: Row = (Run(text, "where"), Run(here, "here"), Run(f"   {told}", "told"))
    return _spread(left, (Run(f" {right} ", "state"),), width)


def word_at(desk: Desk, frame: int) -> str:
    """The word that is said at a frame."""
    for line in desk.laid.between(frame, frame):
        for word in line.words:
            if word.frames[0] <= frame <= word.frames[1]:
                return word.text
    return ""


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
