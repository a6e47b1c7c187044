"""The exposure sheet: a table, a page to print, the page printed."""

from __future__ import annotations

from planner.export.facts import ShotFacts
from planner.export.kinds import Shown, export


@export("exposure", ".csv", "exposure sheet, a row a frame", order=10, usual=True)
def as_csv(facts: ShotFacts, shown: Shown) -> str:
    """Exposure sheet, a row a frame."""
    from planner.export.exposure_csv import exposure_csv

    return exposure_csv(facts)


@export("exposure", ".html", "exposure sheet to print", order=20, usual=True)
def as_html(facts: ShotFacts, shown: Shown) -> str:
    """Exposure sheet to print."""
    from planner.export.exposure_page import exposure_page

    return exposure_page(facts, show=shown.show, paper=shown.paper, rows=shown.rows)


@export("exposure", ".pdf", "exposure sheet, printed", order=30)
def as_pdf(facts: ShotFacts, shown: Shown) -> bytes:
    """Exposure sheet, printed."""
    from planner.export.exposure_print import exposure_pdf

    return exposure_pdf(facts, show=shown.show, paper=shown.paper, rows=shown.rows)
