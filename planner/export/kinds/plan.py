"""The plan as JSON."""

from __future__ import annotations

from planner.export.facts import ShotFacts
from planner.export.kinds import Shown, export, json_text


@export("plan", ".json", "the plan", order=220, usual=True)
def as_json(facts: ShotFacts, shown: Shown) -> str:
    """The plan."""
    data = facts.plan.to_json()
    if facts.who:
        for key in ("suggestions", "dropped", "lines"):
            data[key] = [entry for entry in data[key] if entry["who"] == facts.who]
    return json_text(data)
