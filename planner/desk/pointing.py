"""What the mouse does to the desk: from a spot on a panel to a Desk. Pure.

A click chooses what stands there, on the top row a way in; a drag over the tone line picks words,
over the ruler frames; a beat's edge, a suggestion or a pose is dragged by frames, in one change;
the wheel pans, with ctrl it zooms about the column under it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from planner.desk import choosing, deciding, moving, posing, tagging
from planner.desk.beat_frames import beat_frames
from planner.desk.cells import Row
from planner.desk.head_view import WAYS
from planner.desk.plan_index import PlanRow, hit_of
from planner.desk.plan_view import plan_lines
from planner.desk.pose_view import pose_lines
from planner.desk.state import (
    BeatAt,
    Desk,
    Frames,
    Grip,
    NoteAt,
    PoseAt,
    ProblemAt,
    SuggestionOf,
    Words,
)  # fmt: skip
from planner.desk.views import Views
from planner.shot.laid import LaidWord

WHEEL_COLUMNS = 6  # a notch of the wheel
GRAB_COLUMNS = 1  # how far beside an edge still takes hold of it


@dataclass(frozen=True, slots=True)
class Spot:
    """Where the mouse is on a panel. `drag`: 0 pressed, 1 moved with the button down, 2 let go."""

    panel: str
    column: int
    row: int
    drag: int


def point(desk: Desk, views: Views, spot: Spot) -> Desk:
    """The desk after the mouse did that; keys act on a panel from the first press on it."""
    if spot.drag == 0 and spot.panel in moving.PANELS[desk.way]:
        desk = moving.attend(desk, spot.panel)
    if spot.panel == "head":
        return _head(desk, views, spot)
    if spot.panel == "script":
        return _script(desk, views, spot)
    if spot.panel == "problems":
        return _problem(desk, views, spot)
    column = spot.column - views.gutter
    if column < 0 and spot.drag == 0:
        return desk
    frame = desk.window.frame(max(0, min(column, desk.window.columns - 1)))
    match spot.panel:
        case "ruler":
            return _ruler(desk, frame, spot.drag)
        case "words":
            return _words(desk, frame, spot.drag)
        case "beats" | "plan" | "poses" if spot.drag:
            return _drag(desk, frame, spot.drag)
        case "beats":
            return _take_beat(desk, frame, views.beat_top + spot.row)
        case "plan":
            return _plan(desk, views, frame, spot.row)
        case "poses":
            return _poses(desk, frame, views.pose_top + spot.row)
        case "notes" if not spot.drag:
            return _notes(desk, frame)
    return desk


def _head(desk: Desk, views: Views, spot: Spot) -> Desk:
    """The way in whose name was clicked."""
    if spot.drag or spot.row:
        return desk
    name = text_at(views.rows["head"][0], spot.column).strip(" []")
    for way, names in WAYS.items():
        if name == " ".join(names):
            return moving.switch_way(desk, way)
    return desk


def text_at(row: Row, column: int) -> str:
    """The text of the run at a column; empty outside the row."""
    for run in row:
        if 0 <= column < len(run.text):
            return run.text
        column -= len(run.text)
    return ""


def wheel(desk: Desk, views: Views, column: int, by: int, *, zoom: bool) -> Desk:
    """The desk after the wheel turned by `by` notches over a column of a panel."""
    if desk.way == "mean":
        return choosing.step_row(desk, by)
    if zoom:
        about = desk.window.frame(max(0, column - views.gutter))
        return moving.zoom(desk, by, about=about)
    return moving.pan(desk, by * WHEEL_COLUMNS)


def _ruler(desk: Desk, frame: int, drag: int) -> Desk:
    if drag == 0:
        return replace(moving.go_to(desk, frame), choice=None, said="")
    if drag == 1 and (frame != desk.cursor or isinstance(desk.choice, Frames)):
        anchor = desk.choice.anchor if isinstance(desk.choice, Frames) else desk.cursor
        return moving.pick_frames(desk, anchor, frame)
    return desk


def _words(desk: Desk, frame: int, drag: int) -> Desk:
    found = _word_at(desk, frame)
    if drag == 0:
        if found is None:
            return replace(moving.go_to(desk, frame), choice=None, said="")
        return choosing.choose(desk, Words(found[0], found[1].number, found[1].number))
    return _stretch_words(desk, found)


def _stretch_words(desk: Desk, found: tuple[int, LaidWord] | None) -> Desk:
    """Words from where the drag began to where it is, within the line."""
    choice = desk.choice
    if found is None or not isinstance(choice, Words) or found[0] != choice.line:
        return desk
    number = found[1].number
    if number < choice.first:
        return replace(desk, choice=replace(choice, first=number))
    return replace(desk, choice=replace(choice, last=number))


def _word_at(desk: Desk, frame: int) -> tuple[int, LaidWord] | None:
    """The word at a frame; just before a word counts when nothing else is there."""
    at = desk.laid.word_at(frame)
    if at is not None:
        return at[0].number, at[1]
    near = None
    for number, word in choosing.all_words(desk):
        if word.frames[0] - 2 <= frame <= word.frames[1] + 2:
            near = near or (number, word)
    return near


def _drag(desk: Desk, frame: int, drag: int) -> Desk:
    grip = desk.grip
    if grip is None or drag == 2:
        return replace(desk, grip=None)
    # From the scene as it was taken: the whole drag is one change, and neighbours come back.
    taken = replace(desk, scene=grip.scene, past=grip.past, future=grip.future, choice=grip.thing)
    by = frame - grip.frame
    match grip.thing:
        case BeatAt():
            return tagging.drag_edge(taken, grip.thing, frame)
        case SuggestionOf():
            exposures = round(by / desk.plan.step)
            return deciding.move(taken, exposures) if exposures else taken
        case PoseAt():
            return posing.move_pose(taken, by) if by else taken


def _gripped(desk: Desk, thing: BeatAt | SuggestionOf | PoseAt, frame: int) -> Desk:
    """The mouse has hold of a thing from now on."""
    return replace(desk, grip=Grip(thing, frame, desk.scene, desk.past, desk.future))


def _take_beat(desk: Desk, frame: int, row: int) -> Desk:
    """Choose the beat at a frame of a character's row; near an edge, take hold of that edge."""
    who = desk.scene.characters[min(row, len(desk.scene.characters) - 1)]
    grab = GRAB_COLUMNS * desk.window.per_column
    for index, beat in enumerate(desk.scene.beats):
        frames = beat_frames(desk.laid, beat)
        if beat.who == who and frames and frames[0] - grab <= frame <= frames[1] + grab:
            if beat_at_other(desk, who, index, frame):
                continue
            edge: Literal["start", "end"] = (
                "start" if abs(frame - frames[0]) < abs(frame - frames[1]) else "end"
            )
            at = frames[0] if edge == "start" else frames[1]
            beat_at = BeatAt(index, edge)
            near = abs(frame - at) <= grab
            chosen = replace(desk, choice=beat_at, said="", grip=None)
            return moving.go_to(_gripped(chosen, beat_at, frame) if near else chosen, frame)
    return replace(desk, choice=None)


def beat_at_other(desk: Desk, who: str, index: int, frame: int) -> bool:
    """True if another beat of the character really holds the frame, and this one only nearly."""
    own = beat_frames(desk.laid, desk.scene.beats[index])
    if own and own[0] <= frame <= own[1]:
        return False
    others = (
        beat_frames(desk.laid, b)
        for i, b in enumerate(desk.scene.beats)
        if i != index and b.who == who
    )
    return any(f and f[0] <= frame <= f[1] for f in others)


def _plan(desk: Desk, views: Views, frame: int, row: int) -> Desk:
    lines = plan_lines(desk)
    place = views.plan_top + row
    line = lines[place] if place < len(lines) else None
    if not isinstance(line, PlanRow):
        return desk
    over = [s for s in line.suggestions if s.frames[0] <= frame <= s.frames[1] + 6]
    if not over:
        return desk
    best = min(over, key=lambda s: (s.frames[1] < frame, abs(hit_of(s) - frame)))
    chosen = replace(desk, choice=SuggestionOf(best.id), cursor=hit_of(best), said="")
    return _gripped(chosen, SuggestionOf(best.id), frame)


def _poses(desk: Desk, frame: int, row: int) -> Desk:
    lines = pose_lines(desk)
    if row >= len(lines):
        return desk
    before = [i for i in lines[row].indexes if desk.scene.poses[i].frame <= frame]
    index = before[-1] if before else lines[row].indexes[0]
    return _gripped(choosing.choose(desk, PoseAt(index)), PoseAt(index), frame)


def _notes(desk: Desk, frame: int) -> Desk:
    before = [i for i, n in enumerate(choosing.notes_now(desk)) if n.frames[0] <= frame]
    return choosing.choose(desk, NoteAt(before[-1])) if before else desk


def _problem(desk: Desk, views: Views, spot: Spot) -> Desk:
    """A problem by its row; the panel's first row is the summary."""
    if spot.drag or spot.row == 0:
        return desk
    index = views.problem_top + spot.row - 1
    if index >= len(desk.verdicts.problems):
        return desk
    return choosing.choose(desk, ProblemAt(index))


def _script(desk: Desk, views: Views, spot: Spot) -> Desk:
    for word in views.spots:
        if word.row == spot.row and word.first <= spot.column <= word.last + 1:
            if spot.drag == 0:
                return choosing.choose(desk, Words(word.line, word.word, word.word))
            line = desk.laid.line(word.line)
            return (
                desk
                if line is None
                else _stretch_words(desk, (word.line, line.words[word.word - 1]))
            )
    return desk
