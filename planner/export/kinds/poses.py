"""The key poses as a table, as `linebeat check` reads them."""

from __future__ import annotations

from planner.export.facts import ShotFacts
from planner.export.kinds import Shown, export


@export("poses", ".csv", "key poses, as check reads them", order=90)
def as_csv(facts: ShotFacts, shown: Shown) -> str:
    """Key poses, as check reads them."""
    from planner.export.marks import poses_csv

    return poses_csv(facts)
