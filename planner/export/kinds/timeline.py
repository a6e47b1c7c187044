"""The shot on a timeline: OpenTimelineIO, and a CMX 3600 list."""

from __future__ import annotations

from planner.export.facts import ShotFacts
from planner.export.kinds import Shown, export


@export("timeline", ".otio", "OpenTimelineIO: clips with markers", order=190, usual=True)
def as_otio(facts: ShotFacts, shown: Shown) -> str:
    """OpenTimelineIO: clips with markers."""
    from planner.export.timeline import otio_text

    return otio_text(facts)


@export("timeline", ".edl", "CMX 3600 list with locators", order=200, usual=True)
def as_edl(facts: ShotFacts, shown: Shown) -> str:
    """CMX 3600 list with locators."""
    from planner.export.timeline import edl_text

    return edl_text(facts)
