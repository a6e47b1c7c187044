"""The beats on frames as a table, as `linebeat start` reads them."""

from __future__ import annotations

from planner.export.facts import ShotFacts
from planner.export.kinds import Shown, export


@export("beats", ".csv", "beats on frames, as start reads them", order=100)
def as_csv(facts: ShotFacts, shown: Shown) -> str:
    """Beats on frames, as start reads them."""
    from planner.export.marks import beats_csv

    return beats_csv(facts)
