"""The lead's rows: key poses with their verdicts, a row a part, and the list of problems.

Pure: from a Desk to rows of cells.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.desk.cells import CHOSEN, CURSOR, HIT, Canvas, Row, Rows, Run, fitted, padded
from planner.desk.more import with_more
from planner.desk.ruler_view import shown
from planner.desk.state import Desk, PoseAt, ProblemAt
from planner.desk.verdicts import PoseVerdict
from planner.scene import KeyPose

SHORTEST_POSE = 5  # cells; in less a pose out of sight is not named
VERDICT_ROLES = {"lands": "lands", "early": "off", "late": "off", "free": "free"}


@dataclass(frozen=True, slots=True)
class PoseRow:
    """The poses of one part of a character, by their places in the scene."""

    who: str
    part: str
    indexes: tuple[int, ...]


def pose_lines(desk: Desk) -> tuple[PoseRow, ...]:
    """A row for each part that has a pose."""
    groups: dict[tuple[str, str], list[int]] = {}
    for index, pose in enumerate(desk.scene.poses):
        if desk.who in (None, pose.who):
            groups.setdefault((pose.who, pose.part), []).append(index)
    return tuple(
        PoseRow(who, part, tuple(sorted(indexes, key=lambda i: desk.scene.poses[i].frame)))
        for (who, part), indexes in groups.items()
    )


def pose_view(desk: Desk, top: int, height: int, gutter: int) -> Rows:
    """The rows of poses from `top` on, gutter included."""
    lines = pose_lines(desk)
    if not lines:
        text = "no key poses yet: add one at the cursor, or load a file of them"
        return ((Run(" " * gutter), Run(padded(text, desk.window.columns), "hint")),)
    several = len(desk.scene.characters) > 1
    mark, role = ("›", "gutter on") if desk.panel == "poses" else (" ", "gutter")
    rows: list[Row] = []
    for line in lines[top : top + height]:
        label = f"{line.who} {line.part}" if several else line.part
        if len(label) > gutter - 1:
            label = line.part
        name = Run(padded(label, gutter - 1, right=True) + mark, role)
        rows.append((name, *_pose_row(desk, line)))
    return with_more(tuple(rows), top, len(lines) - top - len(rows))


def first_pose_line(desk: Desk, height: int) -> int:
    """The first row of poses shown, so that the chosen pose is in sight."""
    index = desk.choice.index if isinstance(desk.choice, PoseAt) else -1
    lines = pose_lines(desk)
    place = next((at for at, line in enumerate(lines) if index in line.indexes), 0)
    return max(0, min(place - height // 2, len(lines) - height))


def _pose_row(desk: Desk, line: PoseRow) -> Row:
    window = desk.window
    canvas = Canvas(window.columns, 1)
    placed = [(window.column(desk.scene.poses[i].frame), i) for i in line.indexes]
    for place, (column, index) in enumerate(placed):
        limit = placed[place + 1][0] if place + 1 < len(placed) else canvas.width
        if limit < 0 or column >= canvas.width:
            continue
        before = "‹ " if column < 0 else ""  # out of sight, and still held
        shown_at = max(0, column)
        verdicts = desk.verdicts.poses
        verdict = verdicts[index] if index < len(verdicts) and not desk.stale else None
        room = limit - shown_at - 1 - len(before)
        if before and room < SHORTEST_POSE:
            continue
        text = before + pose_text(desk.scene.poses[index], verdict, room)
        marks = CHOSEN if desk.choice == PoseAt(index) else 0
        role = VERDICT_ROLES[verdict.verdict] if verdict else "pose"
        canvas.put(0, shown_at, text, role, marks)
        if not before:
            canvas.mark(0, column, column, HIT)
    canvas.mark_column(window.column(desk.cursor), CURSOR)
    return canvas.rows()[0]


def pose_text(pose: KeyPose, verdict: PoseVerdict | None, room: int) -> str:
    """A pose and its verdict in as many words as there is room for."""
    name = pose.name or "pose"
    if verdict is None:
        return fitted(f"{name} …", room)
    texts = (
        f"{name}: {verdict.text()}", f"{name}: {verdict.short()}", verdict.short(),
        verdict.shortest(),
    )  # fmt: skip
    return next((text for text in texts if len(text) <= room), fitted(texts[-1], room))


def problem_view(desk: Desk, height: int, width: int) -> Rows:
    """The problems, the chosen one kept in sight, under their summary."""
    problems = desk.verdicts.problems
    summary = desk.verdicts.summary or "no check yet"
    head = f"{summary}; {len(problems) or 'no'} problem{'' if len(problems) == 1 else 's'}"
    rows: list[Row] = [
        (Run(padded(("›" if desk.panel == "problems" else " ") + head, width), "heading"),)
    ]
    chosen = desk.choice.index if isinstance(desk.choice, ProblemAt) else -1
    room = max(1, height - 1)
    top = first_problem(desk, height)
    for index, problem in list(enumerate(problems))[top : top + room]:
        at = shown(problem.frames[0], desk.unit, desk.scene.clock)
        doubt = "" if problem.certain else " (not certain)"
        text = f" {at:>6}  {problem.who}  {problem.text}{doubt}"
        role = "problem" if problem.certain else "remark"
        rows.append((Run(padded(text, width), role, CHOSEN if index == chosen else 0),))
    listed = with_more(tuple(rows[1:]), top, len(problems) - top - len(rows) + 1)
    return (rows[0], *listed)


def first_problem(desk: Desk, height: int) -> int:
    """The place of the first problem shown, so that the chosen one is in sight."""
    chosen = desk.choice.index if isinstance(desk.choice, ProblemAt) else -1
    room = max(1, height - 1)
    return min(max(0, chosen - room // 2), max(0, len(desk.verdicts.problems) - room))
