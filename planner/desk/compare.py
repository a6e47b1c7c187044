"""Two versions of a phrase side by side: another intent or play, or as it was before. Pure.

The plan of the other version is made by whoever holds the planner. Both stand in the plan's rows;
one key flips which of them is on top, another takes that one.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from planner.desk.edits.beats import beat_of, tag, with_play
from planner.desk.plan_index import index_plan
from planner.desk.state import Desk, Other, edit, say
from planner.plan.suggestion import Plan
from planner.scene import Beat, Scene

BEFORE = "as before the last change"
PLAY = "play: "  # and the name of a play: that one; alone: none of them


def other_scene(desk: Desk, intent: str) -> Scene | None:
    """The scene with another intent or play of what is chosen, or as it was; None if the same."""
    if intent == BEFORE:
        return None if desk.past is None else desk.past.scene
    if intent.startswith(PLAY):
        scene = with_play(desk, intent.removeprefix(PLAY)).scene
    else:
        scene = tag(desk, intent).scene
    return None if scene is desk.scene else scene


def beside(desk: Desk, scene: Scene, plan: Plan, name: str) -> Desk:
    """The desk with another version beside its own."""
    beat = beat_of(desk)
    own = "as it is" if beat is None else called(desk.scene.beats[beat])
    other = Other(scene, plan, index_plan(plan), name, own)
    said = f"{own}, and {name} below it: = flips, T takes what is on top, esc leaves"
    return replace(desk, other=other, said=said)


def called(beat: Beat) -> str:
    """What a version of a beat is called: its intent, and the play where one is taken."""
    return f"{beat.intent}, {beat.play}" if beat.play else beat.intent


def flip(desk: Desk) -> Desk:
    """The other version on top, or the desk's own again; nothing is written."""
    other = desk.other
    if other is None:
        return say(desk, "nothing to flip: = compares")
    on_top, below = (other.name, other.told) if other.on_top else (other.told, other.name)
    said = f"{on_top} on top, {below} below it; T takes what is on top"
    return replace(desk, other=replace(other, on_top=not other.on_top), said=said)


def take(desk: Desk) -> Desk:
    """What is on top, for good: one change, which can be undone."""
    other = desk.other
    if other is None:
        return say(desk, "nothing to take: = compares two versions first")
    if not other.on_top:
        return replace(desk, other=None, said=f"{other.name}, as it is")
    taken = edit(desk, f"{other.told} taken", **_parts(other.scene))
    return replace(taken, plan=other.plan, index=other.index, other=None)


def _parts(scene: Scene) -> dict[str, Any]:
    names = ("lines", "beats", "cues", "decisions", "poses", "notes", "passes")
    return {name: getattr(scene, name) for name in names}
