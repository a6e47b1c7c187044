"""The check of the key poses as JSON."""

from __future__ import annotations

from planner.export.facts import ShotFacts
from planner.export.kinds import Shown, export, json_text


@export("check", ".json", "key poses against the stresses", order=230)
def as_json(facts: ShotFacts, shown: Shown) -> str:
    """Key poses against the stresses."""
    return json_text(facts.check.to_json())
