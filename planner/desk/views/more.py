"""Signs of what a panel has and does not show: "3 more below" at the end of a row.

Pure: from rows of cells to rows of cells. The words stand where the row is empty; where it is not,
they shrink to a number and an arrow over its last cells.
"""

from __future__ import annotations

from rich.cells import cell_len

from planner.desk.views.cells import Row, Rows, Run, joined, row_text

ABOVE, BELOW = "↑", "↓"


def with_more(rows: Rows, above: int, below: int) -> Rows:
    """The rows, with how many are above the first of them and below the last."""
    if not rows or (above <= 0 and below <= 0):
        return rows
    if len(rows) == 1 and above > 0 and below > 0:
        long, short = f"{above} more above, {below} below", f"{above}{ABOVE}{below}{BELOW}"
        return (_signed(rows[0], long, short),)
    made = list(rows)
    if above > 0:
        made[0] = _signed(made[0], f"{above} more above {ABOVE}", f"{above}{ABOVE}")
    if below > 0:
        made[-1] = _signed(made[-1], f"{below} more below {BELOW}", f"{below}{BELOW}")
    return tuple(made)


def _signed(row: Row, long: str, short: str) -> Row:
    """The row with a sign at its end: the long one if it lies on blanks only, else the short."""
    width = cell_len(row_text(row))
    signs = [f" {text} " for text in (long, short)]
    for sign in signs:
        kept, under = split(row, width - cell_len(sign))
        if all(not run.text.strip() or run.role == "name line" for run in under):
            return joined(kept, (Run(sign, "more"),))
    return joined(kept, (Run(signs[-1][:width], "more"),))


def split(row: Row, cells: int) -> tuple[Row, Row]:
    """A row cut in two after so many cells; a wide character on the cut becomes two blanks."""
    left: list[Run] = []
    right: list[Run] = []
    room = max(0, cells)
    for run in row:
        size = cell_len(run.text)
        if size <= room:
            left.append(run)
            room -= size
            continue
        head, tail = _cut(run.text, room)
        left += [Run(head, run.role, run.marks)] if head else []
        right.append(Run(tail, run.role, run.marks))
        room = 0
    return tuple(left), tuple(right)


def _cut(text: str, cells: int) -> tuple[str, str]:
    used = 0
    for place, char in enumerate(text):
        size = cell_len(char)
        if used + size > cells:
            blanks = cells - used
            rest = " " * (size - blanks) + text[place + 1 :] if blanks else text[place:]
            return text[:place] + " " * blanks, rest
        used += size
    return text, ""
