"""An edit plans what it touches: a line with the user's ear is taken over like any other."""

from __future__ import annotations

from dataclasses import replace

from audio.reading import VoiceReading
from planner.desk.planned import plan_scene
from planner.plan.make import PlanState
from planner.scene import Heard, Scene
from planner.shot import shot_of


def lines_planned(state: PlanState) -> dict[object, object]:
    """What was worked out for lines, by its key."""
    return {key: made for key, made in state.kept.items() if key[0] == "line"}  # type: ignore[index]


def test_a_line_with_an_ear_is_not_planned_anew(
    scene: Scene, readings: dict[int, VoiceReading]
) -> None:
    first = replace(scene.lines[0], heard=Heard(stress=(1,)))
    heard = replace(scene, lines=(first, *scene.lines[1:]), decisions=())
    shot = shot_of(heard, readings)
    before = plan_scene(heard, shot, None).state
    edited = replace(heard, title="another")

    after = plan_scene(edited, shot, before).state

    assert before is not None and after is not None
    kept = lines_planned(before)
    assert len(kept) == len(scene.lines)
    assert {k: id(v) for k, v in kept.items()} == {
        k: id(v) for k, v in lines_planned(after).items()
    }


def test_other_sounds_are_planned_anew(scene: Scene, readings: dict[int, VoiceReading]) -> None:
    shot = shot_of(scene, readings)
    other = {**readings, 1: replace(readings[1])}

    changed = shot.changed(scene, other)

    assert changed.heard[1] is other[1]
    assert [changed.heard[n] is shot.heard[n] for n in readings if n != 1] == [True] * (
        len(readings) - 1
    )
