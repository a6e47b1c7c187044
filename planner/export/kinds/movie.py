"""The figures moving, with sound."""

from __future__ import annotations

from planner.export.facts import ShotFacts
from planner.export.kinds import Shown, export


@export("movie", ".mp4", "the figures moving, with sound", order=130, usual=True, slow=True)
def as_mp4(facts: ShotFacts, shown: Shown) -> bytes:
    """The figures moving, with sound."""
    from planner.export.movie import movie_bytes

    return movie_bytes(facts, sound=shown.sound)
