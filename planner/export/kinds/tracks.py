"""The performance's points in the picture, as `linebeat paths` reads them."""

from __future__ import annotations

from planner.export.facts import ShotFacts
from planner.export.kinds import Shown, export


@export("tracks", ".csv", "its points in the picture, as paths reads them", order=170)
def as_csv(facts: ShotFacts, shown: Shown) -> str:
    """Its points in the picture, as paths reads them."""
    from planner.export.motion_tables import tracks_csv

    return tracks_csv(facts)
