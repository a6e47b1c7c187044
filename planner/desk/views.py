"""All rows of the desk at once: for each panel that is shown, what stands in it.

Pure: from a Desk and the size of the screen to rows of cells, gutters included. The app hands each
panel its rows; a test reads them as text.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from planner.desk.beat_view import beat_gutter, beat_rows, first_beat_row
from planner.desk.cells import Row, Rows, Run, joined, padded
from planner.desk.head_view import head_rows, is_told_in_full, told
from planner.desk.heights import gutter_width, panel_heights
from planner.desk.more import with_more
from planner.desk.plan_view import first_plan_line, plan_view
from planner.desk.pose_view import first_pose_line, first_problem, pose_view, problem_view
from planner.desk.ruler_view import note_rows, ruler_rows
from planner.desk.said_view import said_rows
from planner.desk.script_view import WordSpot, script_view
from planner.desk.state import Desk
from planner.desk.tone_view import stress_row, tone_gutter, tone_rows
from planner.desk.why_view import why_rows


@dataclass(frozen=True, slots=True)
class Views:
    """What every shown panel holds. `spots` is where the script's words stand."""

    rows: Mapping[str, Rows]
    gutter: int
    plan_top: int
    problem_top: int
    pose_top: int
    beat_top: int
    spots: tuple[WordSpot, ...]


def make_views(
    desk: Desk, columns: int, rows: int, *, plan_top: int = 0, sound: str = "", disk: str = ""
) -> Views:
    """The rows of each panel, by its name, for a screen of this size."""
    heights = panel_heights(desk, rows)
    gutter = gutter_width(columns)
    made: dict[str, Rows] = {"head": head_rows(desk, columns, sound=sound, disk=disk)}
    spots: tuple[WordSpot, ...] = ()
    pose_top = beat_top = 0
    if "script" in heights:
        made["script"], spots = script_view(desk, heights["script"], columns)
    if "ruler" in heights:
        made["ruler"] = _beside((_label(desk.unit, gutter), _label("", gutter)), ruler_rows(desk))
        made["notes"] = _note_panel(desk, heights["notes"], gutter)
        made["words"] = _tone_panel(desk, heights["words"], gutter)
    if "beats" in heights:
        beat_top = first_beat_row(desk, heights["beats"])
        every = _beside(beat_gutter(desk, gutter), beat_rows(desk))
        seen = every[beat_top : beat_top + heights["beats"]]
        made["beats"] = with_more(seen, beat_top, len(every) - beat_top - len(seen))
    if "plan" in heights:
        plan_top = first_plan_line(desk, heights["plan"], plan_top)
        made["plan"] = plan_view(desk, plan_top, heights["plan"], gutter)
    if "poses" in heights:
        pose_top = first_pose_line(desk, heights["poses"])
        made["poses"] = pose_view(desk, pose_top, heights["poses"], gutter)
        made["problems"] = problem_view(desk, heights["problems"], columns)
    message = "" if is_told_in_full(made["head"][1], desk) else told(desk)
    made["why"] = why_rows(desk, heights["why"], columns, message=message)
    problem_top = first_problem(desk, heights.get("problems", 1))
    return Views(made, gutter, plan_top, problem_top, pose_top, beat_top, spots)


def _note_panel(desk: Desk, height: int, gutter: int) -> Rows:
    on = desk.panel == "notes"
    labels = [_label("notes" + (" ›" if on else ""), gutter, on=on)]
    labels += [_label("", gutter)] * (height - 1)
    return _beside(tuple(labels), note_rows(desk, height))


def _tone_panel(desk: Desk, height: int, gutter: int) -> Rows:
    """The tone line, the frames of its stresses, the words."""
    said = said_rows(desk, gutter)
    tone = height - 1 - len(said)
    stresses = joined(_label("stressed at", gutter), stress_row(desk))
    return (*_beside(tone_gutter(desk, tone, gutter), tone_rows(desk, tone)), stresses, *said)


def _label(text: str, gutter: int, *, on: bool = False) -> Row:
    return (Run(padded(text, gutter - 1, right=True) + " ", "gutter on" if on else "gutter"),)


def _beside(labels: Rows, rows: Rows) -> Rows:
    return tuple(joined(label, row) for label, row in zip(labels, rows, strict=True))
