"""How many rows each panel gets. Pure arithmetic, from 24 rows up."""

from __future__ import annotations

from collections.abc import Mapping

from planner.desk.plan_view import plan_lines
from planner.desk.pose_view import pose_lines
from planner.desk.said_view import said_row_count
from planner.desk.state import Desk

HEAD_ROWS = 2
KEY_ROWS = 1
RULER_ROWS = 2
LEAST_BEATS = 2
LEAST_TONE = 6
MOST_TONE = 24  # taller, a step of pitch is many rows and the line falls apart


def gutter_width(columns: int) -> int:
    """Cells for the names at the left."""
    return 12 if columns < 100 else 16


def panel_heights(desk: Desk, rows: int) -> Mapping[str, int]:
    """Rows of each panel for the way in; a panel without rows is not shown."""
    rest = rows - HEAD_ROWS - KEY_ROWS
    why = 3 if rows < 32 else 6 if rows < 46 else 9
    if desk.way == "mean":
        return {"script": max(3, rest - why), "why": why}
    notes = 1 if rows < 40 else 2
    under = 1 + said_row_count(desk)  # the frames of the stresses, the words
    rest -= RULER_ROWS + notes + under + why
    shared = {"ruler": RULER_ROWS, "notes": notes, "why": why}
    if desk.way == "move":
        beats = min(len(desk.scene.characters), max(LEAST_BEATS, rest // 3))
        tone, plan = _share(rest - beats, max(3, len(plan_lines(desk))), 0.5)
        shared["why"] += rest - beats - tone - plan
        return {**shared, "words": tone + under, "beats": beats, "plan": plan}
    poses = max(1, min(len(pose_lines(desk)), rest // 4))
    tone, problems = _share(rest - poses, len(desk.verdicts.problems) + 1, 0.6)
    shared["why"] += rest - poses - tone - problems
    return {**shared, "words": tone + under, "poses": poses, "problems": problems}


def _share(rows: int, wanted: int, tone_share: float) -> tuple[int, int]:
    """Rows for the tone line and for the list below it, which takes no more than it wants."""
    tone = max(LEAST_TONE, min(MOST_TONE, round(rows * tone_share)))
    below = max(2, min(wanted, rows - tone))
    return max(LEAST_TONE, min(MOST_TONE, rows - below)), below
