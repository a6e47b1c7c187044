"""Words and beats as cues of WebVTT."""

from __future__ import annotations

from planner.export.facts import ShotFacts
from planner.export.kinds import Shown, export


@export("captions", ".vtt", "WebVTT: words and beats as cues", order=210, usual=True)
def as_vtt(facts: ShotFacts, shown: Shown) -> str:
    """WebVTT: words and beats as cues."""
    from planner.export.captions import captions_vtt

    return captions_vtt(facts)
