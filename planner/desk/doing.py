"""What each action does that needs neither a question nor a file: Desk to Desk. Pure.

Several keys say what they do to whatever is chosen: `d` drops a suggestion, untags a beat, removes
a pose or a note.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from planner.desk import choosing, deciding, moving, noting, posing, tagging
from planner.desk.state import (
    BeatAt,
    Desk,
    NoteAt,
    PoseAt,
    SuggestionOf,
    redo,
    say,
    undo,
)  # fmt: skip

MOST_OF_A_SCREEN = 0.8


def nudge(desk: Desk, by: int) -> Desk:
    """The chosen suggestion, edge or pose by so many frames."""
    match desk.choice:
        case SuggestionOf():
            return deciding.move(desk, by)
        case BeatAt():
            return tagging.nudge_edge(desk, by)
        case PoseAt():
            return posing.move_pose(desk, by)
    return say(desk, "choose a suggestion, a beat or a pose first")


def stretch(desk: Desk, by: int) -> Desk:
    """The chosen suggestion by a frame, or the beat's edge by a word."""
    if isinstance(desk.choice, BeatAt):
        return tagging.nudge_words(desk, by)
    return deciding.lengthen(desk, by)


def step(desk: Desk, by: int) -> Desk:
    """A frame along the ruler; a word along the script, which has no ruler."""
    return choosing.step_choice(desk, by) if desk.way == "mean" else moving.step_cursor(desk, by)


def drop(desk: Desk) -> Desk:
    """Drop, untag or remove what is chosen."""
    match desk.choice:
        case SuggestionOf():
            return deciding.decide(desk, "drop")
        case PoseAt():
            return posing.remove_pose(desk)
        case NoteAt():
            return noting.remove_note(desk)
    return tagging.untag(desk)


def let_go(desk: Desk) -> Desk:
    """Choose nothing."""
    return replace(desk, choice=None, said="")


DOINGS: dict[str, Callable[[Desk], Desk]] = {
    "mean": lambda d: moving.switch_way(d, "mean"),
    "move": lambda d: moving.switch_way(d, "move"),
    "mend": lambda d: moving.switch_way(d, "mend"),
    "later": lambda d: step(d, 1),
    "earlier": lambda d: step(d, -1),
    "on": lambda d: moving.page(d, MOST_OF_A_SCREEN),
    "back": lambda d: moving.page(d, -MOST_OF_A_SCREEN),
    "start": lambda d: moving.to_end(d, -1),
    "end": lambda d: moving.to_end(d, 1),
    "nearer": lambda d: moving.zoom(d, -1),
    "farther": lambda d: moving.zoom(d, 1),
    "whole": moving.whole_shot,
    "unit": moving.next_unit,
    "who": moving.next_who,
    "panel": lambda d: moving.next_panel(d, 1),
    "panel_back": lambda d: moving.next_panel(d, -1),
    "next": lambda d: choosing.step_choice(d, 1),
    "previous": lambda d: choosing.step_choice(d, -1),
    "down": lambda d: choosing.step_row(d, 1),
    "up": lambda d: choosing.step_row(d, -1),
    "word_more": lambda d: choosing.grow_words(d, 1),
    "word_less": lambda d: choosing.grow_words(d, -1),
    "pick_on": lambda d: moving.grow_frames(d, 1),
    "pick_back": lambda d: moving.grow_frames(d, -1),
    "none": let_go,
    "stronger": lambda d: tagging.change_strength(d, 1),
    "weaker": lambda d: tagging.change_strength(d, -1),
    "edge": tagging.other_edge,
    "nudge_back": lambda d: nudge(d, -1),
    "nudge_on": lambda d: nudge(d, 1),
    "shorter": lambda d: stretch(d, -1),
    "longer": lambda d: stretch(d, 1),
    "keep": lambda d: deciding.decide(d, "keep"),
    "lock": lambda d: deciding.decide(d, "lock"),
    "drop": drop,
    "dropped": moving.toggle_dropped,
    "undo": undo,
    "redo": redo,
    "next_problem": lambda d: choosing.step_problem(d, 1),
    "last_problem": lambda d: choosing.step_problem(d, -1),
    "check_off": noting.toggle_done,
}
