"""The plan's own key poses as a table."""

from __future__ import annotations

from planner.export.facts import ShotFacts
from planner.export.kinds import Shown, export


@export("plan-poses", ".csv", "the plan's own key poses", order=180)
def as_csv(facts: ShotFacts, shown: Shown) -> str:
    """The plan's own key poses."""
    from planner.export.motion_tables import plan_poses_csv

    return plan_poses_csv(facts)
