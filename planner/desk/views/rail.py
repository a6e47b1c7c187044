"""The rail at the right: what the bodies do on the cursor's frame, in figures. Pure."""

from __future__ import annotations

from planner.desk.plan_index import hit_of
from planner.desk.state import Desk
from planner.desk.units import shown_here
from planner.desk.views.cells import Row, Rows, Run, padded
from planner.desk.views.plan import KIND_WORDS
from planner.plan.suggestion import Suggestion


def rail_rows(desk: Desk, width: int, height: int) -> Rows:
    """As many rows as there are; a rule at the left parts them from the frames."""
    lines: list[tuple[str, str]] = [(f"at {shown_here(desk, desk.cursor)}", "number")]
    for who in desk.scene.characters:
        if desk.who not in (None, who):
            continue
        lines += [("", "plain"), (who, "gutter name")]
        moves = _moves(desk, who)
        lines += [line for s in moves for line in _told(desk, s, width - 4)]
        if not moves:
            lines.append(("nothing planned here", "hint"))
    shown = lines[:height]
    if len(lines) > height:
        shown[-1] = (f"{len(lines) - height + 1} more ↓", "more")
    shown += [("", "plain")] * (height - len(shown))
    made: list[Row] = [
        (Run("│ ", "name line"), Run(padded(text, width - 2), role)) for text, role in shown
    ]
    return tuple(made)


def _moves(desk: Desk, who: str) -> list[Suggestion]:
    """The suggestions of a character over the cursor's frame, in the order of the plan's rows."""
    return [
        s
        for row in desk.index.rows(who=who, dropped=False)
        for s in row.between(desk.cursor, desk.cursor)
        if s.frames[0] <= desk.cursor <= s.frames[1]
    ]


def _told(desk: Desk, s: Suggestion, room: int) -> list[tuple[str, str]]:
    """A move in a line or two: its part and kind, and how far it is."""
    first, last = s.frames
    name = f"{s.part}: {KIND_WORDS[s.kind][0]}"
    if s.direction and len(name) + len(s.direction) + 1 <= room:
        name += f" {s.direction}"
    count = last - first + 1
    at = f"frame {desk.cursor - first + 1} of {count}"
    if s.hit is not None:
        away = hit_of(s) - desk.cursor
        at += (
            ", on its hit"
            if not away
            else f", hit in {away}"
            if away > 0
            else (f", hit {-away} ago")
        )
    return [(name, "why"), (f"  {at}", "figure")]
