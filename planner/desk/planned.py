"""Planning beside the keys: one plan at a time in a thread, the newest scene next. No screen."""

from __future__ import annotations

from dataclasses import dataclass

from audio.errors import LinebeatError
from planner.desk.verdicts import NO_VERDICTS, Verdicts, judge
from planner.plan.make import PlanState, plan_state
from planner.plan.suggestion import Plan
from planner.scene import Scene
from planner.shot import Shot


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan and the verdicts for a scene; `trouble` says why there is none."""

    scene: Scene
    plan: Plan | None
    verdicts: Verdicts
    state: PlanState | None
    trouble: str = ""


def plan_scene(scene: Scene, shot: Shot, before: PlanState | None) -> Planned:
    """Plan and check a scene, from the shot of it or of another version of it.

    What did not change since `before` is taken over; so are lines that are heard alike.
    """
    try:
        shot = shot.changed(scene)
        state = plan_state(shot, before)
    except LinebeatError as error:
        return Planned(scene, None, NO_VERDICTS, before, error.line())
    try:
        verdicts = judge(shot, state.plan)
    except LinebeatError as error:
        return Planned(scene, state.plan, NO_VERDICTS, state, error.line())
    return Planned(scene, state.plan, verdicts, state)
