"""Whatever stands at a frame, as a table of markers."""

from __future__ import annotations

from planner.export.facts import ShotFacts
from planner.export.kinds import Shown, export


@export("markers", ".csv", "beats, stresses, plan, poses, notes by frame", order=80)
def as_csv(facts: ShotFacts, shown: Shown) -> str:
    """Beats, stresses, plan, poses, notes by frame."""
    from planner.export.marks import markers_csv

    return markers_csv(facts)
