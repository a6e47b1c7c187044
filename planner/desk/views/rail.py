"""The rail at the right: the bodies on the cursor's frame, as figures and in figures. Pure.

The figure and the degrees are read off the compiled motion, the same that is exported.
"""

from __future__ import annotations

from functools import lru_cache

from planner.desk.edits.beats import speaker_at
from planner.desk.plan_index import hit_of
from planner.desk.state import Desk
from planner.desk.units import shown_here
from planner.desk.views.cells import Row, Rows, Run, padded
from planner.desk.views.plan import KIND_WORDS
from planner.motion.figure import figure_at
from planner.motion.figure_text import figure_text
from planner.motion.performance import CharacterMotion, Performance
from planner.plan.suggestion import Suggestion

LEAST_FIGURE, MOST_FIGURE = 8, 16  # rows; in fewer brows and mouth are not told apart
MOST_MOVES = 3  # of a character, told in full
# What is told of a body, in degrees: up, the picture's right and clockwise are positive.
TOLD = (
    ("head", (("up", "head.up"), ("turn", "head.turn"), ("tip", "head.tip"))),
    ("chest", (("bend", "chest.bend"), ("turn", "chest.turn"))),
)
Line = tuple[str, str]


def rail_rows(desk: Desk, width: int, height: int) -> Rows:
    """As many rows as there are; a rule at the left parts them from the frames."""
    who_shown = [c for c in desk.scene.characters if desk.who in (None, c)]
    told = {who: _figures(desk, who, width - 4) for who in who_shown}
    spare = height - 1 - sum(len(lines) + 2 for lines in told.values())
    drawn = _drawn_of(desk, who_shown, spare)
    lines: list[Line] = [(f"at {shown_here(desk, desk.cursor)}", "number")]
    for who in who_shown:
        lines += [("", "plain"), (who, "gutter name")]
        lines += _figure(desk, who, width - 4, drawn.get(who, 0)) + told[who]
    shown = lines[:height]
    if len(lines) > height:
        shown[-1] = (f"{len(lines) - height + 1} more ↓", "more")
    shown += [("", "plain")] * (height - len(shown))
    made: list[Row] = [
        (Run("│ ", "name line"), Run(padded(text, width - 2), role)) for text, role in shown
    ]
    return tuple(made)


def _drawn_of(desk: Desk, who_shown: list[str], spare: int) -> dict[str, int]:
    """Who is drawn in how many rows: all, or whoever speaks, or nobody where it says nothing."""
    if desk.performance is None or not who_shown:
        return {}
    each = spare // len(who_shown)
    if each >= LEAST_FIGURE:
        return dict.fromkeys(who_shown, min(MOST_FIGURE, each))
    speaker = speaker_at(desk, desk.cursor)
    if spare < LEAST_FIGURE or speaker not in who_shown:
        return {}
    return {speaker: min(MOST_FIGURE, spare)}


def _figure(desk: Desk, who: str, width: int, rows: int) -> list[Line]:
    if desk.performance is None or not rows:
        return []
    tone = desk.scene.characters.index(who)
    drawn = _drawn(desk.performance, who, desk.cursor, width, rows, tone)
    return [(text, "plain") for text in drawn]


def _figures(desk: Desk, who: str, width: int) -> list[Line]:
    """The degrees of a body, and what it does."""
    lines: list[Line] = []
    if desk.performance is not None:
        motion = desk.performance.of(who)
        lines = [(_degrees(motion, desk.cursor, *told), "figure") for told in TOLD]
    moves = _moves(desk, who)
    for s in moves[:MOST_MOVES]:
        lines += _told(desk, s, width)
    if len(moves) > MOST_MOVES:
        lines.append((f"and {len(moves) - MOST_MOVES} more", "hint"))
    return lines or [("nothing planned here", "hint")]


@lru_cache(maxsize=256)
def _drawn(
    performance: Performance, who: str, frame: int, columns: int, rows: int, tone: int
) -> tuple[str, ...]:
    """The figure of a frame; kept, as the same frame is painted again with every key."""
    rate = float(performance.frames_per_s)
    shapes, points = figure_at(performance.of(who), rate, frame, tone=tone)
    return figure_text(shapes, points, columns=columns, rows=rows)


def _degrees(
    motion: CharacterMotion, frame: int, part: str, channels: tuple[tuple[str, str], ...]
) -> str:
    at = min(max(frame, motion.first_frame), motion.last_frame) - motion.first_frame
    values = (f"{name} {motion.channel(channel)[at]:+.0f}" for name, channel in channels)
    return f"{part} {' '.join(values)}°"


def _moves(desk: Desk, who: str) -> list[Suggestion]:
    """The suggestions of a character over the cursor's frame, in the order of the plan's rows."""
    return [
        s
        for row in desk.index.rows(who=who, dropped=False)
        for s in row.between(desk.cursor, desk.cursor)
        if s.frames[0] <= desk.cursor <= s.frames[1]
    ]


def _told(desk: Desk, s: Suggestion, room: int) -> list[Line]:
    """A move in two lines: its part and kind, and how far it is."""
    first, last = s.frames
    name = f"{s.part}: {KIND_WORDS[s.kind][0]}"
    if s.direction and len(name) + len(s.direction) + 1 <= room:
        name += f" {s.direction}"
    at = f"frame {desk.cursor - first + 1} of {last - first + 1}"
    if s.hit is not None:
        away = hit_of(s) - desk.cursor
        ago = f", hit in {away}" if away > 0 else f", hit {-away} ago"
        at += ago if away else ", on its hit"
    return [(name, "why"), (f"  {at}", "figure")]
