"""The review page: sound, plan, findings and notes in one file."""

from __future__ import annotations

from audio.errors import LinebeatError
from planner.export.facts import ShotFacts
from planner.export.kinds import Shown, export


@export("review", ".html", "page with sound, plan, findings and notes", order=70)
def as_html(facts: ShotFacts, shown: Shown) -> str:
    """Page with sound, plan, findings and notes."""
    from planner.export.review_page import review_page
    from planner.export.shot_sound import shot_flac_uri

    if not shown.sound:
        return review_page(facts, quiet="made without the sound (--no-sound)")
    try:
        return review_page(facts, sound_uri=shot_flac_uri(facts))
    except LinebeatError as error:
        return review_page(facts, quiet=f"no sound: {error.what}")
