"""A character's skeleton, moving."""

from __future__ import annotations

from planner.export.facts import ShotFacts
from planner.export.kinds import Shown, export


@export("bvh", ".bvh", "a character's skeleton, moving", order=140, usual=True, each=True)
def as_bvh(facts: ShotFacts, shown: Shown) -> str:
    """A character's skeleton, moving."""
    from planner.export.bvh_file import bvh_text

    return bvh_text(facts, facts.performance.of(facts.characters[0]))
