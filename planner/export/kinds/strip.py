"""The key poses, a small figure each."""

from __future__ import annotations

from planner.export.facts import ShotFacts
from planner.export.kinds import Shown, export


@export("strip", ".svg", "key poses, a small figure each", order=110)
def as_svg(facts: ShotFacts, shown: Shown) -> str:
    """Key poses, a small figure each."""
    from planner.export.figures import strip_drawings
    from planner.export.tone_svg import svg_text

    return svg_text(strip_drawings(facts), title=f"{facts.title}: key poses")


@export("strip", ".png", "key poses, a small figure each", order=120)
def as_png(facts: ShotFacts, shown: Shown) -> bytes:
    """Key poses, a small figure each."""
    from planner.export.figures import strip_drawings
    from planner.export.tone_picture import png_bytes

    return png_bytes(strip_drawings(facts))
