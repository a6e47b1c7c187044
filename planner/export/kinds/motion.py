"""The performance as a table, a row a frame."""

from __future__ import annotations

from planner.export.facts import ShotFacts
from planner.export.kinds import Shown, export


@export("motion", ".csv", "the performance, a row a frame", order=160)
def as_csv(facts: ShotFacts, shown: Shown) -> str:
    """The performance, a row a frame."""
    from planner.export.motion_tables import motion_csv

    return motion_csv(facts)
