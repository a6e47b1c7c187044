"""The lead's rows: key poses with their verdicts, a row a part. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from planner.desk import cursor
from planner.desk.choice import choose
from planner.desk.choices import PoseAt
from planner.desk.edits import poses
from planner.desk.state import Desk
from planner.desk.verdicts import PoseVerdict
from planner.desk.views.cells import CHOSEN, CURSOR, HIT, Canvas, Row, Run, fitted, padded
from planner.desk.views.more import with_more
from planner.desk.views.panel import Panel, Room, Seen, Spot, label, scrolled
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


def draw(desk: Desk, room: Room) -> Seen:
    """The rows of poses in sight, names included."""
    lines = pose_lines(desk)
    if not lines:
        text = "no key poses yet: add one at the cursor, or load a file of them"
        return Seen(((Run(" " * room.gutter), Run(padded(text, desk.window.columns), "hint")),))
    index = desk.choice.index if isinstance(desk.choice, PoseAt) else -1
    place = next((at for at, line in enumerate(lines) if index in line.indexes), 0)
    top = scrolled(desk, "poses", place, len(lines), room.height, index)
    several = len(desk.scene.characters) > 1
    rows: list[Row] = []
    for at, line in enumerate(lines[top.row : top.row + room.height], start=top.row):
        name = f"{line.who} {line.part}" if several else line.part
        if len(name) > room.gutter - 1 and at > top.row:
            name = line.part
        on = desk.panel == "poses" and at == place
        rows.append((*label(name, room.gutter, on=on), *_pose_row(desk, line)))
    return Seen(with_more(tuple(rows), top.row, len(lines) - top.row - len(rows)), top)


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
        return fitted(f"{name} ...", room)
    texts = (
        f"{name}: {verdict.text()}", f"{name}: {verdict.short()}", verdict.short(),
        verdict.shortest(),
    )  # fmt: skip
    return next((text for text in texts if len(text) <= room), fitted(texts[-1], room))


def press(desk: Desk, seen: Seen, spot: Spot) -> Desk:
    """A press chooses a pose and takes hold of it; a drag moves it by frames, in one change."""
    if spot.drag:
        taken = cursor.as_taken(desk, spot.drag)
        if taken is None or desk.grip is None:
            return cursor.released(desk)
        by = spot.frame - desk.grip.frame
        return poses.move_pose(taken, by) if by else taken
    lines = pose_lines(desk)
    place = spot.row + (seen.top.row if seen.top else 0)
    if place >= len(lines) or spot.in_gutter:
        return desk
    indexes = lines[place].indexes
    before = [i for i in indexes if desk.scene.poses[i].frame <= spot.frame]
    at = PoseAt(before[-1] if before else indexes[0])
    return cursor.with_grip(choose(desk, at), at, spot.frame)


def _wants(desk: Desk, room: Room) -> int:
    return max(1, min(len(pose_lines(desk)), room.screen_rows // 5))


POSES = Panel("poses", ("mend",), draw, _wants, press, keys=True, least=1, keep=2)
