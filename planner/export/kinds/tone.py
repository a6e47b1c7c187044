"""The tone line: pictures, and a page a row."""

from __future__ import annotations

from planner.export.facts import ShotFacts
from planner.export.kinds import Shown, export


@export("tone", ".svg", "tone line, a picture", order=40, usual=True)
def as_svg(facts: ShotFacts, shown: Shown) -> str:
    """Tone line, a picture."""
    from planner.export.tone import tone_drawings
    from planner.export.tone_svg import svg_text

    return svg_text(tone_drawings(facts), title=f"{facts.title}: tone line")


@export("tone", ".png", "tone line, a picture", order=50, usual=True)
def as_png(facts: ShotFacts, shown: Shown) -> bytes:
    """Tone line, a picture."""
    from planner.export.tone import tone_drawings
    from planner.export.tone_picture import png_bytes

    return png_bytes(tone_drawings(facts))


@export("tone", ".pdf", "tone line, a page a row", order=60, usual=True)
def as_pdf(facts: ShotFacts, shown: Shown) -> bytes:
    """Tone line, a page a row."""
    from planner.export.tone import tone_drawings
    from planner.export.tone_picture import pdf_bytes

    return pdf_bytes(tone_drawings(facts), paper=shown.paper, title=f"{facts.title}: tone line")
